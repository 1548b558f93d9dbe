"""Windows on demo days as pictures; `pytest --pictures FOLDER` keeps them to be looked at."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QWidget

from legtide.day.document import Day
from legtide.shipped import demo_days
from legtide.view.main_window import MainWindow, build_window
from legtide.view.preferences import Preferences
from legtide.workspace.workspace import Workspace
from support.looks import LEAST_COLOURS, colours_in, cut_texts, outside, overlaps
from support.windows import forget_changes


def pytest_generate_tests(metafunc):
    """Both themes where the pictures are kept; one is enough to check that nothing is cut."""
    if "theme" in metafunc.fixturenames:
        both = metafunc.config.getoption("--pictures")
        metafunc.parametrize("theme", ["light", "dark"] if both else ["light"])


@pytest.fixture
def shown(qtbot, tmp_path):
    """Opens a window on a demo day, in a theme and a size."""

    def build(name: str = "tight", theme: str = "light", size: tuple[int, int] = (1280, 800), **kept) -> MainWindow:
        workspace = Workspace(Day(date=date(2027, 1, 1)))
        workspace.new(workspace.storage.load(demo_days() / f"{name}.day.json").day)
        preferences = Preferences(tmp_path / "config" / "settings.json")
        preferences.put(theme=theme, **{"hints_seen": True, **kept})
        window = build_window(workspace, preferences)
        window.resize(*size)
        qtbot.addWidget(window, before_close_func=forget_changes)
        window.show()
        qtbot.waitExposed(window)
        return window

    return build


@pytest.fixture
def midday():
    """A moment in the middle of a window's day, at which past and future are told apart."""

    def set_now(window: MainWindow) -> datetime:
        legs = sorted(window.workspace.day.legs, key=lambda leg: leg.std)
        moment = legs[len(legs) // 3].std + timedelta(minutes=7)
        window.workspace.set_now(moment)
        return moment

    return set_now


@pytest.fixture
def picture(request):
    """Takes a picture, checks that it is one, and keeps it where the option says."""
    folder = request.config.getoption("--pictures")

    def take(widget: QWidget, name: str, *, may_cut: tuple[str, ...] = ()) -> None:
        # A form grows to what it holds after it has been laid out, and is laid out again.
        for _ in range(4):
            QApplication.processEvents()
        image = widget.grab().toImage()
        if folder:
            Path(folder).mkdir(parents=True, exist_ok=True)
            image.save(str(Path(folder) / f"{name}.png"))
        assert colours_in(image) >= LEAST_COLOURS
        cut = [line for line in cut_texts(widget) if not any(words in line for words in may_cut)]
        assert cut == []
        assert overlaps(widget) == []
        assert outside(widget) == []

    return take
