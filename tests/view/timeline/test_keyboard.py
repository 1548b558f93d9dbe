"""The keyboard does all that the mouse does."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtWidgets import QApplication, QLineEdit

from legtide.day.edits import service
from legtide.draw.content import Marker
from legtide.engine.types import to_minutes
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace

Key, Mod = Qt.Key, Qt.KeyboardModifier


def start_of(workspace: Workspace, marker: Marker) -> float:
    moment = service(workspace.day, marker.service.id).start
    assert moment is not None
    return to_minutes(moment)


@pytest.mark.parametrize(
    ("key", "modifier", "minutes"),
    [
        (Key.Key_Right, Mod.NoModifier, 1.0),
        (Key.Key_Left, Mod.NoModifier, -1.0),
        (Key.Key_Right, Mod.ShiftModifier, 5.0),
        (Key.Key_Left, Mod.ShiftModifier, -5.0),
    ],
)
def test_arrows_move_the_selected_service_and_enter_places_it(
    qtbot, canvas: BoardCanvas, workspace: Workspace, key, modifier, minutes
) -> None:
    marker = next(row for row in canvas.model.content.rows[2].markers if row.service.tank == "waste")
    workspace.select(service=marker.service.id)
    qtbot.keyClick(canvas, key, modifier)
    assert start_of(workspace, marker) == marker.start
    qtbot.keyClick(canvas, Key.Key_Return)
    assert start_of(workspace, marker) == marker.start + minutes
    assert workspace.undo_stack.count() == 1


def test_many_presses_are_one_undo_step_and_escape_is_none(
    qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker
) -> None:
    day = workspace.day
    workspace.select(service=marker.service.id)
    for _ in range(4):
        qtbot.keyClick(canvas, Key.Key_Right)
    qtbot.keyClick(canvas, Key.Key_Escape)
    assert workspace.shown is day
    for _ in range(4):
        qtbot.keyClick(canvas, Key.Key_Right)
    qtbot.keyClick(canvas, Key.Key_Enter)
    assert workspace.undo_stack.count() == 1
    workspace.undo()
    assert workspace.day is day


def test_control_and_an_arrow_go_to_the_next_turn_like_a_drag_to_its_start(
    qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse, place_of
) -> None:
    workspace.select(service=marker.service.id)
    qtbot.keyClick(canvas, Key.Key_Right, Mod.ControlModifier)
    stroke = canvas.mover.stroke
    assert stroke is not None
    wanted = stroke.start
    qtbot.keyClick(canvas, Key.Key_Return)
    by_keyboard = service(workspace.day, marker.service.id)
    assert by_keyboard.turn > marker.service.turn
    workspace.undo()
    start = place_of(marker.service.id)
    mouse.press(start)
    mouse.drag_to(start + QPointF(canvas.model.layout.scale.width(wanted - marker.start), 0.0))
    mouse.release()
    by_mouse = service(workspace.day, marker.service.id)
    assert by_mouse.turn == by_keyboard.turn
    assert abs(to_minutes(by_mouse.start) - to_minutes(by_keyboard.start)) <= 1.0  # type: ignore[arg-type]


def test_a_service_stops_at_the_end_of_its_window(
    qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker
) -> None:
    workspace.select(service=marker.service.id)
    for _ in range(60):
        qtbot.keyClick(canvas, Key.Key_Right, Mod.ShiftModifier)
    stroke = canvas.mover.stroke
    assert stroke is not None
    assert stroke.turn == marker.service.turn
    assert stroke.start == max(place.last for place in stroke.places if place.turn == stroke.turn)


def test_delete_takes_the_service_away_as_one_step(
    qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker
) -> None:
    workspace.select(service=marker.service.id)
    qtbot.keyClick(canvas, Key.Key_Delete)
    assert marker.service.id not in {row.id for row in workspace.day.services}
    assert workspace.undo_stack.undoText().startswith("Delete ")
    assert workspace.selection.service is None
    workspace.undo()
    assert service(workspace.day, marker.service.id) == marker.service


def test_up_and_down_go_through_the_rows_and_open_them(qtbot, canvas: BoardCanvas, workspace: Workspace) -> None:
    names = [row.registration for row in canvas.model.content.rows]
    seen = []
    for key in (Key.Key_Down, Key.Key_Down, Key.Key_Up, Key.Key_Up, Key.Key_Up):
        qtbot.keyClick(canvas, key)
        seen.append(workspace.selection.aircraft)
    assert seen == [names[0], names[1], names[0], names[0], names[0]]
    assert canvas.model.focus == 0


def test_left_and_right_go_through_the_turns_of_a_row_without_a_service(
    qtbot, canvas: BoardCanvas, workspace: Workspace
) -> None:
    workspace.select(canvas.model.content.rows[0].registration)
    turns = []
    for key in (Key.Key_Right, Key.Key_Right, Key.Key_Left, Key.Key_Left, Key.Key_Left):
        qtbot.keyClick(canvas, key)
        turns.append(workspace.selection.turn)
    assert turns == [0, 1, 0, 0, 0]


def test_tab_goes_through_all_services_and_then_leaves_the_board(
    qtbot, canvas: BoardCanvas, workspace: Workspace
) -> None:
    expected = [marker.service.id for row in canvas.model.content.rows for marker in row.markers]
    seen = []
    for _ in expected:
        qtbot.keyClick(canvas, Key.Key_Tab)
        seen.append(workspace.selection.service)
    assert seen == expected
    qtbot.keyClick(canvas, Key.Key_Tab)
    assert workspace.selection.service == expected[-1]
    qtbot.keyClick(canvas, Key.Key_Backtab, Mod.ShiftModifier)
    assert workspace.selection.service == expected[-2]


def test_enter_asks_for_the_menu_of_what_is_selected(
    qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker
) -> None:
    workspace.select(service=marker.service.id)
    with qtbot.waitSignal(canvas.serviceActivated) as asked:
        qtbot.keyClick(canvas, Key.Key_Return)
    assert asked.args is not None
    assert asked.args[0] == marker.service.id
    assert isinstance(asked.args[1], QPoint)
    row = canvas.model.content.rows[1]
    workspace.select(row.registration, turn=2)
    with qtbot.waitSignal(canvas.turnActivated) as asked:
        qtbot.keyClick(canvas, Key.Key_Return)
    assert asked.args is not None
    assert asked.args[:2] == [row.registration, 2]
    assert row.rotation.turns[2].holds(asked.args[2])
    workspace.select(row.registration, leg=row.rotation.legs[3].id)
    with qtbot.waitSignal(canvas.legActivated) as asked:
        qtbot.keyClick(canvas, Key.Key_Return)
    assert asked.args is not None
    assert asked.args[0] == row.rotation.legs[3].id


def test_a_move_begun_by_keyboard_is_kept_when_the_focus_goes_elsewhere(
    qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker, qapp: QApplication
) -> None:
    other = QLineEdit(canvas)
    other.show()
    workspace.select(service=marker.service.id)
    qtbot.keyClick(canvas, Key.Key_Right)
    other.setFocus()
    qtbot.waitUntil(lambda: not canvas.hasFocus())
    assert not workspace.in_stroke
    assert workspace.undo_stack.count() == 1


def test_escape_clears_the_selection_when_nothing_is_moved(
    qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker
) -> None:
    workspace.select(service=marker.service.id)
    qtbot.keyClick(canvas, Key.Key_Escape)
    assert workspace.selection.aircraft is None


def test_page_keys_pan_as_dragging_the_ground_does(canvas, qtbot) -> None:
    canvas.navigate.show_hours(4.0)
    model = canvas.model
    qtbot.keyClick(canvas, Qt.Key.Key_Home)
    first = model.layout.scroll_x
    assert first == model.viewport.bounds_x[0]
    qtbot.keyClick(canvas, Qt.Key.Key_PageDown)
    assert model.layout.scroll_x - first == round(model.layout.plot_width / 2)
    qtbot.keyClick(canvas, Qt.Key.Key_PageUp)
    assert model.layout.scroll_x == first
    qtbot.keyClick(canvas, Qt.Key.Key_End)
    assert model.layout.scroll_x == model.viewport.bounds_x[1] > first
    canvas.resize(1400, 420)
    qtbot.keyClick(canvas, Qt.Key.Key_PageDown, Qt.KeyboardModifier.ShiftModifier)
    assert model.layout.scroll_y > 0
    qtbot.keyClick(canvas, Qt.Key.Key_Home, Qt.KeyboardModifier.ShiftModifier)
    assert model.layout.scroll_y == 0
