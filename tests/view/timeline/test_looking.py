"""Zooming, scrolling, finding, and what a click means."""

from __future__ import annotations

import itertools

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent, QWheelEvent
from PySide6.QtWidgets import QApplication

from legtide.day.edits import delete_service
from legtide.draw.axis import HEADER_PX
from legtide.draw.content import board_content
from legtide.draw.gutter import GUTTER_PX
from legtide.draw.lanes import lane_tops
from legtide.draw.words import hhmm
from legtide.engine.projection import project
from legtide.engine.types import to_minutes
from legtide.view.timeline import composer
from legtide.view.timeline.banks import bank_after, banks
from legtide.view.timeline.canvas import BoardCanvas
from legtide.view.timeline.viewport import whole_step
from legtide.workspace.workspace import Workspace
from support.boards import HOME, at, board_day


def wheel(canvas: BoardCanvas, where: QPointF, turns: int, modifiers: Qt.KeyboardModifier) -> None:
    event = QWheelEvent(
        where,
        canvas.viewport().mapToGlobal(where),
        QPoint(),
        QPoint(0, 120 * turns),
        Qt.MouseButton.NoButton,
        modifiers,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(canvas.viewport(), event)


def test_the_whole_day_is_in_view_at_first_and_after_a_change_of_size(canvas: BoardCanvas) -> None:
    for width in (1400, 900):
        canvas.resize(width, 900)
        layout = canvas.model.layout
        assert layout.x_of(canvas.model.content.start) >= GUTTER_PX
        assert layout.x_of(canvas.model.content.end) <= layout.width
        assert canvas.horizontalScrollBar().maximum() == canvas.horizontalScrollBar().minimum()


def test_the_wheel_with_control_zooms_at_the_pointer(canvas: BoardCanvas) -> None:
    where = QPointF(800.0, 200.0)
    minutes = canvas.model.layout.minutes_at(where.x())
    before = canvas.model.layout.scale.px_per_min
    wheel(canvas, where, 4, Qt.KeyboardModifier.ControlModifier)
    after = canvas.model.layout
    assert after.scale.px_per_min > 2.0 * before
    assert after.x_of(minutes) == pytest.approx(where.x(), abs=1.0)
    wheel(canvas, where, -40, Qt.KeyboardModifier.ControlModifier)
    assert canvas.model.viewport.whole


@pytest.mark.parametrize("hours", [12.0, 6.0])
def test_a_preset_shows_so_many_hours_about_now(canvas: BoardCanvas, workspace: Workspace, hours: float) -> None:
    workspace.set_now(at(720))
    canvas.navigate.show_hours(hours)
    layout = canvas.model.layout
    assert layout.scale.width(hours * 60.0) == pytest.approx(layout.plot_width, abs=1.0)
    assert layout.x_of(to_minutes(at(720))) == pytest.approx(GUTTER_PX + layout.plot_width / 4.0, abs=2.0)
    canvas.navigate.show_day()
    assert canvas.model.viewport.whole


def test_jumping_to_now_needs_a_now(canvas: BoardCanvas, workspace: Workspace) -> None:
    assert canvas.navigate.jump_to_now() is False
    canvas.navigate.show_between(canvas.model.content.start, canvas.model.content.start + 240.0)
    workspace.set_now(at(900))
    assert canvas.navigate.jump_to_now() is True
    assert canvas.model.layout.plot.left() < canvas.model.layout.x_of(to_minutes(at(900))) < 800.0


def test_the_next_bank_is_zoomed_to(canvas: BoardCanvas, workspace: Workspace) -> None:
    workspace.set_now(at(700))
    bank = bank_after(canvas.model.content, HOME, to_minutes(at(700)))
    assert bank is not None
    assert canvas.navigate.zoom_to_bank() is True
    layout = canvas.model.layout
    assert layout.x_of(bank.start) >= GUTTER_PX
    assert layout.x_of(bank.end) <= layout.width
    workspace.set_local_station(None)
    assert canvas.navigate.zoom_to_bank() is False


def test_a_bank_is_turns_that_overlap() -> None:
    day = board_day(8)
    content = board_content(day, project(day))
    spans = sorted(
        (to_minutes(turn.start), to_minutes(turn.end))
        for row in content.rows
        for turn in row.rotation.turns
        if turn.station == HOME and turn.start and turn.end
    )
    found = banks(content, HOME)
    assert sum(bank.turns for bank in found) <= len(spans)
    for bank in found:
        inside = [span for span in spans if bank.start <= span[0] and span[1] <= bank.end]
        assert len(inside) == bank.turns >= 2
    for one, other in itertools.pairwise(found):
        assert one.end <= other.start


def test_an_aircraft_and_a_service_are_found(canvas: BoardCanvas, workspace: Workspace) -> None:
    canvas.resize(900, 400)
    canvas.navigate.show_between(canvas.model.content.start, canvas.model.content.start + 120.0)
    row = canvas.model.content.rows[-1]
    assert canvas.navigate.reveal(row.registration) is True
    assert workspace.selection.aircraft == row.registration
    box = canvas.model.box(row.registration)
    assert box is not None
    assert canvas.model.layout.view_top(box) >= HEADER_PX
    assert canvas.navigate.reveal_service(row.markers[-1].service.id) is True
    assert GUTTER_PX < canvas.model.layout.x_of(row.markers[-1].start) < canvas.model.layout.width
    assert canvas.navigate.reveal("QX-NONE") is False
    assert canvas.navigate.reveal_service("none") is False
    assert canvas.navigate.reveal_turn(row.registration, 99) is False


def test_scroll_bars_and_board_follow_each_other(canvas: BoardCanvas) -> None:
    canvas.resize(900, 400)
    canvas.navigate.show_between(canvas.model.content.start, canvas.model.content.start + 240.0)
    canvas.verticalScrollBar().setValue(100)
    assert canvas.model.layout.scroll_y == 100
    canvas.horizontalScrollBar().setValue(canvas.horizontalScrollBar().maximum())
    assert canvas.model.layout.scroll_x == canvas.horizontalScrollBar().maximum()
    wheel(canvas, QPointF(500.0, 200.0), 1, Qt.KeyboardModifier.NoModifier)
    assert canvas.verticalScrollBar().value() == canvas.model.layout.scroll_y == 40
    wheel(canvas, QPointF(500.0, 200.0), 1, Qt.KeyboardModifier.ShiftModifier)
    assert canvas.horizontalScrollBar().value() == canvas.model.layout.scroll_x


@pytest.mark.parametrize(("ratio", "step"), [(1.0, 1), (1.25, 4), (1.5, 2), (1.75, 4), (2.0, 1), (1.1, 1)])
def test_scrolling_keeps_to_whole_device_pixels(ratio: float, step: int) -> None:
    assert whole_step(ratio) == step


def test_clicks_select_what_they_hit(canvas: BoardCanvas, workspace: Workspace, mouse, place_of) -> None:
    canvas.resize(1400, 1500)  # taller than all rows: there is ground below them
    row = canvas.model.content.rows[3]
    mouse.click(place_of(row.markers[0].service.id))
    assert workspace.selection.service == row.markers[0].service.id
    box = canvas.model.box(row.registration)
    assert box is not None
    scene, layout = canvas.model.scene(box), canvas.model.layout
    y = layout.view_top(box) + box.frame.bar_bottom - 4.0
    mouse.click(QPointF(layout.view_x(scene.legs[1].left + 25.0), y))
    assert workspace.selection.leg == scene.legs[1].leg.id
    mouse.click(
        QPointF(layout.view_x((scene.turns[1].left + scene.turns[1].right) / 2.0), layout.view_top(box) + 60.0)
    )
    assert (workspace.selection.aircraft, workspace.selection.turn) == (row.registration, 1)
    mouse.click(QPointF(500.0, layout.rows_bottom - 3.0))
    assert workspace.selection.aircraft is None


def test_a_click_in_the_gutter_picks_the_row(qtbot, canvas: BoardCanvas, workspace: Workspace, mouse) -> None:
    box = canvas.model.layout.stack.boxes[2]
    with qtbot.waitSignal(canvas.rowSelected) as picked:
        mouse.click(QPointF(40.0, canvas.model.layout.view_top(box) + 20.0))
    assert picked.args == [canvas.model.content.rows[2].registration]
    assert canvas.model.focus == 2


def test_a_context_menu_is_asked_for_what_it_was_opened_on(qtbot, canvas: BoardCanvas, place_of) -> None:
    row = canvas.model.content.rows[1]
    wanted = row.markers[0].service.id
    where = place_of(wanted).toPoint()
    with qtbot.waitSignal(canvas.serviceActivated) as asked:
        event = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, where, canvas.viewport().mapToGlobal(where))
        QApplication.sendEvent(canvas.viewport(), event)
    assert asked.args is not None
    assert asked.args[0] == wanted


def test_what_lies_under_the_pointer_is_said(qtbot, canvas: BoardCanvas, mouse, place_of) -> None:
    said: list[str] = []
    canvas.hovered.connect(said.append)
    row = canvas.model.content.rows[1]
    mouse.hover(place_of(row.markers[0].service.id))
    assert said[-1].split(" service")[0] in ("Water", "Waste")
    mouse.hover(QPointF(30.0, 70.0))
    assert said[-1].startswith(canvas.model.content.rows[0].registration)


def test_a_leg_beyond_the_present_range_makes_the_range_grow_and_never_shrink_during_a_move(
    canvas: BoardCanvas, workspace: Workspace
) -> None:
    row = canvas.model.content.rows[0]
    marker = row.markers[0]
    stroke = canvas.mover.begin(marker.service.id)
    assert stroke is not None
    scale = canvas.model.layout.scale
    stroke.move_to(stroke.places[0].first)
    workspace._pace.flush()
    assert canvas.model.content.start < row.start
    assert canvas.model.layout.scale is scale
    stroke.move_to(stroke.origin)
    workspace._pace.flush()
    assert canvas.model.layout.scale is scale
    canvas.mover.cancel()


def test_a_truck_and_its_services_are_said(canvas: BoardCanvas, mouse) -> None:
    said: list[str] = []
    canvas.hovered.connect(said.append)
    layout = canvas.model.layout
    top, lane = next(row for row in lane_tops(layout.groups) if row[1] is not None)
    assert lane is not None
    y = layout.rows_bottom + top + 10.0
    mouse.hover(QPointF(30.0, y))
    assert said[-1] == f"{lane.truck.id}, water truck, 1800\u00a0L"
    piece = next(row for row in lane.pieces if row.kind == "service")
    mouse.hover(QPointF(layout.x_of((piece.start + piece.end) / 2.0), y))
    marker = canvas.model.marker(piece.service)
    assert marker is not None
    assert said[-1].startswith(f"{marker.service.aircraft}: Water service {hhmm(marker.start)}")


def test_while_the_wheel_turns_the_rows_are_stretched_and_then_painted_anew(canvas, qtbot, monkeypatch) -> None:
    canvas.grab()
    painted: list[str] = []
    base = composer.paint_base
    monkeypatch.setattr(composer, "paint_base", lambda *args: (painted.append("row"), base(*args)))
    for _ in range(3):
        wheel(canvas, QPointF(700.0, 300.0), 1, Qt.KeyboardModifier.ControlModifier)
        stretched = canvas.viewport().grab().toImage()
    assert painted == []
    assert canvas.composer.held is not None
    qtbot.waitUntil(lambda: canvas.composer.held is None)
    settled = canvas.viewport().grab().toImage()
    assert painted
    canvas.composer.forget()
    assert settled == canvas.viewport().grab().toImage()
    # The control: what was stretched is not what stands there in the end, but its header is.
    assert stretched != settled
    header = canvas.model.layout.header.toAlignedRect()
    assert stretched.copy(header) == settled.copy(header)


def test_an_edit_ends_the_stretching_at_once(canvas, workspace) -> None:
    wheel(canvas, QPointF(700.0, 300.0), 1, Qt.KeyboardModifier.ControlModifier)
    assert canvas.composer.held is not None
    service = workspace.day.services[0]
    workspace.apply(delete_service(workspace.day, service.id), "delete")
    assert canvas.composer.held is None
