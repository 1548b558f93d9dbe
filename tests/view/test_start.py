"""Starting the program in a process of its own: on a day, without one, on a bad one, without a screen."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from legtide.files import day_file
from support.days import rotation_day

# The event loop is replaced by a look at the window: the test sees what a user would, and never waits.
LOOK = """
import json, sys
from pathlib import Path
from PySide6.QtWidgets import QApplication
from legtide import app

def look(*_):
    application = QApplication.instance()
    application.processEvents()
    window = next(one for one in application.topLevelWidgets() if one.objectName() == "mainWindow")
    print(json.dumps({
        "title": window.windowTitle(),
        "visible": window.isVisible(),
        "rows": len(window.workspace.projection.aircraft),
        "loaded": sorted(set(sys.modules) & {"pyqtgraph", "pint", "airportsdata", "ortools"}),
        "font": application.font().family(),
    }))
    window.workspace.close()
    return 0

QApplication.exec = look
path = Path(sys.argv[1]) if len(sys.argv) > 1 else None
sys.argv = ["legtide", "--style", "nothing"]
sys.exit(app.run(path))
"""


@pytest.fixture
def start(tmp_path):
    """Runs the program in a home of its own."""
    home = {
        "HOME": str(tmp_path),
        "XDG_CONFIG_HOME": str(tmp_path / "config"),
        "LEGTIDE_STATE_DIR": str(tmp_path / "state"),
        "QT_QPA_PLATFORM": "offscreen",
    }

    def run(*args: str, **changes: str) -> subprocess.CompletedProcess[str]:
        environment = {**os.environ, **home, **changes}
        command = [sys.executable, "-c", LOOK, *args]
        return subprocess.run(command, capture_output=True, text=True, env=environment, timeout=120)

    return run


def test_it_opens_the_day_that_was_asked_for(start, tmp_path):
    path = tmp_path / "one.day.json"
    day_file.save(rotation_day(1.2, 6, aircraft=2, title="Asked for"), path)
    ended = start(str(path))
    assert ended.returncode == 0, ended.stderr
    seen = json.loads(ended.stdout)
    assert seen["title"].startswith("Asked for")
    assert seen["visible"]
    assert seen["rows"] == 2
    assert seen["font"] == "B612"
    assert seen["loaded"] == []
    assert (tmp_path / "state" / "log" / "legtide.log").exists()
    assert not list((tmp_path / "state" / "recovery").iterdir())


def test_without_a_day_it_opens_all_the_same(start):
    ended = start()
    assert ended.returncode == 0, ended.stderr
    assert json.loads(ended.stdout)["visible"]


def test_a_day_that_cannot_be_opened_ends_with_its_place_and_no_traceback(start, tmp_path):
    path = tmp_path / "bad.day.json"
    path.write_text('{"format": "legtide-day", "version": 1, "date": "2026-05-14", "legs": [{}]}')
    ended = start(str(path))
    assert ended.returncode == 3
    assert "legs[0]" in ended.stderr
    assert "Traceback" not in ended.stderr
