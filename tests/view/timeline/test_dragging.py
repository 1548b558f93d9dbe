"""A service is dragged: its levels follow, Esc puts it back, release makes one undo step."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPointF, Qt

from legtide.day.document import Day
from legtide.day.edits import service
from legtide.draw.content import Marker
from legtide.engine.projection import project
from legtide.engine.types import Projection, to_minutes
from legtide.view.timeline.canvas import BoardCanvas
from legtide.view.timeline.landing import landings
from legtide.workspace.workspace import Workspace
from support.boards import board_day


def shown(qtbot, workspace: Workspace, height: int) -> BoardCanvas:
    canvas = BoardCanvas(workspace)
    canvas.resize(1400, height)
    qtbot.addWidget(canvas)
    canvas.show()
    qtbot.waitExposed(canvas)
    return canvas


def turn_centre(canvas: BoardCanvas, marker: Marker, turn: int) -> float:
    """View pixel of the middle of a turn in the marker's row."""
    box = canvas.model.box(marker.service.aircraft)
    assert box is not None
    found = next(row for row in canvas.model.scene(box).turns if row.turn.number == turn)
    return canvas.model.layout.view_x((found.left + found.right) / 2.0)


def free_turns(canvas: BoardCanvas, marker: Marker) -> list[int]:
    row = canvas.model.row(marker.service.aircraft)
    assert row is not None
    places = landings(canvas.workspace.day, row.rotation, marker.service, None)
    return sorted({place.turn for place in places} - {marker.service.turn, 0, len(row.rotation.legs)})


@pytest.mark.parametrize("forward", [True, False])
def test_a_marker_dragged_to_another_turn_lands_there(
    canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse, place_of, forward: bool
) -> None:
    turns = [turn for turn in free_turns(canvas, marker) if (turn > marker.service.turn) is forward]
    wanted = turns[0] if forward else turns[-1]
    start = place_of(marker.service.id)
    mouse.press(start)
    mouse.drag_to(QPointF(turn_centre(canvas, marker, wanted), start.y()))
    mouse.release()
    moved = service(workspace.day, marker.service.id)
    assert moved.turn == wanted
    turn = canvas.model.row(moved.aircraft).rotation.turns[wanted]  # type: ignore[union-attr]
    assert moved.start is not None
    assert turn.start is not None
    assert turn.end is not None
    assert turn.start < moved.start < turn.end
    assert moved.start.second == 0
    assert workspace.undo_stack.count() == 1
    workspace.undo()
    assert service(workspace.day, marker.service.id) == marker.service


def test_the_levels_follow_before_the_button_is_released(
    qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse, place_of
) -> None:
    settled = workspace.projection.aircraft[marker.service.aircraft]
    day = workspace.day
    start = place_of(marker.service.id)
    wanted = free_turns(canvas, marker)[-1]
    mouse.press(start)
    mouse.drag_to(QPointF(turn_centre(canvas, marker, wanted), start.y()))
    qtbot.waitUntil(lambda: workspace.projection.aircraft[marker.service.aircraft] is not settled)
    assert workspace.day is day
    row = canvas.model.row(marker.service.aircraft)
    assert row is not None
    assert row.projection is workspace.projection.aircraft[marker.service.aircraft]
    moving = canvas.composer.moving
    assert moving is not None
    assert moving.bubble.title.startswith("Water service " if marker.service.tank == "fresh" else "Waste service ")
    assert "→" in moving.bubble.detail
    mouse.release()


def test_escape_puts_everything_back_and_the_rest_of_the_drag_does_nothing(
    qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse, place_of
) -> None:
    day, projection = workspace.day, workspace.projection
    start = place_of(marker.service.id)
    mouse.press(start)
    mouse.drag_to(start + QPointF(180.0, 0.0))
    qtbot.waitUntil(lambda: workspace.shown is not day)
    qtbot.keyClick(canvas, Qt.Key.Key_Escape)
    assert workspace.shown is day
    assert workspace.projection is projection
    assert canvas.mover.stroke is None
    mouse.drag_to(start + QPointF(260.0, 0.0))
    mouse.release()
    assert workspace.day is day
    assert workspace.undo_stack.count() == 0


def test_a_marker_brought_back_to_its_place_makes_no_undo_step(
    canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse, place_of
) -> None:
    day, start = workspace.day, place_of(marker.service.id)
    mouse.press(start)
    mouse.drag_to(start + QPointF(200.0, 0.0))
    mouse.drag_to(start)
    mouse.release()
    assert workspace.day is day
    assert workspace.undo_stack.count() == 0


def test_a_press_that_hardly_moves_selects_and_moves_nothing(
    canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse, place_of
) -> None:
    mouse.press(place_of(marker.service.id))
    mouse.drag_to(mouse.at + QPointF(2.0, 1.0), steps=2)
    mouse.release()
    assert workspace.selection.service == marker.service.id
    assert workspace.undo_stack.count() == 0


def test_a_burst_of_a_thousand_moves_is_projected_once(qtbot) -> None:
    asked: list[Day] = []

    def counting(day: Day, previous: Projection | None) -> Projection:
        asked.append(day)
        return project(day, previous)

    workspace = Workspace(board_day(8), project=counting)
    canvas = shown(qtbot, workspace, 900)
    moved = canvas.model.content.rows[2].markers[2].service.id
    stroke = canvas.mover.begin(moved)
    assert stroke is not None
    asked.clear()
    for step in range(1000):
        stroke.move_to(stroke.origin + (step % 38) * 40.0)
        canvas.mover.show(stroke)
    assert asked == []
    qtbot.waitUntil(lambda: bool(asked))
    qtbot.wait(60)
    assert len(asked) == 1
    last = service(workspace.shown, moved)
    assert last.start is not None
    assert to_minutes(last.start) == stroke.start
    canvas.mover.cancel()


def test_the_row_opens_only_after_the_button_is_released(
    canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse, place_of
) -> None:
    place = place_of(marker.service.id)
    mouse.press(place)
    assert workspace.selection.service == marker.service.id
    assert canvas.model.focus is None
    mouse.release()
    assert canvas.model.focus == canvas.model.content.index[marker.service.aircraft]
    assert place_of(marker.service.id).x() == place.x()


def test_the_row_stays_where_it_is_when_the_one_above_it_closes(qtbot) -> None:
    workspace = Workspace(board_day(15))
    canvas = shown(qtbot, workspace, 600)
    rows = canvas.model.content.rows
    workspace.select(rows[1].registration)
    canvas.scroll_by(0, 350)
    box = canvas.model.box(rows[8].registration)
    assert box is not None
    before = canvas.model.layout.view_top(box)
    workspace.select(rows[8].registration)
    opened = canvas.model.box(rows[8].registration)
    assert opened is not None
    assert opened.frame.style == "focus"
    assert canvas.model.layout.view_top(opened) == before


def test_an_undo_elsewhere_ends_the_drag(
    qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse, place_of
) -> None:
    start = place_of(marker.service.id)
    mouse.press(start)
    mouse.drag_to(start + QPointF(180.0, 0.0))
    qtbot.waitUntil(lambda: workspace.shown is not workspace.day)
    workspace.undo()
    assert canvas.mover.stroke is None
    mouse.drag_to(start)
    mouse.release()
    assert workspace.undo_stack.count() == 0


def test_dragging_empty_ground_pans_and_keeps_the_selection(canvas: BoardCanvas, workspace: Workspace, mouse) -> None:
    canvas.navigate.show_between(canvas.model.content.start, canvas.model.content.start + 360.0)
    before = canvas.model.layout.scroll_x
    row_y = canvas.model.layout.view_top(canvas.model.layout.stack.boxes[1]) + 50.0
    mouse.press(QPointF(900.0, row_y))
    mouse.drag_to(QPointF(700.0, row_y))
    mouse.release()
    assert canvas.model.layout.scroll_x == before + 200
    assert workspace.selection.aircraft is None


def test_a_marker_held_at_the_edge_pulls_the_view(
    qtbot, canvas: BoardCanvas, marker: Marker, mouse, place_of
) -> None:
    canvas.navigate.show_between(marker.start - 150.0, marker.start + 90.0)
    mouse.press(place_of(marker.service.id))
    before = canvas.model.layout.scroll_x
    mouse.drag_to(QPointF(canvas.model.layout.width - 3.0, mouse.at.y()))
    qtbot.waitUntil(lambda: canvas.model.layout.scroll_x > before + 40)
    mouse.release()
    after = canvas.model.layout.scroll_x
    qtbot.wait(90)
    assert canvas.model.layout.scroll_x == after


def test_a_release_that_went_elsewhere_ends_the_drag_at_the_next_move(
    canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse, place_of
) -> None:
    start = place_of(marker.service.id)
    wanted = free_turns(canvas, marker)[-1]
    mouse.press(start)
    mouse.drag_to(QPointF(turn_centre(canvas, marker, wanted), start.y()))
    mouse.hover(mouse.at)
    assert canvas.mover.stroke is None
    assert service(workspace.day, marker.service.id).turn == wanted
    assert canvas.model.focus == canvas.model.content.index[marker.service.aircraft]


def test_nothing_moves_in_a_day_that_may_only_be_read(
    canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse, place_of, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(type(workspace), "read_only", property(lambda self: True))
    day = workspace.day
    mouse.press(place_of(marker.service.id))
    mouse.drag_to(mouse.at + QPointF(200.0, 0.0))
    assert canvas.mover.stroke is None
    mouse.release()
    assert workspace.shown is day


def test_a_move_that_went_nowhere_is_taken_off_the_board_by_an_undo(
    canvas: BoardCanvas, workspace: Workspace, marker: Marker, mouse
) -> None:
    assert canvas.mover.begin(marker.service.id) is not None
    workspace.undo()
    mouse.hover(QPointF(5.0, 5.0))
    assert canvas.composer.moving is None
