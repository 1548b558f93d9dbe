"""Every control has a name for a screen reader and can be reached with Tab, which leads round and traps nobody."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractScrollArea, QApplication, QWidget

from legtide.view.calls_window import CallsWindow
from legtide.view.compare_window import CompareWindow
from legtide.view.figures_window import FiguresWindow
from legtide.view.panels.tank_detail import TankDetail
from support.windows import open_dialogs

MOST_STEPS = 400

DIALOGS = (
    "help.commands",
    "help.keys",
    "help.reports",
    "help.about",
    "go.find",
    "file.demo",
    "file.messages",
    "file.check_page",
    "file.briefing",
    "view.station",
    "service.level",
    "service.move",
    "turn.reading",
    "aircraft.edit",
    "plan.alternative",
    "view.why",
    "file.new",
    "file.print_board",
    "day.title",
    "leg.add",
    "station.edit",
    "fit.edit",
)
PAGES = {
    "view.calls": CallsWindow,
    "view.compare": CompareWindow,
    "aircraft.tanks": TankDetail,
    "day.figures": FiguresWindow,
}


def stops(root: QWidget) -> list[QWidget]:
    """The visible controls below a window that the keyboard is meant to reach."""
    return [
        one
        for one in root.findChildren(QWidget)
        if one.isVisibleTo(root)
        and one.isEnabled()
        and one.window() is root
        and one.focusPolicy() & Qt.FocusPolicy.TabFocus
        and one.focusProxy() is None
    ]


def name_of(widget: QWidget) -> str:
    """What a screen reader is told."""
    interface = QAccessible.queryAccessibleInterface(widget)
    return "" if interface is None else interface.text(QAccessible.Text.Name)


def nameless(root: QWidget) -> list[str]:
    """Controls that a screen reader could only call by their kind."""
    out = []
    for one in stops(root):
        interface = QAccessible.queryAccessibleInterface(one)
        if not name_of(one).strip() or interface.role() == QAccessible.Role.NoRole:
            out.append(f"{type(one).__name__} {one.objectName()!r} in {type(one.parentWidget()).__name__}")
    return out


def walk(root: QWidget, key: Qt.Key) -> list[QWidget]:
    """The controls that have the keyboard one after another, until the first one has it again."""
    start = QApplication.focusWidget()
    assert start is not None
    seen = [start]
    for _ in range(MOST_STEPS):
        QTest.keyClick(QApplication.focusWidget(), key)
        here = QApplication.focusWidget()
        assert here is not None
        assert root.isAncestorOf(here) or here is root
        if here is start and len(seen) > 1 and here is not seen[-1]:
            return seen
        if here is not seen[-1]:
            seen.append(here)
    raise AssertionError(f"Tab did not come round: {[type(one).__name__ for one in seen[-6:]]}")


def missed(root: QWidget, reached: list[QWidget]) -> list[str]:
    """Controls that Tab has not come to; an area that is only scrolled is no control."""
    ids = {id(one) for one in reached}
    return [
        f"{type(one).__name__} {name_of(one)!r}"
        for one in stops(root)
        if id(one) not in ids and not (type(one).__name__ == "QScrollArea" and isinstance(one, QAbstractScrollArea))
    ]


def begin(root: QWidget, qtbot) -> None:
    root.activateWindow()
    qtbot.waitUntil(root.isActiveWindow)
    if QApplication.focusWidget() is None or not root.isAncestorOf(QApplication.focusWidget()):
        stops(root)[0].setFocus()


@pytest.mark.parametrize("with_table", [False, True])
def test_the_window(window, workspace, qtbot, with_table):
    workspace.select(service="s1")
    window.toggle_now()
    if with_table:
        window.toggle_table()
        window.split.toggle()
    assert nameless(window) == []
    begin(window, qtbot)
    window.board.setFocus()
    forward = walk(window, Qt.Key.Key_Tab)
    assert missed(window, forward) == []
    window.board.setFocus()
    back = walk(window, Qt.Key.Key_Backtab)
    assert {id(one) for one in back} == {id(one) for one in forward}


@pytest.mark.parametrize("name", DIALOGS)
def test_a_dialog(window, workspace, qtbot, name):
    workspace.select(service="s1")
    window.registry.refresh()
    window.registry[name].trigger()
    qtbot.waitUntil(lambda: bool(open_dialogs()))
    dialog = open_dialogs()[-1]
    assert dialog.windowTitle()
    assert nameless(dialog) == []
    begin(dialog, qtbot)
    if len(stops(dialog)) > 1:
        assert missed(dialog, walk(dialog, Qt.Key.Key_Tab)) == []
    dialog.close()


@pytest.mark.parametrize("name", PAGES)
def test_a_page_beside_the_board(window, workspace, qtbot, name):
    workspace.keep_baseline()
    workspace.select(service="s1")
    window.registry.refresh()
    window.registry[name].trigger()
    page = window.findChild(PAGES[name])
    begin(page, qtbot)
    assert nameless(page) == []
    assert missed(page, walk(page, Qt.Key.Key_Tab)) == []
    page.close()


def test_a_control_without_a_name_is_found(window, qtbot):
    from PySide6.QtWidgets import QLineEdit

    field = QLineEdit(window.top_bar)
    field.show()
    assert len(nameless(window)) == 1
