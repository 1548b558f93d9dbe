"""The three signs of a warning: octagon (act), triangle (watch), ticked circle (settled). Shape and glyph differ."""

from __future__ import annotations

import math
from functools import cache
from typing import Literal

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath, QPolygonF

from legtide.draw.colours import NO_BRUSH, NO_PEN, Palette, brush, pen

Sign = Literal["act", "watch", "settled"]
SIGN_PX = 16.0


def _closed(points: list[tuple[float, float]]) -> QPainterPath:
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in points]))
    path.closeSubpath()
    return path


@cache
def _octagon() -> QPainterPath:
    angles = [math.radians(22.5 + 45.0 * number) for number in range(8)]
    return _closed([(8.2 * math.cos(angle), 8.2 * math.sin(angle)) for angle in angles])


@cache
def _triangle() -> QPainterPath:
    return _closed([(0.0, -7.6), (8.4, 6.8), (-8.4, 6.8)])


@cache
def _tick() -> QPainterPath:
    path = QPainterPath(QPointF(-3.6, 0.2))
    path.lineTo(-1.0, 2.9)
    path.lineTo(3.8, -2.7)
    return path


def paint_sign(painter: QPainter, x: float, y: float, sign: Sign, colours: Palette, size: float = SIGN_PX) -> None:
    """Paints a sign centred on (x, y), `size` pixels wide."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(x, y)
    painter.scale(size / 17.0, size / 17.0)
    painter.setPen(NO_PEN)
    if sign == "act":
        _paint_exclamation(painter, _octagon(), colours.act, colours.canvas, 0.0)
    elif sign == "watch":
        painter.setPen(pen(colours.watch_edge, 1.3, round_ends=True))
        _paint_exclamation(painter, _triangle(), colours.watch, colours.watch_edge, 1.6)
    else:
        painter.setBrush(brush(colours.settled))
        painter.drawEllipse(QRectF(-8.0, -8.0, 16.0, 16.0))
        painter.setPen(pen(colours.canvas, 2.2, round_ends=True))
        painter.setBrush(NO_BRUSH)
        painter.drawPath(_tick())
    painter.restore()


def _paint_exclamation(painter: QPainter, outline: QPainterPath, ground: str, ink: str, drop: float) -> None:
    painter.setBrush(brush(ground))
    painter.drawPath(outline)
    painter.setPen(NO_PEN)
    painter.setBrush(brush(ink))
    painter.drawRoundedRect(QRectF(-1.1, -4.4 + drop, 2.2, 5.4 if drop else 5.8), 1.0, 1.0)
    painter.drawEllipse(QRectF(-1.3, (2.2 if drop else 2.6) + drop, 2.6, 2.6))
