"""A service is dragged among the trucks' lanes: to another truck, or in time; conflicts are shown while it moves."""

from __future__ import annotations

from itertools import pairwise

import pytest
from PySide6.QtCore import QPointF, Qt

from legtide.day.document import Service
from legtide.day.edits import service
from legtide.draw.lanes import LANE_PX, lane_tops
from legtide.plan.station import plan_station
from legtide.plan.stop import AfterIterations
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace
from support.station_days import station_day


@pytest.fixture(scope="module")
def planned():
    """Four aircraft at BAKE with two trucks of each kind, planned so that all of them can be worked."""
    services = tuple(
        Service(id=f"s{n}{tank[0]}", aircraft=f"QX-{n}", turn=3, tank=tank, target_percent=target)
        for n in range(4)
        for tank, target in (("fresh", 100.0), ("waste", 0.0))
    )
    day = station_day(4, trucks=2, services=services)
    return plan_station(day, "BAKE", stop=AfterIterations(60), propose=False).day


@pytest.fixture
def workspace(qapp, planned) -> Workspace:
    made = Workspace(planned)
    made.set_local_station("BAKE")
    return made


def lane_middle(canvas: BoardCanvas, truck: str) -> float:
    layout = canvas.model.layout
    top = next(y for y, lane in lane_tops(layout.groups) if lane is not None and lane.truck.id == truck)
    return layout.rows_bottom - layout.scroll_lanes + top + LANE_PX / 2.0


def piece(canvas: BoardCanvas, name: str) -> QPointF:
    marker = canvas.model.marker(name)
    assert marker is not None
    assert marker.service.truck is not None
    middle = canvas.model.layout.x_of((marker.start + marker.end) / 2.0)
    return QPointF(middle, lane_middle(canvas, marker.service.truck))


def other(truck: str) -> str:
    return f"{truck[0]}{1 - int(truck[1])}"


@pytest.fixture
def water(workspace: Workspace) -> Service:
    """A water service that has a truck."""
    return next(row for row in workspace.day.services if row.tank == "fresh" and row.truck is not None)


def test_dragged_to_another_lane_the_other_truck_has_it(
    canvas: BoardCanvas, workspace: Workspace, water: Service, mouse
) -> None:
    assert water.truck is not None
    place, wanted = piece(canvas, water.id), other(water.truck)
    mouse.press(place)
    mouse.drag_to(QPointF(place.x(), lane_middle(canvas, wanted)))
    moving = canvas.composer.moving
    assert moving is not None
    assert moving.bubble.title.endswith(f" · {wanted}")
    mouse.release()
    moved = service(workspace.day, water.id)
    assert (moved.truck, moved.turn, moved.start) == (wanted, water.turn, water.start)
    assert workspace.undo_stack.count() == 1
    workspace.undo()
    assert service(workspace.day, water.id) == water


def test_dragged_along_its_lane_it_starts_later_in_the_same_turn(
    canvas: BoardCanvas, workspace: Workspace, water: Service, mouse
) -> None:
    place = piece(canvas, water.id)
    mouse.press(place)
    mouse.drag_to(place + QPointF(900.0, 0.0))
    mouse.release()
    moved = service(workspace.day, water.id)
    assert (moved.truck, moved.turn) == (water.truck, water.turn)
    assert moved.start is not None
    assert water.start is not None
    assert moved.start > water.start


@pytest.mark.parametrize(("tank", "word"), [("fresh", "waste"), ("waste", "drinking water")])
def test_a_truck_of_the_other_kind_is_refused_with_a_sentence(
    qtbot, canvas: BoardCanvas, workspace: Workspace, mouse, tank: str, word: str
) -> None:
    row = next(row for row in workspace.day.services if row.tank == tank and row.truck is not None)
    day, place = workspace.day, piece(canvas, row.id)
    wrong = "T0" if tank == "fresh" else "W0"
    with qtbot.waitSignal(canvas.refused) as said:
        mouse.press(place)
        mouse.drag_to(QPointF(place.x(), lane_middle(canvas, wrong)))
        moving = canvas.composer.moving
        assert moving is not None
        assert moving.bubble.detail.startswith(f"{wrong} handles ")
        mouse.release()
    kind = "waste" if tank == "waste" else "drinking water"
    assert said.args == [f"{wrong} handles {word}: such a vehicle never handles {kind}"]
    assert workspace.day is day


def test_a_conflict_is_shown_while_it_is_dragged(qtbot, canvas: BoardCanvas, workspace: Workspace, mouse) -> None:
    rows = sorted((row for row in workspace.day.services if row.tank == "waste" and row.truck), key=lambda r: r.start)
    first, second = next((a, b) for a, b in pairwise(rows) if a.truck == b.truck)
    assert canvas.model.broken == {}
    day = workspace.day
    mouse.press(piece(canvas, second.id))
    place = piece(canvas, first.id)
    mouse.drag_to(place)
    qtbot.waitUntil(lambda: bool(canvas.model.broken))
    moving = canvas.composer.moving
    assert moving is not None
    assert "cannot serve" in moving.bubble.detail
    assert workspace.day is day
    qtbot.keyClick(canvas, Qt.Key.Key_Escape)
    mouse.release()
    assert canvas.model.broken == {}
    assert workspace.undo_stack.count() == 0


def test_control_and_up_or_down_give_it_to_another_truck(
    qtbot, canvas: BoardCanvas, workspace: Workspace, water: Service
) -> None:
    assert water.truck is not None
    canvas.navigate.reveal_service(water.id)
    key = Qt.Key.Key_Down if water.truck == "W0" else Qt.Key.Key_Up
    qtbot.keyClick(canvas, key, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClick(canvas, Qt.Key.Key_Return)
    assert service(workspace.day, water.id).truck == other(water.truck)
    assert workspace.undo_stack.count() == 1


def test_the_pointer_on_a_lane_shows_the_service_in_its_row_and_back(
    canvas: BoardCanvas, water: Service, mouse, place_of
) -> None:
    row = place_of(water.id)

    def patch() -> object:
        grabbed = canvas.grab().toImage()
        return grabbed.copy(round(row.x()) - 13, round(row.y()) - 13, 26, 26)

    plain = patch()
    mouse.hover(piece(canvas, water.id))
    assert canvas.model.linked == water.id
    assert patch() != plain
    mouse.hover(QPointF(5.0, 5.0))
    assert canvas.model.linked is None
    assert patch() == plain
    mouse.hover(row)
    assert canvas.model.linked == water.id
