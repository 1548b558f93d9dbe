"""Markers of services and readings, told apart by shape and glyph before colour.

A drop with an arrow up is water, a bucket with an arrow down is waste. Filled is planned; a tick badge says done; an
outline with a slash is skipped, an outline with a cross is missed; an outline with its arrow is a proposal; a small
pin holds a service in its place; a ring is the selection; a diamond is a reading; a tick with an arrowhead is the
reading that decides whether to go on without a service.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPixmap, QPolygonF

from legtide.day.document import Service, ServiceState, Tank
from legtide.day.rotations import Turn
from legtide.draw.colours import NO_BRUSH, NO_PEN, Palette, brush, pen
from legtide.engine.types import to_minutes

MARKER_PX: Final = 18.0
MARKER_DENSE_PX: Final = 13.0
RING_PX: Final = 24.0
_REACH: Final = 12.0
"""Half the side of a sprite whose marker is drawn at `MARKER_PX`: the halo and the badges need the room."""


@dataclass(frozen=True, slots=True)
class Look:
    """How one marker looks."""

    tank: Tank
    state: ServiceState = "planned"
    pinned: bool = False
    proposal: bool = False


def look_of(service: Service, proposal: bool = False) -> Look:
    """The look of a service's marker."""
    return Look(service.tank, service.state, service.pinned, proposal)


@cache
def _drop() -> QPainterPath:
    path = QPainterPath(QPointF(0.0, -9.2))
    path.cubicTo(1.6, -6.2, 6.6, -2.6, 6.6, 2.2)
    path.cubicTo(6.6, 6.0, 3.7, 8.6, 0.0, 8.6)
    path.cubicTo(-3.7, 8.6, -6.6, 6.0, -6.6, 2.2)
    path.cubicTo(-6.6, -2.6, -1.6, -6.2, 0.0, -9.2)
    path.closeSubpath()
    return path


@cache
def _bucket() -> QPainterPath:
    path = QPainterPath(QPointF(-7.6, -7.4))
    for x, y in ((7.6, -7.4), (7.6, -4.9), (6.6, -4.9), (5.4, 7.6), (-5.4, 7.6), (-6.6, -4.9), (-7.6, -4.9)):
        path.lineTo(x, y)
    path.closeSubpath()
    return path


@cache
def _arrow(tank: Tank) -> QPainterPath:
    tip, tail = (-2.6, 5.2) if tank == "fresh" else (4.8, -2.8)
    back = 3.1 if tank == "fresh" else -3.1
    path = QPainterPath(QPointF(0.0, tail))
    path.lineTo(0.0, tip)
    path.moveTo(-3.0, tip + back)
    path.lineTo(0.0, tip)
    path.lineTo(3.0, tip + back)
    return path


@cache
def _stroke(start: tuple[float, float], end: tuple[float, float]) -> QPainterPath:
    path = QPainterPath(QPointF(*start))
    path.lineTo(*end)
    return path


def outline(tank: Tank) -> QPainterPath:
    """The outline of a tank's marker, about 18 units high, centred on the origin."""
    return _drop() if tank == "fresh" else _bucket()


def paint_marker(
    painter: QPainter, x: float, y: float, look: Look, colours: Palette, size: float = MARKER_PX
) -> None:
    """Paints a marker centred on (x, y), as vectors."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(x, y)
    painter.scale(size / MARKER_PX, size / MARKER_PX)
    shape, hue = outline(look.tank), colours.hue(look.tank)
    painter.setBrush(NO_BRUSH)
    painter.setPen(pen(colours.canvas, 4.0, round_ends=True))
    painter.drawPath(shape)
    happens = look.state in ("planned", "done")
    if happens and not look.proposal:
        painter.setPen(NO_PEN)
        painter.setBrush(brush(hue))
    else:
        painter.setPen(pen(hue, 1.7, round_ends=True))
        painter.setBrush(brush(colours.canvas))
    painter.drawPath(shape)
    painter.setBrush(NO_BRUSH)
    if happens:
        painter.setPen(pen(hue if look.proposal else colours.canvas, 1.9, round_ends=True))
        painter.drawPath(_arrow(look.tank))
    _paint_state(painter, look, colours)
    painter.restore()


def _paint_state(painter: QPainter, look: Look, colours: Palette) -> None:
    if look.state == "skipped":
        for width, ink in ((4.2, colours.canvas), (2.0, colours.text)):
            painter.setPen(pen(ink, width, round_ends=True))
            painter.drawPath(_stroke((-8.0, 7.0), (8.0, -7.0)))
    elif look.state == "missed":
        for width, ink in ((4.2, colours.canvas), (2.2, colours.act)):
            painter.setPen(pen(ink, width, round_ends=True))
            painter.drawPath(_stroke((-3.6, -2.8), (3.6, 4.4)))
            painter.drawPath(_stroke((-3.6, 4.4), (3.6, -2.8)))
    elif look.state == "done":
        _paint_done(painter, colours)
    if look.pinned:
        _paint_pin(painter, colours)


def _paint_done(painter: QPainter, colours: Palette) -> None:
    painter.setPen(pen(colours.canvas, 1.4))
    painter.setBrush(brush(colours.settled))
    painter.drawEllipse(QRectF(2.4, 2.4, 9.0, 9.0))
    painter.setPen(pen(colours.canvas, 1.6, round_ends=True))
    painter.setBrush(NO_BRUSH)
    tick = QPainterPath(QPointF(4.9, 7.0))
    tick.lineTo(6.4, 8.6)
    tick.lineTo(9.0, 5.4)
    painter.drawPath(tick)


def _paint_pin(painter: QPainter, colours: Palette) -> None:
    for width, ink in ((3.6, colours.canvas), (1.6, colours.text)):
        painter.setPen(pen(ink, width, round_ends=True))
        painter.drawPath(_stroke((6.8, -7.0), (3.2, -2.2)))
    painter.setPen(pen(colours.canvas, 1.2))
    painter.setBrush(brush(colours.text))
    painter.drawEllipse(QRectF(4.6, -11.6, 6.8, 6.8))


def paint_ring(painter: QPainter, x: float, y: float, colours: Palette, size: float = RING_PX) -> None:
    """The ring of the selection, to be painted before its marker."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(colours.accent, 2.0))
    painter.setBrush(brush(colours.canvas))
    painter.drawRoundedRect(QRectF(x - size / 2.0, y - size / 2.0, size, size), 5.0, 5.0)
    painter.restore()


def paint_reading(painter: QPainter, x: float, y: float, tank: Tank, used: bool, colours: Palette) -> None:
    """A reading at its time and level: a diamond, filled when the projection follows it, hollow when it does not."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(x, y)
    painter.rotate(45.0)
    side = 6.4
    painter.setPen(pen(colours.canvas if used else colours.hue(tank), 1.4))
    painter.setBrush(brush(colours.hue(tank) if used else colours.canvas))
    painter.drawRect(QRectF(-side / 2.0, -side / 2.0, side, side))
    painter.restore()


TRIGGER_PX: Final = 14.0


@dataclass(frozen=True, slots=True)
class TriggerMark:
    """The gauge reading of one tank at one turn that decides whether to go on without a service there."""

    minutes: float
    """Where in the turn it is shown, minutes since 1970."""
    tank: Tank
    percent: float


def trigger_mark(turn: Turn, tank: Tank, percent: float) -> TriggerMark | None:
    """The mark of a reading in the middle of its turn; none where the turn has no time."""
    ends = [to_minutes(end) for end in (turn.start, turn.end) if end is not None]
    return TriggerMark(sum(ends) / len(ends), tank, percent) if ends else None


def paint_trigger(painter: QPainter, x: float, y: float, tank: Tank, colours: Palette) -> None:
    """A tick at the reading, its arrowhead on the side that lets the aircraft go on: up for water, down for waste."""
    half, tall = TRIGGER_PX / 2.0, -4.5 if tank == "fresh" else 4.5
    level = round(y) + 0.5
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(colours.hue(tank), 1.4))
    painter.drawLine(QPointF(x - half, level), QPointF(x + half, level))
    painter.setBrush(brush(colours.hue(tank)))
    painter.drawPolygon(QPolygonF([QPointF(x - 3.5, level), QPointF(x + 3.5, level), QPointF(x, level + tall)]))


class MarkerSprites:
    """Markers as pixmaps, made once for each look, size and device pixel ratio."""

    def __init__(self, colours: Palette, device_ratio: float) -> None:
        self._colours = colours
        self._ratio = device_ratio
        self._made: dict[tuple[Look, float], QPixmap] = {}

    def paint(self, painter: QPainter, x: float, y: float, look: Look, size: float = MARKER_PX) -> None:
        """Paints a marker centred on (x, y), moved to whole device pixels."""
        sprite = self._made.get((look, size))
        if sprite is None:
            sprite = self._made[look, size] = self._render(look, size)
        reach = sprite.width() / self._ratio / 2.0
        left = round((x - reach) * self._ratio) / self._ratio
        top = round((y - reach) * self._ratio) / self._ratio
        painter.drawPixmap(QPointF(left, top), sprite)

    def _render(self, look: Look, size: float) -> QPixmap:
        side = 2 * math.ceil(_REACH * size / MARKER_PX * self._ratio)
        made = QPixmap(side, side)
        made.setDevicePixelRatio(self._ratio)
        made.fill(Qt.GlobalColor.transparent)
        with QPainter(made) as painter:
            centre = side / self._ratio / 2.0
            paint_marker(painter, centre, centre, look, self._colours, size)
        return made
