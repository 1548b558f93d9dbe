"""What the canvas shows: tiles, live rows, palettes, baselines, proposals, and text that stays text."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, QSize
from PySide6.QtGui import QColor, QHelpEvent, QImage, QPainter
from PySide6.QtWidgets import QApplication, QToolTip

from legtide.day.document import Service
from legtide.day.edits import change_service, change_station
from legtide.draw.colours import DARK, LIGHT
from legtide.draw.content import Marker
from legtide.draw.fan import Window
from legtide.view.timeline import tiles
from legtide.view.timeline.canvas import BoardCanvas
from legtide.view.timeline.tiles import TileCache
from legtide.workspace.workspace import Workspace
from support.boards import HOME, at, board_day

TRICKY = '<img src="/etc/hostname"><b>QX</b> &amp; "1 < 2"'


def picture(canvas: BoardCanvas) -> np.ndarray:
    image = canvas.viewport().grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    raw = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4)
    return raw[:, :, 2::-1].astype(int)


def is_near(pixels: np.ndarray, name: str) -> np.ndarray:
    return np.abs(pixels - np.array(QColor(name).getRgb()[:3])).sum(axis=2) < 60


def test_a_scrolled_view_is_the_view_painted_anew(canvas: BoardCanvas) -> None:
    canvas.resize(1000, 460)
    canvas.navigate.show_between(canvas.model.content.start, canvas.model.content.start + 360.0)
    picture(canvas)
    for _ in range(7):
        canvas.scroll_by(37, 11)
        QApplication.processEvents()
    scrolled = picture(canvas)
    canvas.composer.forget()
    assert np.abs(scrolled - picture(canvas)).max() == 0


def test_a_row_looks_the_same_after_a_cancelled_drag(
    qtbot, canvas: BoardCanvas, marker: Marker, mouse, place_of
) -> None:
    canvas.workspace.select(service=marker.service.id)
    before = picture(canvas)
    mouse.press(place_of(marker.service.id))
    mouse.drag_to(mouse.at + QPointF(150.0, 0.0))
    qtbot.waitUntil(lambda: canvas.workspace.shown is not canvas.workspace.day)
    assert np.abs(picture(canvas) - before).max() > 0
    canvas.mover.cancel()
    mouse.release()
    assert np.abs(picture(canvas) - before).max() == 0


def test_a_marker_that_is_moved_is_painted_once_even_before_the_levels_follow(
    canvas: BoardCanvas, marker: Marker, place_of
) -> None:
    place = place_of(marker.service.id)
    around = np.s_[int(place.y()) - 8 : int(place.y()) + 8, int(place.x()) - 7 : int(place.x()) + 7]
    hue = LIGHT.hue(marker.service.tank)
    assert is_near(picture(canvas)[around], hue).mean() > 0.3
    stroke = canvas.mover.begin(marker.service.id)
    assert stroke is not None
    stroke.jump(True)
    canvas.mover.show(stroke)
    # The preview is still waiting for its frame: the row's own projection has the service where it was.
    assert is_near(picture(canvas)[around], hue).mean() < 0.1
    x = round(canvas.model.layout.x_of(stroke.start))
    there = np.s_[int(place.y()) - 8 : int(place.y()) + 8, x - 7 : x + 7]
    assert is_near(picture(canvas)[there], hue).mean() > 0.3
    canvas.mover.cancel()


def test_only_the_moved_row_and_its_lane_are_painted_again(
    qtbot, canvas: BoardCanvas, marker: Marker, mouse, place_of, monkeypatch: pytest.MonkeyPatch
) -> None:
    start = place_of(marker.service.id)
    mouse.press(start)
    mouse.drag_to(start + QPointF(60.0, 0.0))
    QApplication.processEvents()
    made: list[object] = []
    real = TileCache._pixmap
    monkeypatch.setattr(
        TileCache,
        "_keep",
        lambda self, place, token, pixmap: made.append(place[0]) or None,  # type: ignore[func-returns-value]
    )
    mouse.drag_to(start + QPointF(90.0, 0.0))
    qtbot.wait(40)
    QApplication.processEvents()
    assert real is TileCache._pixmap
    other = {row.registration for row in canvas.model.content.rows} - {marker.service.aircraft}
    assert not [key for key in made if key in other]
    mouse.release()


@pytest.mark.parametrize("dark", [False, True])
def test_the_palette_is_the_one_asked_for(canvas: BoardCanvas, dark: bool) -> None:
    canvas.set_dark(dark)
    shown = DARK if dark else LIGHT
    assert is_near(picture(canvas)[200:400, 300:1200], shown.water).any()
    assert is_near(picture(canvas)[-30:], shown.ground).mean() > 0.3


def test_the_past_is_veiled_and_now_has_a_line(canvas: BoardCanvas, workspace: Workspace) -> None:
    before = picture(canvas)
    workspace.set_now(at(720))
    after = picture(canvas)
    x = round(canvas.model.layout.x_of(canvas.model.now))  # type: ignore[arg-type]
    assert is_near(after[60:400, x - 1 : x + 1], LIGHT.accent).all()
    past, ahead = np.s_[60:400, 200 : x - 10], np.s_[60:400, x + 10 : 1300]
    assert np.abs(after[past] - before[past]).max() > 30
    assert np.abs(after[ahead] - before[ahead]).max() == 0


def test_a_baseline_is_shown_only_where_it_differs(canvas: BoardCanvas, workspace: Workspace) -> None:
    workspace.keep_baseline()
    assert all(canvas.model.extras(row.registration).ghost is None for row in canvas.model.content.rows)
    row = canvas.model.content.rows[1]
    workspace.apply(change_service(workspace.day, row.markers[0].service.id, state="skipped"), "Skip")
    ghosts = {name.registration for name in canvas.model.content.rows if canvas.model.extras(name.registration).ghost}
    assert ghosts == {row.registration}
    with_ghost = picture(canvas)
    workspace.drop_baseline()
    assert np.abs(picture(canvas) - with_ghost).max() > 0
    assert canvas.model.extras(row.registration).ghost is None


def test_proposals_are_outlines_until_they_are_taken_off(canvas: BoardCanvas) -> None:
    row = canvas.model.content.rows[0]
    turn = row.rotation.turns[-2]
    assert turn.start is not None
    start = turn.start.timestamp() / 60.0 + 20.0
    before = picture(canvas)
    canvas.set_proposals(((Service(aircraft=row.registration, turn=turn.number, tank="waste"), start),))
    x, box = round(canvas.model.layout.x_of(start)), canvas.model.layout.stack.boxes[0]
    y = canvas.model.layout.view_top(box) + round(box.frame.marker_y)
    around = np.s_[y - 9 : y + 9, x - 8 : x + 8]
    assert is_near(picture(canvas)[around], LIGHT.waste).any()
    canvas.set_proposals(())
    assert np.abs(picture(canvas) - before).max() == 0


def test_dense_rows_are_taken_when_asked_for_and_above_fifteen_aircraft(canvas: BoardCanvas, qtbot) -> None:
    assert canvas.model.layout.stack.boxes[0].frame.style == "normal"
    canvas.set_density("dense")
    assert canvas.model.layout.stack.boxes[0].frame.height == 20
    many = BoardCanvas(Workspace(board_day(16, legs=3)))
    qtbot.addWidget(many)
    assert many.model.layout.stack.boxes[0].frame.style == "dense"
    many.set_density("normal")
    assert many.model.layout.stack.boxes[0].frame.style == "normal"


def test_names_with_markup_are_painted_as_typed_and_tooltips_are_plain(
    qtbot, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    day = board_day(3)
    day = change_station(day, HOME, name=TRICKY)
    day = change_service(day, day.services[0].id, remark=TRICKY)
    workspace = Workspace(day)
    workspace.set_local_station(HOME)
    canvas = BoardCanvas(workspace, legend=True)
    canvas.resize(1400, 700)
    qtbot.addWidget(canvas)
    canvas.show()
    drawn: list[str] = []
    real = QPainter.drawText
    monkeypatch.setattr(QPainter, "drawText", lambda self, point, text: (drawn.append(text), real(self, point, text)))
    picture(canvas)
    assert f"Trucks at {TRICKY}" in drawn
    told: list[str] = []
    monkeypatch.setattr(QToolTip, "showText", lambda where, text, *rest: told.append(text))
    marker = canvas.model.marker(day.services[0].id)
    assert marker is not None
    box = canvas.model.box(marker.service.aircraft)
    assert box is not None
    spot = canvas.model.scene(box).spot(marker.service.id)
    assert spot is not None
    where = QPoint(round(canvas.model.layout.view_x(spot.x)), round(canvas.model.layout.view_top(box) + spot.y))
    QApplication.sendEvent(
        canvas.viewport(), QHelpEvent(QEvent.Type.ToolTip, where, canvas.viewport().mapToGlobal(where))
    )
    assert "&lt;img src=&quot;/etc/hostname&quot;&gt;" in told[0]
    assert "<img" not in told[0]


def test_the_oldest_tiles_go_when_there_are_too_many(qapp: QApplication, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tiles, "MOST_BYTES", 3 * tiles.TILE_PX * 20 * 4)
    cache, painted = TileCache(1.0), []
    target = QImage(QSize(4 * tiles.TILE_PX, 20), QImage.Format.Format_RGB32)

    def render(painter: QPainter, window: Window) -> None:
        painted.append(window.left)

    with QPainter(target) as painter:
        for number in (0, 1, 2, 3, 3, 0):
            window = Window(number * tiles.TILE_PX + 1.0, number * tiles.TILE_PX + 2.0)
            cache.paint(painter, "row", (), 20, window, QPointF(), render)
    assert len(cache) == 3
    assert [left / tiles.TILE_PX for left in painted] == [0.0, 1.0, 2.0, 3.0, 0.0]


def test_a_tile_is_painted_anew_when_one_of_its_objects_is_another(qapp: QApplication) -> None:
    cache, painted = TileCache(2.0), []
    target = QImage(QSize(100, 20), QImage.Format.Format_RGB32)
    one, other = [1], [1]
    with QPainter(target) as painter:
        for thing in (one, one, other):
            cache.paint(
                painter, "row", (thing,), 20, Window(0.0, 9.0), QPointF(), lambda p, w: painted.append(w.left)
            )
    assert len(painted) == 2
