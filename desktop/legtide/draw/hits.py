"""What lies under a point of the board. The same layout that is painted answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from legtide.draw.axis import HEADER_PX
from legtide.draw.board import BoardLayout
from legtide.draw.flags import flag_place
from legtide.draw.gutter import GUTTER_PX
from legtide.draw.lanes import Lane, lane_at
from legtide.draw.rows import RowBox
from legtide.draw.scene import LegBox, RowScene, Spot, TurnBox
from legtide.draw.stretches import Stretch

HitKind = Literal[
    "header", "gutter", "service", "flag", "leg", "turn", "row", "lane_service", "lane", "legend", "none"
]
GRAB_PX = 12.0
"""Half the side of the square in which a marker is grabbed."""


@dataclass(frozen=True, slots=True)
class Hit:
    """The thing under a point."""

    kind: HitKind
    minutes: float
    """The time under the point, minutes since 1970."""
    box: RowBox | None = None
    scene: RowScene | None = None
    spot: Spot | None = None
    leg: LegBox | None = None
    turn: TurnBox | None = None
    stretch: Stretch | None = None
    lane: Lane | None = None
    service: str | None = None
    """Id of the service, on a marker or in a lane."""
    on_bar: bool = False
    """Whether the point lies on the leg's bar, not only below or above it."""

    @property
    def registration(self) -> str | None:
        """The aircraft of the row."""
        return None if self.scene is None else self.scene.content.registration


def spot_at(scene: RowScene, x: float, y: float) -> Spot | None:
    """The marker nearest to a point of the row, if it is within reach."""
    reach = GRAB_PX if scene.frame.style != "dense" else scene.frame.marker_px / 2.0 + 2.0
    near = [row for row in scene.spots if abs(row.x - x) <= reach and abs(row.y - y) <= reach]
    return min(near, key=lambda row: abs(row.x - x), default=None)


def stretch_at(scene: RowScene, x: float, y: float) -> Stretch | None:
    """The stretch whose flag or hatch lies under a point of the row."""
    for stretch in scene.content.stretches:
        place = flag_place(scene, stretch)
        if abs(place.x() - x) <= 9.0 and abs(place.y() - y) <= 9.0:
            return stretch
        if scene.scale.x(stretch.start) <= x <= scene.scale.x(stretch.end) and abs(place.y() - y) <= 5.0:
            return stretch
    return None


def hit(layout: BoardLayout, scene_of: Callable[[RowBox], RowScene], x: float, y: float) -> Hit:
    """What lies at a view point."""
    minutes = layout.minutes_at(x)
    if y < HEADER_PX:
        return Hit("header", minutes)
    if layout.legend_rect.contains(x, y):
        return Hit("legend", minutes)
    if layout.lanes.contains(x, y):
        return _in_lanes(layout, x, y, minutes)
    box = layout.row_at(y)
    if box is None:
        return Hit("none", minutes)
    scene = scene_of(box)
    if x < GUTTER_PX:
        return Hit("gutter", minutes, box, scene)
    return _in_row(scene, box, layout.scale_x(x), y - layout.view_top(box), minutes)


def _in_row(scene: RowScene, box: RowBox, x: float, y: float, minutes: float) -> Hit:
    spot = spot_at(scene, x, y)
    if spot is not None:
        return Hit("service", minutes, box, scene, spot=spot, service=spot.marker.service.id)
    stretch = stretch_at(scene, x, y)
    leg, turn = scene.leg_at(x), scene.turn_at(x)
    if stretch is not None:
        return Hit("flag", minutes, box, scene, leg=leg, turn=turn, stretch=stretch)
    if leg is not None:
        return Hit("leg", minutes, box, scene, leg=leg, on_bar=box.frame.bar_top <= y <= box.frame.bar_bottom)
    if turn is not None:
        return Hit("turn", minutes, box, scene, turn=turn)
    return Hit("row", minutes, box, scene)


def _in_lanes(layout: BoardLayout, x: float, y: float, minutes: float) -> Hit:
    lane = lane_at(layout.groups, y - layout.rows_bottom + layout.scroll_lanes)
    if lane is None or x < GUTTER_PX:
        return Hit("lane", minutes, lane=lane)
    for piece in reversed(lane.pieces):
        if piece.kind == "service" and piece.start <= minutes <= piece.end:
            return Hit("lane_service", minutes, lane=lane, service=piece.service)
    return Hit("lane", minutes, lane=lane)
