"""A leg's bar is dragged: its estimates move, what breaks is seen, Esc puts it back, release makes one undo step."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import QPointF, Qt

from legtide.day.document import Leg
from legtide.day.edits import change_leg, change_service, service
from legtide.day.rotations import off_blocks, on_blocks
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace
from support.boards import HOME


def leg_of(workspace: Workspace, leg_id: str) -> Leg:
    return next(row for row in workspace.day.legs if row.id == leg_id)


@pytest.fixture
def slipping(canvas: BoardCanvas) -> Leg:
    """A leg into the station with trucks, in the middle of a day, after which a truck serves the aircraft."""
    for row in canvas.model.content.rows:
        for number, leg in enumerate(row.rotation.legs[2:6], start=3):
            after = [x for x in row.rotation.services if x.turn == number and x.truck is not None]
            if after and leg.destination == HOME and leg.etd is None:
                return leg
    raise AssertionError("the day has no such leg")


def on_bar(canvas: BoardCanvas, leg: Leg) -> QPointF:
    box = canvas.model.box(leg.aircraft)
    assert box is not None
    found = next(row for row in canvas.model.scene(box).legs if row.leg.id == leg.id)
    layout = canvas.model.layout
    middle = (box.frame.bar_top + box.frame.bar_bottom) / 2.0
    return QPointF(layout.view_x(0.75 * found.left + 0.25 * found.right), layout.view_top(box) + middle)


def minutes_px(canvas: BoardCanvas, minutes: float) -> float:
    return canvas.model.layout.scale.x(minutes) - canvas.model.layout.scale.x(0.0)


def test_a_dragged_bar_moves_both_estimates_by_whole_minutes(
    canvas: BoardCanvas, workspace: Workspace, slipping: Leg, mouse
) -> None:
    place = on_bar(canvas, slipping)
    mouse.press(place)
    mouse.drag_to(place + QPointF(minutes_px(canvas, 40.0), 0.0))
    mouse.release()
    late = leg_of(workspace, slipping.id)
    assert late.etd is not None
    assert late.eta is not None
    assert (late.std, late.sta, late.atd, late.ata) == (slipping.std, slipping.sta, None, None)
    assert late.etd - off_blocks(slipping) == late.eta - on_blocks(slipping)
    assert timedelta(minutes=38) <= late.etd - slipping.std <= timedelta(minutes=42)
    assert (late.etd - slipping.std).total_seconds() % 60 == 0
    assert workspace.undo_stack.count() == 1
    assert workspace.undo_stack.undoText() == f"Slip {slipping.flight} of {slipping.aircraft}"
    workspace.undo()
    assert leg_of(workspace, slipping.id) == slipping


def test_levels_and_broken_services_are_shown_before_the_button_is_released(
    qtbot, canvas: BoardCanvas, workspace: Workspace, slipping: Leg, mouse
) -> None:
    settled = workspace.projection.aircraft[slipping.aircraft]
    day, before = workspace.day, set(canvas.model.broken)
    row = canvas.model.row(slipping.aircraft)
    assert row is not None
    number = row.rotation.legs.index(slipping) + 1
    served = {x.id for x in row.rotation.services if x.turn == number and x.truck is not None}
    place = on_bar(canvas, slipping)
    mouse.press(place)
    mouse.drag_to(place + QPointF(minutes_px(canvas, 45.0), 0.0))
    qtbot.waitUntil(lambda: workspace.projection.aircraft[slipping.aircraft] is not settled)
    assert workspace.day is day
    assert served <= set(canvas.model.broken)
    assert not served <= before
    assert served <= canvas.model.extras_of(slipping.aircraft).broken
    moving = canvas.composer.moving
    assert moving is not None
    assert moving.bubble.title.startswith(f"{slipping.flight} off blocks ")
    assert "min" in moving.bubble.detail
    assert "not work" in moving.bubble.detail
    qtbot.keyClick(canvas, Qt.Key.Key_Escape)
    mouse.release()
    assert workspace.shown is day
    assert set(canvas.model.broken) == before
    assert workspace.undo_stack.count() == 0


def test_brought_back_to_its_place_a_bar_makes_no_undo_step(
    canvas: BoardCanvas, workspace: Workspace, slipping: Leg, mouse
) -> None:
    day, place = workspace.day, on_bar(canvas, slipping)
    mouse.press(place)
    mouse.drag_to(place + QPointF(60.0, 0.0))
    mouse.drag_to(place)
    mouse.release()
    assert workspace.day is day
    assert workspace.undo_stack.count() == 0


def test_a_service_that_nobody_was_sent_to_keeps_its_distance_to_the_arrival(
    canvas: BoardCanvas, workspace: Workspace, slipping: Leg
) -> None:
    row = canvas.model.row(slipping.aircraft)
    assert row is not None
    number = row.rotation.legs.index(slipping) + 1
    sent = next(x for x in row.rotation.services if x.turn == number)
    day = change_service(workspace.day, sent.id, truck=None)
    workspace.apply(day, "take the truck away")
    free = service(workspace.day, sent.id)
    stroke = canvas.mover.begin_slip(slipping.id)
    assert stroke is not None
    stroke.nudge(12.0)
    canvas.mover.show(stroke)
    canvas.mover.place()
    assert free.start is not None
    assert service(workspace.day, sent.id).start == free.start + timedelta(minutes=12)
    assert workspace.undo_stack.count() == 2


def test_a_leg_never_leaves_before_the_aircraft_is_there(
    canvas: BoardCanvas, workspace: Workspace, slipping: Leg
) -> None:
    row = canvas.model.row(slipping.aircraft)
    assert row is not None
    before = row.rotation.legs[row.rotation.legs.index(slipping) - 1]
    stroke = canvas.mover.begin_slip(slipping.id)
    assert stroke is not None
    stroke.nudge(-600.0)
    canvas.mover.show(stroke)
    canvas.mover.place()
    assert off_blocks(leg_of(workspace, slipping.id)) == on_blocks(before)


def test_of_a_leg_that_has_left_only_the_arrival_moves(
    canvas: BoardCanvas, workspace: Workspace, slipping: Leg
) -> None:
    workspace.apply(change_leg(workspace.day, slipping.id, atd=slipping.std), "has left")
    stroke = canvas.mover.begin_slip(slipping.id)
    assert stroke is not None
    assert stroke.departed
    stroke.nudge(15.0)
    canvas.mover.place()
    late = leg_of(workspace, slipping.id)
    assert (late.atd, late.etd) == (slipping.std, None)
    assert late.eta == slipping.sta + timedelta(minutes=15)


def test_a_leg_that_has_arrived_is_refused_with_a_sentence(
    qtbot, canvas: BoardCanvas, workspace: Workspace, slipping: Leg, mouse
) -> None:
    workspace.apply(change_leg(workspace.day, slipping.id, atd=slipping.std, ata=slipping.sta), "has arrived")
    day, place = workspace.day, on_bar(canvas, slipping)
    with qtbot.waitSignal(canvas.refused) as said:
        mouse.press(place)
        mouse.drag_to(place + QPointF(50.0, 0.0))
    mouse.release()
    assert said.args == [f"{slipping.flight} has arrived: its times are facts"]
    assert workspace.day is day


def test_the_arrows_slip_a_selected_leg_and_escape_puts_it_back(
    qtbot, canvas: BoardCanvas, workspace: Workspace, slipping: Leg
) -> None:
    canvas.navigate.reveal_leg(slipping.id)
    day = workspace.day
    qtbot.keyClick(canvas, Qt.Key.Key_Right)
    qtbot.keyClick(canvas, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    stroke = canvas.mover.stroke
    assert stroke is not None
    assert stroke.start - stroke.origin == 6.0
    qtbot.keyClick(canvas, Qt.Key.Key_Escape)
    assert workspace.shown is day
    qtbot.keyClick(canvas, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(canvas, Qt.Key.Key_Return)
    assert leg_of(workspace, slipping.id).etd == slipping.std - timedelta(minutes=5)
    assert workspace.undo_stack.count() == 1


def test_control_and_an_arrow_go_to_the_leg_beside_it(
    qtbot, canvas: BoardCanvas, workspace: Workspace, slipping: Leg
) -> None:
    row = canvas.model.row(slipping.aircraft)
    assert row is not None
    legs = row.rotation.legs
    canvas.navigate.reveal_leg(slipping.id)
    qtbot.keyClick(canvas, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    assert workspace.selection.leg == legs[legs.index(slipping) + 1].id
    assert workspace.undo_stack.count() == 0


def test_below_the_bar_a_drag_still_pans(canvas: BoardCanvas, workspace: Workspace, slipping: Leg, mouse) -> None:
    canvas.navigate.show_between(canvas.model.content.start, canvas.model.content.start + 400.0)
    canvas.navigate.follow(off_blocks(slipping).timestamp() / 60.0)
    before = canvas.model.layout.scroll_x
    place = on_bar(canvas, slipping) + QPointF(0.0, 26.0)
    mouse.press(place)
    mouse.drag_to(place + QPointF(-80.0, 0.0))
    mouse.release()
    assert canvas.model.layout.scroll_x == before + 80
    assert workspace.undo_stack.count() == 0
