"""Where the window toolkit cannot start, a sentence says what to install or which command to use."""

from __future__ import annotations

import ctypes
from types import SimpleNamespace
from typing import Any

import pytest

from legtide.cli import toolkit
from legtide.cli.toolkit import why_no_picture, why_no_window


@pytest.fixture
def system(monkeypatch: pytest.MonkeyPatch) -> Any:
    """A Linux with chosen libraries missing, chosen variables set, and an X server that answers or not."""

    def make(*missing: str, answers: bool = True, **variables: str) -> None:
        def load(name: str) -> Any:
            if name in missing:
                raise OSError(f"{name}: cannot open shared object file")
            connect = SimpleNamespace(restype=None)
            connect = type("Connect", (), {"__call__": lambda *_: 1, "restype": None})()
            return SimpleNamespace(
                xcb_connect=connect,
                xcb_connection_has_error=lambda _: 0 if answers else 1,
                xcb_disconnect=lambda _: None,
            )

        monkeypatch.setattr(toolkit.sys, "platform", "linux")
        monkeypatch.setattr(ctypes, "CDLL", load)
        for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
            monkeypatch.delenv(name, raising=False)
            if name in variables:
                monkeypatch.setenv(name, variables[name])

    return make


def test_all_is_well(system: Any) -> None:
    system(DISPLAY=":0")
    assert why_no_window() == ""
    assert why_no_picture() == ""


def test_missing_libraries_are_named_by_their_packages(system: Any) -> None:
    system("libEGL.so.1", "libxcb-cursor.so.0", DISPLAY=":0")
    assert why_no_window().endswith("Install: libegl1, libxcb-cursor0")
    assert why_no_picture().endswith("Install: libegl1")


def test_a_picture_needs_no_libraries_of_a_window(system: Any) -> None:
    system("libxcb-cursor.so.0", "libxcb-icccm.so.4")
    assert why_no_picture() == ""


def test_wayland_needs_no_libraries_of_x11(system: Any) -> None:
    system("libxcb-cursor.so.0", WAYLAND_DISPLAY="wayland-0")
    assert why_no_window() == ""


def test_without_a_display_the_commands_are_named(system: Any) -> None:
    system()
    assert why_no_window().startswith("there is no display to open a window on. `legtide picture DAY -o FILE.png`")


def test_a_display_that_does_not_answer(system: Any) -> None:
    system(DISPLAY=":99", answers=False)
    assert why_no_window().startswith("the display :99 does not answer: there is no display")


def test_offscreen_needs_no_display(system: Any) -> None:
    system("libxcb-cursor.so.0", QT_QPA_PLATFORM="offscreen")
    assert why_no_window() == ""


def test_other_systems_bring_all_that_is_needed(system: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    system("libEGL.so.1")
    monkeypatch.setattr(toolkit.sys, "platform", "darwin")
    assert why_no_window() == why_no_picture() == ""


def test_every_package_of_the_bare_system_is_named(system: Any) -> None:
    """The packages that a bare Debian 12 lacks for a window of Qt 6, as found by trying."""
    system(*toolkit._TO_PAINT, *toolkit._FOR_A_WINDOW, DISPLAY=":0")
    for package in (
        "libglib2.0-0", "libegl1", "libgl1", "libdbus-1-3", "libfontconfig1", "libxkbcommon0", "libxcb-cursor0",
        "libxcb-icccm4", "libxcb-keysyms1", "libxcb-shape0", "libxcb-xkb1", "libxkbcommon-x11-0",
    ):  # fmt: skip
        assert package in why_no_window()
