"""Leg bars: the flight at the left, where from or to at the right if it fits; nothing is cut short."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.day.rotations import off_blocks
from legtide.draw.colours import NO_BRUSH, NO_PEN, brush, pen
from legtide.draw.fan import Window
from legtide.draw.fonts import SECONDARY_PX, SMALL_PX, text_width
from legtide.draw.geometry import dashed_path
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
    """All leg bars of a row that reach into a window; whiskers of late legs lie behind them."""
    inside, colours = scene.frame, ink.colours
    # A whisker may reach far back from its leg.
    seen = [box for box in scene.legs if box.right >= window.left - 1.0 and _first_x(scene, box) <= window.right]
    for box in seen:
        if _is_late(box):
            _paint_whisker(painter, box, scene, ink)
    for box in seen:
        left, right = round(box.left), max(round(box.right), round(box.left) + 2)
        bar = QRectF(left, inside.bar_top, right - left, inside.bar_bottom - inside.bar_top)
        if inside.style == "dense":
            painter.fillRect(bar, brush(colours.bar_dense))
            continue
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(NO_PEN)
        painter.setBrush(brush(colours.bar))
        painter.drawRoundedRect(bar, 3.0, 3.0)
        _paint_labels(painter, box, bar.center().y(), _free(scene, bar), ink)


def paint_leg_ring(painter: QPainter, box: LegBox, scene: RowScene, ink: Ink) -> None:
    """The ring of a selected leg about its bar."""
    inside = scene.frame
    bar = QRectF(
        round(box.left), inside.bar_top, max(round(box.right - box.left), 2), inside.bar_bottom - inside.bar_top
    )
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(ink.colours.accent, 2.0))
    painter.setBrush(NO_BRUSH)
    painter.drawRoundedRect(bar.adjusted(-1.0, -1.0, 1.0, 1.0), 4.0, 4.0)


def paint_left_behind(painter: QPainter, left: float, right: float, scene: RowScene, ink: Ink) -> None:
    """The dashed outline of a bar where it was before a slip."""
    inside = scene.frame
    x = np.array([left, right, right, left, left]) + 0.5
    top, bottom = inside.bar_top + 0.5, inside.bar_bottom - 0.5
    painter.setPen(pen(ink.colours.secondary, 1.0))
    dashed_path(x, np.array([top, top, bottom, bottom, top]), 4.0, 3.0).paint(painter)


def _is_late(box: LegBox) -> bool:
    return (off_blocks(box.leg) - box.leg.std).total_seconds() >= LATE_FROM_S


def _first_x(scene: RowScene, box: LegBox) -> float:
    return scene.scale.x(to_minutes(box.leg.std)) if _is_late(box) else box.left


def _free(scene: RowScene, bar: QRectF) -> tuple[float, float]:
    """From where to where there is room for words: inside the bar, clear of markers that lie over its ends."""
    middle, left, right = bar.center().x(), bar.left() + _PAD_PX, bar.right() - _PAD_PX
    for spot in scene.spots:
        reach = spot.size / 2.0 + 2.0
        if bar.left() - reach < spot.x <= middle:
            left = max(left, spot.x + reach)
        elif middle < spot.x < bar.right() + reach:
            right = min(right, spot.x - reach)
    return left, right


def _paint_labels(painter: QPainter, box: LegBox, middle: float, free: tuple[float, float], ink: Ink) -> None:
    left, right = free
    words = _flight(box.leg.flight, right - left)
    if words is None:
        return
    flight, size = words
    used = put_text(painter, left, middle, flight, size, ink.colours.text, bold=True)
    route = fitting(_route(box, ink), right - left - used - _BETWEEN_PX, SECONDARY_PX)
    if route:
        put_text(painter, right, middle, route, SECONDARY_PX, ink.colours.secondary, right=True)


def _flight(flight: str, room: float) -> tuple[str, int] | None:
    """The flight as it fits, with its size: whole, else its number alone; None when not even that fits."""
    number = flight.rpartition(" ")[2]
    for text in dict.fromkeys((flight, number)):
        for size in (SECONDARY_PX, SMALL_PX):
            if text and text_width(text, size, True) <= room:
                return text, size
    return None


def paint_carried_on(painter: QPainter, scene: RowScene, left: float, ink: Ink) -> None:
    """The flight of a bar that begins before a view does, again at the view's left edge if there is room for it."""
    box = next((one for one in scene.legs if one.left < left - 1.0 < one.right), None)
    if box is None or scene.frame.style == "dense":
        return
    inside, colours = scene.frame, ink.colours
    bar = QRectF(box.left, inside.bar_top, box.right - box.left, inside.bar_bottom - inside.bar_top)
    first, last = _free(scene, bar)
    words = _flight(box.leg.flight, last - first)
    if words is None or left <= first:
        return
    flight, size = words
    used = text_width(flight, size, True)
    route = fitting(_route(box, ink), last - first - used - _BETWEEN_PX, SECONDARY_PX)
    taken = text_width(route, SECONDARY_PX) if route else 0.0
    if left + _PAD_PX + used + _BETWEEN_PX > last - taken:
        return
    # What is left of the words in the bar would stand beside the same words whole.
    painter.fillRect(QRectF(left, bar.top(), used + 2.0 * _PAD_PX, bar.height()), brush(colours.bar))
    put_text(painter, left + _PAD_PX, bar.center().y(), flight, size, colours.text, bold=True)


def _paint_whisker(painter: QPainter, box: LegBox, scene: RowScene, ink: Ink) -> None:
    """A thin line from the scheduled departure to the bar of a late leg."""
    inside = scene.frame
    x, y = round(scene.scale.x(to_minutes(box.leg.std))), round((inside.bar_top + inside.bar_bottom) / 2.0)
    reach = 5.0 if inside.style != "dense" else 2.0
    shade = brush(ink.colours.secondary)
    painter.fillRect(QRectF(x, y, round(box.left) - x, 1.0), shade)
    painter.fillRect(QRectF(x, y - reach, 1.0, 2.0 * reach + 1.0), shade)
