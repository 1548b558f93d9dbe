"""Every action of the window, by key, by menu and by mouse."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QApplication, QLineEdit, QListWidget, QMenu, QToolButton

from legtide.day import edits
from legtide.day.document import Inoperative
from legtide.view.actions import SEPARATOR, Action, Registry
from legtide.view.menus import CONTEXT, MENUS, SUBMENUS
from legtide.workspace.selection import Selection

LEG = "0-4"


def press(qtbot, window, keys: str) -> None:
    """Presses a key sequence as a user at the board does."""
    sequence = QKeySequence(keys)[0]
    qtbot.keyClick(window.board, sequence.key(), sequence.keyboardModifiers())


def service(workspace, key="s0"):
    return next((row for row in workspace.day.services if row.id == key), None)


def test_every_action_is_in_a_menu_and_every_menu_entry_is_an_action(window):
    named = {name for _, names in MENUS for name in names if name != SEPARATOR and not name.startswith(">")}
    named |= {name for names in SUBMENUS.values() for name in names if name != SEPARATOR}
    assert named == {action.id for action in window.registry}
    for names in CONTEXT.values():
        assert set(names) - {SEPARATOR} <= named


def test_two_actions_cannot_share_a_key_or_a_name(window):
    registry = Registry(window, window.theme)
    registry.add([Action("edit.one", "One", lambda: None, ("F4",))])
    with pytest.raises(ValueError, match="F4"):
        registry.add([Action("edit.two", "Two", lambda: None, ("F4",))])
    with pytest.raises(ValueError, match=r"edit\.one"):
        registry.add([Action("edit.one", "One", lambda: None)])


@pytest.mark.parametrize(("keys", "state"), [("D", "done"), ("K", "skipped"), ("M", "missed")])
def test_a_key_marks_the_selected_service_and_again_takes_it_back(window, workspace, qtbot, keys, state):
    workspace.select(service="s0")
    press(qtbot, window, keys)
    assert service(workspace).state == state
    press(qtbot, window, keys)
    assert service(workspace).state == "planned"
    press(qtbot, window, "Ctrl+Z")
    assert service(workspace).state == state


def test_planned_takes_any_state_back(window, workspace, qtbot):
    workspace.select(service="s0")
    press(qtbot, window, "M")
    press(qtbot, window, "P")
    assert service(workspace).state == "planned"


def test_pin_holds_and_lets_go(window, workspace, qtbot):
    workspace.select(service="s0")
    press(qtbot, window, "F")
    assert service(workspace).pinned
    assert window.registry["service.pin"].isChecked()
    press(qtbot, window, "F")
    assert not service(workspace).pinned


def test_delete_removes_and_undo_brings_back(window, workspace, qtbot):
    workspace.select(service="s0")
    press(qtbot, window, "Delete")
    assert service(workspace) is None
    press(qtbot, window, "Ctrl+Z")
    assert service(workspace) is not None
    press(qtbot, window, "Ctrl+Shift+Z")
    assert service(workspace) is None
    press(qtbot, window, "Ctrl+Z")
    press(qtbot, window, "Ctrl+Y")
    assert service(workspace) is None


@pytest.mark.parametrize(("keys", "tank"), [("W", "fresh"), ("B", "waste")])
def test_a_key_adds_a_service_to_the_selected_turn(window, workspace, qtbot, keys, tank):
    workspace.select("QX-1", turn=5)
    press(qtbot, window, keys)
    added = workspace.day.services[-1]
    assert (added.aircraft, added.turn, added.tank, added.start) == ("QX-1", 5, tank, None)
    assert workspace.selection == Selection("QX-1", added.id, 5)


def test_a_service_added_by_mouse_starts_where_the_mouse_was(window, workspace, qtbot):
    turn = workspace.projection.aircraft["QX-1"].rotation.turns[5]
    moment = turn.start + timedelta(minutes=11)
    window.board.turnActivated.emit("QX-1", 5, moment, QPoint(600, 300))
    menu = QApplication.activePopupWidget()
    assert menu.objectName() == "context"
    window.registry["turn.add_waste"].trigger()
    assert workspace.day.services[-1].start == moment
    menu.close()


def test_the_moment_pointed_at_is_forgotten_with_the_turn(window, workspace, qtbot):
    turn = workspace.projection.aircraft["QX-1"].rotation.turns[5]
    window.board.turnActivated.emit("QX-1", 5, turn.start + timedelta(minutes=11), QPoint(600, 300))
    QApplication.activePopupWidget().close()
    workspace.select("QX-1", turn=6)
    press(qtbot, window, "B")
    assert workspace.day.services[-1].start is None


@pytest.mark.parametrize(
    ("signal", "args", "expected"),
    [
        ("serviceActivated", ("s1",), Selection("QX-1", "s1", 3)),
        ("legActivated", (LEG,), Selection("QX-0", leg=LEG)),
    ],
)
def test_the_context_menu_acts_on_what_was_hit(window, workspace, signal, args, expected):
    getattr(window.board, signal).emit(*args, QPoint(500, 300))
    menu = QApplication.activePopupWidget()
    assert menu.objectName() == "context"
    assert workspace.selection == expected
    assert any(action.isEnabled() for action in menu.actions() if not action.isSeparator())
    menu.close()


def gauge_entries(window, tank):
    window.board.turnActivated.emit("QX-1", 5, None, QPoint(600, 300))
    menu = QApplication.activePopupWidget()
    return menu, menu.findChild(QMenu, f"{tank}_gauge")


@pytest.mark.parametrize(("tank", "minutes", "read_at"), [("fresh", 10, True), ("waste", 500, False)])
def test_two_clicks_enter_what_a_gauge_shows(window, workspace, tank, minutes, read_at):
    now = workspace.projection.aircraft["QX-1"].rotation.turns[5].start + timedelta(minutes=minutes)
    workspace.set_now(now)
    menu, gauge = gauge_entries(window, tank)
    next(one for one in gauge.actions() if one.text() == "50\u00a0%").trigger()
    menu.close()
    row = workspace.day.readings[-1]
    assert (row.aircraft, row.turn, row.tank, row.percent) == ("QX-1", 5, tank, 50.0)
    assert row.time == (now if read_at else None)
    workspace.undo_stack.undo()
    assert workspace.day.readings == ()


def test_a_broken_gauge_offers_no_readings(window, workspace):
    broken = edits.change_aircraft(workspace.day, "QX-1", inoperative=(Inoperative(item="waste_gauge"),))
    workspace.apply(broken, "break the gauge")
    menu, gauge = gauge_entries(window, "waste")
    assert not gauge.isEnabled()
    assert menu.findChild(QMenu, "fresh_gauge").isEnabled()
    menu.close()


def test_the_buttons_of_the_selected_service_do_the_same(window, workspace, click):
    workspace.select(service="s2")
    card = window.panel.selected
    assert card.isVisible()
    done = next(one for one in card.findChildren(QToolButton) if one.text() == "Done" and one.isVisible())
    click(done)
    assert service(workspace, "s2").state == "done"


def test_the_buttons_of_the_top_bar_undo_and_redo(window, workspace, click, qtbot):
    workspace.select(service="s0")
    press(qtbot, window, "D")
    buttons = {one.text(): one for one in window.top_bar.findChildren(QToolButton)}
    click(buttons["Undo"])
    assert service(workspace).state == "planned"
    assert window.footer.message.startswith("Undone: Mark waste service of QX-0 done")
    click(buttons["Redo"])
    assert service(workspace).state == "done"
    assert window.footer.message.startswith("Done again")


def test_undo_shows_what_it_changed(window, workspace, qtbot):
    workspace.select(service="s0")
    press(qtbot, window, "D")
    workspace.select("QX-2")
    press(qtbot, window, "Ctrl+Z")
    assert workspace.selection.service == "s0"


def test_what_cannot_be_done_is_disabled(window, workspace):
    workspace.select()
    for name in (
        "service.done",
        "service.level",
        "turn.add_water",
        "leg.edit",
        "aircraft.edit",
        "edit.undo",
        "go.now",
    ):
        assert not window.registry[name].isEnabled(), name
    workspace.select("QX-1", turn=2)
    assert window.registry["turn.add_water"].isEnabled()
    assert not window.registry["service.done"].isEnabled()


def test_letters_typed_into_a_field_are_letters(window, workspace, qtbot):
    workspace.select(service="s0")
    window.toggle_table()
    field = window.table.field
    field.setFocus()
    qtbot.keyClicks(field, "dkmw")
    assert field.text() == "dkmw"
    assert service(workspace).state == "planned"


def test_zoom_keys_and_bank(window, workspace, qtbot):
    scale = lambda: window.board.model.layout.scale.px_per_min  # noqa: E731
    press(qtbot, window, "Ctrl+0")
    whole = scale()
    press(qtbot, window, "Ctrl+6")
    assert scale() > whole
    six = scale()
    press(qtbot, window, "Ctrl+2")
    assert whole < scale() < six
    before = scale()
    press(qtbot, window, "Ctrl++")
    assert scale() > before
    press(qtbot, window, "Ctrl+-")
    assert scale() == pytest.approx(before)
    press(qtbot, window, "Ctrl+G")
    assert window.board.model.layout.scale.px_per_min > 0


def test_the_now_line_follows_the_clock_and_goes(window, workspace, qtbot):
    press(qtbot, window, "Ctrl+Shift+N")
    assert abs(workspace.now - datetime.now(UTC)) < timedelta(minutes=2)
    assert window.registry["view.now"].isChecked()
    assert window.registry["go.now"].isEnabled()
    press(qtbot, window, "Ctrl+Shift+N")
    assert workspace.now is None


def test_the_next_warning_is_shown_one_after_another_and_round(window, workspace, qtbot):
    rows = [row for row in workspace.projection.warnings if row.severity != "note"]
    assert len(rows) >= 3
    seen = []
    for _ in range(len(rows) + 1):
        press(qtbot, window, "F8")
        seen.append(window.footer.message)
    assert len(set(seen)) == len(rows)
    assert seen[0] == seen[-1]
    press(qtbot, window, "Shift+F8")
    assert window.footer.message == seen[-2]
    assert workspace.selection.aircraft is not None


def test_find_goes_to_an_aircraft_and_to_a_flight(window, workspace, qtbot, dialog):
    press(qtbot, window, "Ctrl+F")
    chooser = dialog("chooser")
    qtbot.keyClicks(chooser.field, "qx-2")
    qtbot.keyClick(chooser.field, Qt.Key.Key_Return)
    assert workspace.selection.aircraft == "QX-2"
    press(qtbot, window, "Ctrl+F")
    chooser = dialog("chooser")
    qtbot.keyClicks(chooser.field, "zz104 qx-1")
    assert chooser.list.count() == 1
    qtbot.keyClick(chooser.field, Qt.Key.Key_Return)
    assert workspace.selection == Selection("QX-1", leg="1-4")


def test_the_command_list_does_what_it_says(window, workspace, qtbot, dialog):
    workspace.select(service="s0")
    press(qtbot, window, "Ctrl+K")
    chooser = dialog("chooser")
    assert chooser.findChild(QListWidget).count() == len(list(window.registry))
    qtbot.keyClicks(chooser.field, "missed")
    qtbot.keyClick(chooser.field, Qt.Key.Key_Return)
    assert service(workspace).state == "missed"


def test_a_command_that_cannot_be_done_is_not_done(window, workspace, qtbot, dialog):
    workspace.select()
    press(qtbot, window, "Ctrl+K")
    chooser = dialog("chooser")
    qtbot.keyClicks(chooser.field, "missed")
    qtbot.keyClick(chooser.field, Qt.Key.Key_Return)
    assert chooser.isVisible()
    assert not workspace.dirty


def test_the_local_station_is_chosen_and_remembered(window, workspace, preferences, qtbot, dialog):
    press(qtbot, window, "Ctrl+L")
    chooser = dialog("chooser")
    qtbot.keyClicks(chooser.field, "berlin")
    qtbot.keyClick(chooser.field, Qt.Key.Key_Return)
    assert workspace.local_station == "ABLE"
    assert preferences.settings.local_station == "ABLE"


@pytest.mark.parametrize(("keys", "name"), [("F1", "keySheet"), ("Ctrl+Shift+A", "figures")])
def test_a_key_opens_its_page_and_escape_closes_it(window, qtbot, dialog, keys, name):
    press(qtbot, window, keys)
    page = dialog(name)
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not page.isVisible())


def test_the_sheet_of_keys_holds_every_key(window, dialog):
    window.show_keys()
    sheet = dialog("keySheet")
    words = {label.text() for label in sheet.findChildren(type(window.top_bar._date))}
    for action in window.registry:
        if action.keys:
            assert action.text in words, action.id


def test_the_theme_changes_at_once_and_is_remembered(window, preferences):
    assert not window.theme.dark
    window.registry["view.theme_dark"].trigger()
    assert window.theme.dark
    assert window.board.composer.colours.name == "dark"
    assert preferences.settings.theme == "dark"
    window.registry["view.theme_light"].trigger()
    assert window.board.composer.colours.name == "light"


def test_units_change_what_is_shown_and_not_the_day(window, workspace):
    day = workspace.day
    workspace.select(service="s0")
    window.registry["view.unit_gal"].trigger()
    words = [label.text() for label in window.panel.selected.findChildren(type(window.top_bar._date))]
    assert any("US gal" in word for word in words)
    assert workspace.day is day
    window.registry["view.unit_l"].trigger()


def test_a_baseline_is_kept_and_dropped(window, workspace, qtbot):
    kept = workspace.projection
    press(qtbot, window, "Ctrl+B")
    assert workspace.baseline is kept
    press(qtbot, window, "Ctrl+Shift+B")
    assert workspace.baseline is None


def test_every_control_can_be_reached_and_has_a_name(window, workspace):
    workspace.select(service="s0")
    window.toggle_table()
    for kind in (QToolButton, QLineEdit):
        for one in window.findChildren(kind):
            if one.isVisible() and one.objectName() != "qt_toolbar_ext_button":
                assert one.accessibleName() or one.text() or one.toolTip(), one
