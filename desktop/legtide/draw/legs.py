"""Leg bars: the flight at the left, where from or to at the right if it fits; nothing is cut short."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.day.rotations import off_blocks
from legtide.draw.colours import NO_PEN, brush, pen
from legtide.draw.fan import Window
from legtide.draw.fonts import SECONDARY_PX, SMALL_PX, text_width
from legtide.draw.ink import Ink, fitting, put_text
from legtide.draw.scene import LegBox, RowScene
from legtide.engine.types import to_minutes

_PAD_PX: Final = 7.0
_BETWEEN_PX: Final = 12.0
LATE_FROM_S: Final = 180.0
"""A departure this much after its schedule has a whisker back to the scheduled time."""


def _route(box: LegBox, ink: Ink) -> list[str]:
    """Wordings of the other end, the fullest first: seen from home the far station, elsewhere the destination."""
    leg = box.leg
    inbound = leg.destination == ink.home
    arrow, code = ("←", leg.origin) if inbound else ("→", leg.destination)
    return [f"{arrow} {ink.station_name(code)}", f"{arrow} {code}"]


def paint_legs(painter: QPainter, scene: RowScene, window: Window, ink: Ink) -> None:
    """All leg bars of a row that reach into a window."""
    inside = scene.frame
    dense = inside.style == "dense"
    colours = ink.colours
    for box in scene.legs:
        if box.right < window.left - 1.0 or box.left > window.right + 200.0:
            continue
        left, right = round(box.left), max(round(box.right), round(box.left) + 2)
        bar = QRectF(left, inside.bar_top, right - left, inside.bar_bottom - inside.bar_top)
        if (off_blocks(box.leg) - box.leg.std).total_seconds() >= LATE_FROM_S:
            _paint_delay(painter, box, scene, ink)
        if dense:
            painter.fillRect(bar, brush(colours.bar_dense))
            continue
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(NO_PEN)
        painter.setBrush(brush(colours.bar))
        painter.drawRoundedRect(bar, 3.0, 3.0)
        _paint_labels(painter, box, bar, ink)


def _paint_labels(painter: QPainter, box: LegBox, bar: QRectF, ink: Ink) -> None:
    middle = bar.center().y()
    room = bar.width() - 2.0 * _PAD_PX
    size = next((px for px in (SECONDARY_PX, SMALL_PX) if text_width(box.leg.flight, px, True) <= room), None)
    if size is None:
        return
    used = put_text(painter, bar.left() + _PAD_PX, middle, box.leg.flight, size, ink.colours.text, bold=True)
    route = fitting(_route(box, ink), room - used - _BETWEEN_PX, SECONDARY_PX)
    if route:
        put_text(painter, bar.right() - _PAD_PX, middle, route, SECONDARY_PX, ink.colours.secondary, right=True)


def _paint_delay(painter: QPainter, box: LegBox, scene: RowScene, ink: Ink) -> None:
    """A whisker from the scheduled departure to the bar of a late leg."""
    planned = scene.scale.x(to_minutes(box.leg.std))
    inside = scene.frame
    y = (inside.bar_top + inside.bar_bottom) / 2.0
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(pen(ink.colours.secondary))
    x = round(planned) + 0.5
    reach = 5.0 if inside.style != "dense" else 2.0
    painter.drawLine(QRectF(x, y, 0.0, 0.0).topLeft(), QRectF(round(box.left), y, 0.0, 0.0).topLeft())
    painter.drawLine(QRectF(x, y - reach, 0.0, 0.0).topLeft(), QRectF(x, y + reach, 0.0, 0.0).topLeft())
