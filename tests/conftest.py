"""What every test may rely on: an own state folder, no network, and a toolkit that asks for no screen."""

from __future__ import annotations

import os
import socket
from functools import partial
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from pytestqt.qtbot import QtBot

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
# Workbooks are written as in the program, which has no lxml.
os.environ.setdefault("OPENPYXL_LXML", "False")

# Nothing here is timed: on a busy machine a slow example is no failure.
settings.register_profile("legtide", deadline=None, database=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("legtide")


def pytest_addoption(parser: pytest.Parser) -> None:
    """The tests that take pictures of the window keep them where this says."""
    parser.addoption("--pictures", default="", help="folder for the pictures of the window, to be looked at")


@pytest.fixture(scope="session", autouse=True)
def one_application(qapp: object) -> object:
    """A process has one application for its whole life: the widgets' kind comes first, or it cannot come later."""
    return qapp


PATIENCE_MS = 30_000
"""How long a test waits for what the event loop owes it: nothing is timed, and machines are busy."""


@pytest.fixture
def qtbot(qtbot: QtBot) -> QtBot:
    """The toolkit's robot with more patience than its own 5 s."""
    for name in ("waitUntil", "waitSignal", "waitSignals", "waitCallback"):
        setattr(qtbot, name, partial(getattr(qtbot, name), timeout=PATIENCE_MS))
    return qtbot


@pytest.fixture(autouse=True)
def own_state(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Backups, journals and logs of a test go to its own folder, those of child processes too."""
    folder = tmp_path_factory.mktemp("state")
    monkeypatch.setenv("LEGTIDE_STATE_DIR", str(folder))
    return folder


@pytest.fixture(autouse=True)
def no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing talks to anybody: a connection to another machine fails the test."""
    connect = socket.socket.connect

    def guarded(self: socket.socket, address: object) -> None:
        if self.family != getattr(socket, "AF_UNIX", None):
            raise AssertionError(f"something tried to connect to {address!r}")
        connect(self, address)  # type: ignore[arg-type]

    monkeypatch.setattr(socket.socket, "connect", guarded)
