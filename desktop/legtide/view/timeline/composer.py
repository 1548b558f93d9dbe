"""Puts a view of the board together from tiles, live rows and what lies above them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QRegion

from legtide.day.rotations import off_blocks, on_blocks
from legtide.draw.axis import paint_header, paint_header_gutter, paint_now_line
from legtide.draw.board import BoardLayout
from legtide.draw.colours import VEIL_ALPHA, Palette, brush
from legtide.draw.fan import Window
from legtide.draw.gutter import GUTTER_PX, paint_gutter
from legtide.draw.ink import Ink
from legtide.draw.lanes import LANE_PX, TITLE_PX, Lane, lane_tops, paint_lane, paint_lane_gutter, paint_lane_title
from legtide.draw.legend import paint_legend
from legtide.draw.legs import paint_carried_on, paint_left_behind, paint_leg_ring
from legtide.draw.overlay import (
    BUBBLE_PX,
    BubbleText,
    bubble_reach,
    bubble_rect,
    paint_bubble_ground,
    paint_bubble_text,
    paint_landing,
    paint_target,
)
from legtide.draw.row_painter import paint_base, paint_broken, paint_levels, paint_stem
from legtide.draw.rows import RowBox
from legtide.draw.scene import RowScene
from legtide.draw.services import RING_PX, look_of, paint_ring
from legtide.engine.types import to_minutes
from legtide.view.timeline.held import Held
from legtide.view.timeline.landing import Landing
from legtide.view.timeline.leg_stroke import LegStroke
from legtide.view.timeline.model import BoardModel
from legtide.view.timeline.stroke import ServiceStroke
from legtide.view.timeline.tiles import TileCache

CARRIED_PX: Final = 120
"""How far the words of a bar that begins before the view reach into it at most."""


@dataclass(frozen=True, slots=True)
class Moving:
    """A running move as it is painted."""

    stroke: ServiceStroke | LegStroke
    bubble: BubbleText

    @property
    def in_lanes(self) -> bool:
        """Whether it is a move among the trucks' lanes."""
        return isinstance(self.stroke, ServiceStroke) and self.stroke.in_lanes

    @property
    def registration(self) -> str:
        """The aircraft whose row is live."""
        return self.stroke.aircraft


class Composer:
    """Paints a board model with one palette at one device pixel ratio."""

    def __init__(self, model: BoardModel, colours: Palette, device_ratio: float) -> None:
        self._model = model
        self._ratio = device_ratio
        self.ink = Ink(colours, device_ratio, model.workspace.local_station, model.content.stations)
        self._tiles = TileCache(device_ratio)
        self.moving: Moving | None = None
        self.held: Held | None = None
        """What is stretched instead of painted, while the wheel turns."""

    @property
    def colours(self) -> Palette:
        """The palette in use."""
        return self.ink.colours

    def forget(self) -> None:
        """Everything is painted anew: another palette, station or font."""
        model = self._model
        self.ink = Ink(self.colours, self._ratio, model.workspace.local_station, model.content.stations)
        self._tiles.clear()

    # the whole --------------------------------------------------------------------------------------------

    def paint(self, painter: QPainter, dirty: QRegion) -> None:
        """Paints the dirty part of the view; the painter is already clipped to it."""
        layout = self._model.layout
        held = self.held if self.held is not None and self.held.fits(layout) and self.moving is None else None
        if held is not None:
            held.paint(painter, layout, self.colours)
        else:
            self._paint_rows(painter, layout, dirty)
        if dirty.intersects(layout.header.toAlignedRect()):
            self._paint_header(painter, layout)
        if held is None and dirty.intersects(layout.lanes.toAlignedRect()):
            self._paint_lanes(painter, layout, dirty)
        if dirty.intersects(layout.legend_rect.toAlignedRect()):
            painter.save()
            painter.translate(0.0, layout.legend_rect.top())
            paint_legend(painter, layout.width, self.ink, keys=not self._model.workspace.read_only)
            painter.restore()
        self._paint_now(painter, layout)
        if self.moving is not None:
            self._paint_bubble(painter, layout, self.moving)

    def _paint_header(self, painter: QPainter, layout: BoardLayout) -> None:
        model = self._model
        code = model.workspace.local_station
        name = "" if code is None else self.ink.station_name(code)
        paint_header_gutter(painter, layout.scale, layout.window, model.zone, name, self.ink)
        painter.save()
        painter.setClipRect(QRectF(GUTTER_PX, 0.0, layout.plot_width, layout.header.height()))
        painter.translate(GUTTER_PX - layout.scroll_x, 0.0)
        paint_header(painter, layout.scale, layout.window, model.zone, model.now, self.ink)
        painter.restore()

    def _paint_lanes(self, painter: QPainter, layout: BoardLayout, dirty: QRegion) -> None:
        top = layout.rows_bottom - layout.scroll_lanes
        part = dirty.intersected(layout.lanes.toAlignedRect()).boundingRect()
        needed = _needed(layout, part)
        painter.save()
        painter.setClipRect(layout.lanes)
        for y, lane in lane_tops(layout.groups):
            at = QPointF(GUTTER_PX - layout.scroll_x, top + y)
            if lane is None:
                self._tiles.paint(painter, "lane title", (), TITLE_PX, needed, at, self._render_title)
            elif part.top() < top + y + LANE_PX and part.bottom() >= top + y:
                self._paint_lane(painter, layout, lane, needed, at)
                self._paint_lane_landings(painter, layout, lane, at)
        if self._model.now is not None:
            x = layout.x_of(self._model.now)
            self._veil(painter, layout, x, layout.lanes.top(), layout.lanes.height())
        if part.left() < GUTTER_PX:
            painter.translate(0.0, top)
            paint_lane_gutter(painter, layout.groups, self.ink)
        painter.restore()

    def _render_title(self, painter: QPainter, window: Window) -> None:
        paint_lane_title(painter, window, self.ink)

    def _paint_lane_landings(self, painter: QPainter, layout: BoardLayout, lane: Lane, at: QPointF) -> None:
        """In a lane to which the dragged service may go, the time in which it may start."""
        moving = self.moving
        if moving is None or not isinstance(moving.stroke, ServiceStroke) or not moving.in_lanes:
            return
        stroke = moving.stroke
        if lane.truck.tank != stroke.service.tank or lane.station != stroke.station:
            return
        for place in stroke.places:
            left, right = layout.x_of(place.first), layout.x_of(place.last)
            box = QRectF(round(left), at.y() + 1.0, max(round(right - left), 2), LANE_PX - 3.0)
            paint_landing(painter, box, self.ink)
            if lane.truck.id == stroke.truck:
                paint_target(painter, box, self.ink)

    def _paint_lane(self, painter: QPainter, layout: BoardLayout, lane: Lane, needed: Window, at: QPointF) -> None:
        # The lane's own names, since tiles compare by identity.
        names = [piece.service for piece in lane.pieces if piece.service]
        picked = [name for name in names if name in (self._model.workspace.selection.service, self._model.linked)]
        broken = [name for name in names if name in self._model.broken]
        self._tiles.paint(
            painter,
            ("lane", lane.station, lane.truck.id),
            (lane, layout.scale, *picked, None, *broken),
            LANE_PX,
            needed,
            at,
            lambda tile, window: paint_lane(tile, lane, layout.scale, window, self.ink, picked, broken),
        )

    # rows -------------------------------------------------------------------------------------------------

    def _paint_rows(self, painter: QPainter, layout: BoardLayout, dirty: QRegion) -> None:
        area = dirty.intersected(layout.rows.toAlignedRect()).boundingRect()
        if area.isEmpty():
            return
        painter.save()
        painter.setClipRect(layout.rows, Qt.ClipOperation.IntersectClip)
        below = layout.rows.top() + layout.stack.height - layout.scroll_y
        painter.fillRect(QRectF(0.0, below, layout.width, layout.rows_bottom - below), brush(self.colours.ground))
        for box in layout.rows_in(area.top(), area.bottom() + 1.0):
            part = dirty.intersected(layout.row_rect(box).toAlignedRect()).boundingRect()
            if part.right() >= GUTTER_PX:
                self._paint_plot(painter, layout, box, part)
            if part.left() < GUTTER_PX and not part.isEmpty():
                self._paint_gutter(painter, layout, box)
        painter.restore()

    def _paint_gutter(self, painter: QPainter, layout: BoardLayout, box: RowBox) -> None:
        model = self._model
        row, now = model.content.rows[box.index], model.now
        self._tiles.whole(
            painter,
            (row.registration, "gutter"),
            (row, box.frame, now, model.fits),
            QSize(GUTTER_PX, box.frame.height),
            QPointF(0.0, layout.view_top(box)),
            lambda tile: paint_gutter(tile, row, box.frame, now, self.ink, model.fits),
        )

    def _paint_plot(self, painter: QPainter, layout: BoardLayout, box: RowBox, part: QRect) -> None:
        scene = self._model.scene(box)
        name = scene.content.registration
        top = layout.view_top(box)
        shift = QPointF(GUTTER_PX - layout.scroll_x, top)
        moving = self.moving if self.moving is not None and self.moving.registration == name else None
        if moving is None:
            extras = self._model.extras(name)

            def render(tile: QPainter, window: Window) -> None:
                paint_base(tile, scene, window, self.ink)
                paint_levels(tile, scene, window, self.ink, extras)

            height = box.frame.height
            self._tiles.paint(painter, name, (scene, extras), height, _needed(layout, part), shift, render)
        elif isinstance(moving.stroke, LegStroke):
            self._paint_slip(painter, scene, moving.stroke, shift, _needed(layout, part))
        else:
            self._paint_live(painter, scene, moving.stroke, shift, _needed(layout, part))
        if part.left() < GUTTER_PX + CARRIED_PX:
            painter.save()
            painter.translate(shift)
            paint_carried_on(painter, scene, layout.window.left, self.ink)
            painter.restore()
        now = self._model.now
        if now is not None:
            self._veil(painter, layout, layout.x_of(now), top, box.frame.height - 1.0)
        self._paint_picked(painter, scene, shift, moving)

    def _paint_live(
        self, painter: QPainter, scene: RowScene, stroke: ServiceStroke, shift: QPointF, needed: Window
    ) -> None:
        """The row of a running move: its ground from tiles, its levels painted now."""
        name = scene.content.registration
        self._tiles.paint(
            painter,
            (name, "ground"),
            (*scene.content.rotation.legs, scene.frame, scene.scale),
            scene.frame.height,
            needed,
            shift,
            lambda tile, window: paint_base(tile, scene, window, self.ink),
        )
        painter.save()
        painter.translate(shift)
        self._paint_landings(painter, scene, stroke)
        settled = self._model.workspace.settled_projection.aircraft.get(name)
        first = min(stroke.start, stroke.origin)
        extras = replace(
            self._model.extras(name),
            ghost=settled if settled is not scene.content.projection else None,
            dashed_after=first if settled is not scene.content.projection else None,
            dashed_tank=stroke.service.tank,
            hidden=stroke.service.id,
        )
        paint_levels(painter, scene, needed, self.ink, extras)
        painter.restore()

    def _paint_slip(
        self, painter: QPainter, scene: RowScene, stroke: LegStroke, shift: QPointF, needed: Window
    ) -> None:
        """The row of a leg that is slipped: all of it painted now, with the levels and the bar as they were."""
        name = scene.content.registration
        settled = self._model.workspace.settled_projection.aircraft.get(name)
        changed = settled is not scene.content.projection
        painter.save()
        painter.translate(shift)
        paint_base(painter, scene, needed, self.ink)
        if changed:
            x = scene.scale.x
            start, end = to_minutes(off_blocks(stroke.leg)), to_minutes(on_blocks(stroke.leg))
            paint_left_behind(painter, round(x(start)), round(x(end)), scene, self.ink)
        extras = replace(self._model.extras(name), ghost=settled if changed else None)
        paint_levels(painter, scene, needed, self.ink, extras)
        painter.restore()

    def _paint_landings(self, painter: QPainter, scene: RowScene, stroke: ServiceStroke) -> None:
        height = scene.frame.height
        for place in stroke.places:
            box = turn_rect(scene, place, height)
            paint_landing(painter, box, self.ink)
        turn = next((row for row in scene.turns if row.turn.number == stroke.turn), None)
        if turn is not None:
            paint_target(painter, QRectF(turn.left, 2.0, turn.right - turn.left, height - 5.0), self.ink)

    def _paint_picked(self, painter: QPainter, scene: RowScene, shift: QPointF, moving: Moving | None) -> None:
        """The selected leg or marker, and one that is linked to a lane, with a ring, above everything in its row."""
        if moving is None:
            self._paint_linked(painter, scene, shift)
        chosen = self._model.workspace.selection
        if chosen.aircraft != scene.content.registration:
            return
        if chosen.leg is not None:
            self._paint_picked_leg(painter, scene, shift, chosen.leg)
            return
        if moving is not None and isinstance(moving.stroke, ServiceStroke):
            service = moving.stroke.service
            x = spot_x = scene.scale.x(moving.stroke.start)
            size = scene.frame.marker_px
        else:
            if chosen.service is None:
                return
            spot = scene.spot(chosen.service)
            if spot is None:
                return
            service, x, spot_x, size = spot.marker.service, spot.true_x, spot.x, spot.size
        painter.save()
        painter.translate(shift)
        y = scene.frame.marker_y
        paint_stem(painter, scene, service.tank, spot_x, x, self.ink)
        ring = min(RING_PX, scene.frame.height - 1.0)
        paint_ring(painter, spot_x, y, self.colours, ring)
        self.ink.marker(painter, spot_x, y, look_of(service), min(size, ring - 6.0))
        if service.id in self._model.broken:
            paint_broken(painter, spot_x, y, size, self.ink)
        painter.restore()

    def _paint_linked(self, painter: QPainter, scene: RowScene, shift: QPointF) -> None:
        """The marker of the service under the pointer, which may lie in a lane."""
        spot = scene.spot(self._model.linked) if self._model.linked is not None else None
        if spot is None or spot.marker.service.id == self._model.workspace.selection.service:
            return
        painter.save()
        painter.translate(shift)
        y, service = scene.frame.marker_y, spot.marker.service
        paint_stem(painter, scene, service.tank, spot.x, spot.true_x, self.ink)
        ring = min(RING_PX, scene.frame.height - 1.0)
        paint_ring(painter, spot.x, y, self.colours, ring)
        self.ink.marker(painter, spot.x, y, look_of(service), min(spot.size, ring - 6.0))
        if service.id in self._model.broken:
            paint_broken(painter, spot.x, y, spot.size, self.ink)
        painter.restore()

    def _paint_picked_leg(self, painter: QPainter, scene: RowScene, shift: QPointF, leg_id: str) -> None:
        box = next((row for row in scene.legs if row.leg.id == leg_id), None)
        if box is not None:
            painter.save()
            painter.translate(shift)
            paint_leg_ring(painter, box, scene, self.ink)
            painter.restore()

    # above the rows ---------------------------------------------------------------------------------------

    def _veil(self, painter: QPainter, layout: BoardLayout, now_x: float, top: float, height: float) -> None:
        width = min(now_x, layout.width) - GUTTER_PX
        if width > 0.0:
            painter.fillRect(QRectF(GUTTER_PX, top, round(width), height), brush(self.colours.canvas, VEIL_ALPHA))

    def _paint_now(self, painter: QPainter, layout: BoardLayout) -> None:
        now = self._model.now
        if now is None:
            return
        x = layout.x_of(now)
        if GUTTER_PX <= x <= layout.width:
            paint_now_line(painter, x, layout.header.bottom() - 6.0, layout.legend_rect.top(), self.ink)

    def _paint_bubble(self, painter: QPainter, layout: BoardLayout, moving: Moving) -> None:
        box = self.bubble_box(layout, moving)
        if box is None:
            return
        reach = bubble_reach(QRectF(0.0, 0.0, box.width(), box.height()))
        self._tiles.whole(
            painter,
            ("bubble", box.width()),
            (),
            reach.size().toSize(),
            box.topLeft() + reach.topLeft(),
            lambda tile: paint_bubble_ground(tile, box.translated(-box.topLeft() - reach.topLeft()), self.ink),
        )
        paint_bubble_text(painter, box, moving.bubble, self.ink)

    def bubble_box(self, layout: BoardLayout, moving: Moving) -> QRectF | None:
        """Where the bubble of a move stands."""
        box = self._model.box(moving.registration)
        if box is None:
            return None
        if moving.in_lanes:
            # Above the lanes, so that none of them is hidden.
            middle = layout.lanes.top() - BUBBLE_PX / 2.0
            return bubble_rect(moving.bubble, layout.x_of(moving.stroke.start), middle, layout.plot)
        top = layout.view_top(box)
        middle = top + box.frame.marker_y + (44.0 if box.frame.style == "focus" else 0.0)
        return bubble_rect(moving.bubble, layout.x_of(moving.stroke.start), middle, layout.plot)


def turn_rect(scene: RowScene, place: Landing, height: float) -> QRectF:
    """The turn of a landing, cut to where the service may start."""
    left, right = scene.scale.x(place.first), scene.scale.x(place.last)
    for turn in scene.turns:
        if turn.turn.number == place.turn:
            left, right = min(left, turn.left) if turn.turn.start else left, max(right, turn.right)
    return QRectF(round(left), 1.0, round(right) - round(left), height - 3.0)


def _needed(layout: BoardLayout, part: QRect) -> Window:
    """The pixels of the scale in a dirty part of the plot."""
    left = max(part.left(), GUTTER_PX)
    right = min(part.right() + 1, layout.width)
    return Window(layout.scale_x(left), max(layout.scale_x(right), layout.scale_x(left) + 1.0))
