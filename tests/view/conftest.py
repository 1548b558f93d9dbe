"""A window on an invented day with something to do, built once for each test, without a screen."""

from __future__ import annotations

import gc

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtWidgets import QDialog, QMessageBox, QPushButton

from legtide.day.document import Day, Service, Station, Truck
from legtide.view.main_window import MainWindow, build_window
from legtide.view.preferences import Preferences
from legtide.workspace.workspace import Workspace
from support.days import rotation_day
from support.windows import forget_changes, open_dialogs


@pytest.fixture(autouse=True)
def collected_here():
    """As in the program: garbage is collected in the thread that the widgets live in."""
    gc.disable()
    yield
    # Windows that were closed go now: those of a hundred tests would make every change of style slow.
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()


@pytest.fixture(autouse=True)
def own_state(tmp_path, monkeypatch):
    """Backups and journals of a test go to its own folder."""
    monkeypatch.setenv("LEGTIDE_STATE_DIR", str(tmp_path / "state"))


@pytest.fixture
def day() -> Day:
    """Three aircraft of ten legs each; each lacks water late in the day, and has one waste service."""
    services = tuple(
        Service(id=f"s{number}", aircraft=f"QX-{number}", turn=3, tank="waste", target_percent=0.0)
        for number in range(3)
    )
    stations = (
        Station(code="ABLE", name="Able Field", time_zone="Europe/Berlin"),
        Station(code="BAKE", name="Bake", trucks=(Truck(id="T1", tank="waste"), Truck(id="W1", tank="fresh"))),
    )
    return rotation_day(1.2, 9, aircraft=3, services=services, stations=stations, title="Practice")


@pytest.fixture
def workspace(qapp, day) -> Workspace:
    return Workspace(day)


@pytest.fixture
def preferences(tmp_path) -> Preferences:
    made = Preferences(tmp_path / "config" / "settings.json")
    made.put(theme="light", hints_seen=True)
    return made


@pytest.fixture
def window(qtbot, workspace, preferences) -> MainWindow:
    made = build_window(workspace, preferences)
    made.resize(1280, 800)
    qtbot.addWidget(made, before_close_func=forget_changes)
    made.show()
    qtbot.waitExposed(made)
    return made


@pytest.fixture
def dialog(qtbot):
    """Waits for a dialog of a name and gives it."""

    def find(name: str) -> QDialog:
        found: list[QDialog] = []

        def there() -> bool:
            found[:] = [one for one in open_dialogs() if one.objectName() == name]
            return bool(found)

        qtbot.waitUntil(there)
        return found[-1]

    return find


@pytest.fixture
def answer(qtbot, dialog):
    """Presses the button of a message box that has these words."""

    def press(words: str) -> None:
        box = dialog("question")
        assert isinstance(box, QMessageBox)
        button = next(one for one in box.findChildren(QPushButton) if one.text().replace("&", "") == words)
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    return press


@pytest.fixture
def click(qtbot):
    """Clicks the middle of a button."""

    def press(button) -> None:
        assert button.isVisible(), button.text()
        assert button.isEnabled(), button.text()
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    return press
