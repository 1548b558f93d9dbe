"""Truck lanes: for each truck of a station its services in order, the drives between them, and visits to reload.

What a lane shows is the truck's run as `engine.truck_run` derives it from the day.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.day.document import Station, Tank, Truck
from legtide.draw.colours import NO_PEN, brush, pen
from legtide.draw.content import BoardContent
from legtide.draw.fan import Window
from legtide.draw.fonts import BODY_PX, SECONDARY_PX, SMALL_PX, text_width
from legtide.draw.geometry import hatch
from legtide.draw.gutter import GUTTER_PX
from legtide.draw.ink import Ink, level_line, put_text
from legtide.draw.scale import TimeScale
from legtide.draw.signs import paint_sign
from legtide.engine.truck_run import Piece, station_runs
from legtide.engine.types import to_minutes
from legtide.language import tr

TITLE_PX: Final = 32
_BROKEN_PX: Final = 13.0
LANE_PX: Final = 28
_BLOCK_PX: Final = 18.0
_PAD: Final = 14.0
_NAME_REACH_PX: Final = 120.0
"""How far a name may stand beyond its block."""


@dataclass(frozen=True, slots=True)
class Lane:
    """One truck's day."""

    truck: Truck
    station: str
    pieces: tuple[Piece, ...]
    """In the order of time; where a truck has too little time they overlap, and the later one lies on top."""


@dataclass(frozen=True, slots=True)
class LaneGroup:
    """The trucks of one station."""

    station: Station
    lanes: tuple[Lane, ...]


def short_name(registration: str) -> str:
    """The part of a registration after its last hyphen, as people call an aircraft."""
    return registration.rsplit("-", 1)[-1] or registration


def lane_groups(content: BoardContent, station: str | None = None) -> tuple[LaneGroup, ...]:
    """The lanes of every station with trucks, or of one station only."""
    projections = [row.projection for row in content.rows]
    groups = []
    for code, place in content.stations.items():
        if place.trucks and station in (None, code):
            runs = station_runs(place, projections)
            groups.append(LaneGroup(place, tuple(Lane(run.truck, code, run.pieces) for run in runs)))
    return tuple(groups)


def kept_lanes(groups: tuple[LaneGroup, ...], old: tuple[LaneGroup, ...]) -> tuple[LaneGroup, ...]:
    """The groups with every lane that has not changed taken over as the same object."""
    known = {(lane.station, lane.truck.id): lane for group in old for lane in group.lanes}
    out = []
    for group in groups:
        lanes = []
        for lane in group.lanes:
            before = known.get((lane.station, lane.truck.id))
            lanes.append(lane if before is None or before != lane else before)
        out.append(LaneGroup(group.station, tuple(lanes)))
    return tuple(out)


def lanes_height(groups: tuple[LaneGroup, ...]) -> int:
    """Pixels that all lanes with their titles take."""
    return sum(TITLE_PX + LANE_PX * len(group.lanes) for group in groups)


def lane_at(groups: tuple[LaneGroup, ...], y: float) -> Lane | None:
    """The lane at a pixel from the top of all lanes; None on a title."""
    for group in groups:
        y -= TITLE_PX
        if y < 0:
            return None
        place = int(y // LANE_PX)
        if place < len(group.lanes):
            return group.lanes[place]
        y -= LANE_PX * len(group.lanes)
    return None


def paint_lane_gutter(painter: QPainter, groups: tuple[LaneGroup, ...], ink: Ink) -> None:
    """Titles and truck names, from (0, 0) down."""
    colours = ink.colours
    painter.fillRect(QRectF(0.0, 0.0, GUTTER_PX, lanes_height(groups)), brush(colours.ground))
    y = 0.0
    for group in groups:
        level_line(painter, 0.0, GUTTER_PX, y, colours.line)
        title = tr("Trucks at {station}").format(station=ink.station_name(group.station.code))
        put_text(painter, _PAD, y + TITLE_PX / 2.0, title, BODY_PX, colours.text, bold=True)
        y += TITLE_PX
        for lane in group.lanes:
            middle = y + LANE_PX / 2.0 - 0.5
            used = put_text(painter, _PAD, middle, lane.truck.id, BODY_PX, colours.text, bold=True)
            kind = tr("water") if lane.truck.tank == "fresh" else tr("waste")
            room = GUTTER_PX - _PAD - used - 16.0
            words = (f"{kind} {lane.truck.capacity_l:.0f} L", kind)
            text = next((word for word in words if text_width(word, SECONDARY_PX) <= room), "")
            put_text(painter, _PAD + used + 8.0, middle, text, SECONDARY_PX, colours.secondary)
            level_line(painter, 0.0, GUTTER_PX, y + LANE_PX - 1.0, colours.line)
            y += LANE_PX


def lane_tops(groups: tuple[LaneGroup, ...]) -> list[tuple[float, Lane | None]]:
    """Each title (without a lane) and each lane with its top, pixels from the top of all lanes."""
    out: list[tuple[float, Lane | None]] = []
    y = 0.0
    for group in groups:
        out.append((y, None))
        out += [(y + TITLE_PX + LANE_PX * place, lane) for place, lane in enumerate(group.lanes)]
        y += TITLE_PX + LANE_PX * len(group.lanes)
    return out


def paint_lane_title(painter: QPainter, window: Window, ink: Ink) -> None:
    """The strip beside a title, from y = 0 down."""
    painter.fillRect(QRectF(window.left, 0.0, window.right - window.left, TITLE_PX), brush(ink.colours.ground))
    level_line(painter, window.left, window.right, 0.0, ink.colours.line)


def paint_lane(
    painter: QPainter,
    lane: Lane,
    scale: TimeScale,
    window: Window,
    ink: Ink,
    picked: Collection[str] = (),
    broken: Collection[str] = (),
) -> None:
    """One lane in a window, in pixels of the scale, from y = 0 down.

    `picked` are the services selected or pointed at, `broken` those that the truck cannot work as they stand.
    """
    colours = ink.colours
    painter.fillRect(QRectF(window.left, 0.0, window.right - window.left, LANE_PX), brush(colours.canvas))
    _paint_shift(painter, lane, scale, window, ink)
    level_line(painter, window.left, window.right, LANE_PX - 1.0, colours.line)
    _paint_run(painter, lane, scale, window, ink, picked)
    for piece in lane.pieces:
        if piece.kind == "service" and piece.service in broken:
            x = round(scale.x(piece.start))
            if window.left - LANE_PX <= x <= window.right + LANE_PX:
                paint_sign(painter, x, LANE_PX / 2.0 - 0.5, "act", ink.colours, _BROKEN_PX)


def _paint_run(
    painter: QPainter, lane: Lane, scale: TimeScale, window: Window, ink: Ink, picked: Collection[str]
) -> None:
    """All pieces of a lane; a service too short for its name has the name beside it, where nothing else is."""
    middle = LANE_PX / 2.0 - 0.5
    shown = [piece for piece in lane.pieces if piece.kind != "wait"]
    for place, piece in enumerate(shown):
        left, right = scale.x(piece.start), scale.x(piece.end)
        if right < window.left - _NAME_REACH_PX or left > window.right:
            continue
        block = _paint_piece(painter, piece, lane.truck.tank, left, right, middle, ink, piece.service in picked)
        text = _name(piece)
        x = _name_place(text_width(text, SMALL_PX, True), block, shown[place + 1 : place + 3], scale)
        if x is None:
            continue
        name = ink.colours.text if piece.kind == "service" else ink.colours.secondary
        put_text(painter, x, middle, text, SMALL_PX, name, bold=True)


def _name_place(width: float, block: QRectF, following: Sequence[Piece], scale: TimeScale) -> float | None:
    """Left edge of a name: inside its block, else beside it, else beyond the drive that follows at once."""
    if width <= block.width() - 4.0:
        return block.center().x() - width / 2.0
    left = block.right()
    for piece in following:
        if left + width + 6.0 <= scale.x(piece.start):
            return left + 4.0
        if piece.kind != "drive":
            return None
        left = scale.x(piece.end)
    return left + 4.0 if len(following) < 2 else None


def _name(piece: Piece) -> str:
    if piece.kind == "service":
        return short_name(piece.aircraft)
    return tr("break") if piece.kind == "break" else ""


def _paint_shift(painter: QPainter, lane: Lane, scale: TimeScale, window: Window, ink: Ink) -> None:
    """Off shift is ground, on shift is canvas."""
    shift = lane.truck.shift
    if shift is None:
        return
    left, right = scale.x(to_minutes(shift.start)), scale.x(to_minutes(shift.end))
    for start, end in ((window.left, min(left, window.right)), (max(right, window.left), window.right)):
        if end > start:
            painter.fillRect(QRectF(start, 0.0, end - start, LANE_PX), brush(ink.colours.ground))


def _paint_piece(
    painter: QPainter, piece: Piece, tank: Tank, left: float, right: float, middle: float, ink: Ink, chosen: bool
) -> QRectF:
    """One piece; answers with the box that it takes."""
    colours = ink.colours
    left, right = round(left), max(round(right), round(left) + 3)
    if piece.kind == "drive":
        line = QRectF(left, round(middle), right - left, 1.0)
        painter.fillRect(line, brush(colours.secondary))
        return line
    block = QRectF(left + 0.5, round(middle - _BLOCK_PX / 2.0) + 0.5, right - left - 1.0, _BLOCK_PX)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if piece.kind == "service":
        painter.setPen(NO_PEN)
        painter.setBrush(brush(colours.canvas))
        painter.drawRoundedRect(block, 3.0, 3.0)
        painter.setPen(pen(colours.accent if chosen else colours.hue(tank), 2.0 if chosen else 1.2))
        painter.setBrush(brush(colours.hue(tank), 0.16))
        painter.drawRoundedRect(block, 3.0, 3.0)
        return block
    painter.setPen(pen(colours.secondary if piece.kind == "reload" else colours.line, 1.0))
    painter.setBrush(brush(colours.canvas if piece.kind == "reload" else colours.ground))
    painter.drawRoundedRect(block, 3.0, 3.0)
    if piece.kind == "reload":
        hatch(block.adjusted(2.0, 1.0, -2.0, -1.0), 6.0).paint(painter)
    return block
