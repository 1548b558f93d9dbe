"""A tank's level across the day: 5-95 % and 25-75 % bands, median, limit, hatch; painted the fast way.

Bands are filled without antialiasing and edged with a one-pixel line; the median is drawn as single segments; only
the points that are needed between two pixels are turned into shapes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.draw.colours import (
    BAND_EDGE_ALPHA,
    BAND_INNER_ALPHA,
    BAND_OUTER_ALPHA,
    NO_BRUSH,
    NO_PEN,
    Palette,
    brush,
    pen,
)
from legtide.draw.geometry import Segments, dashed_level, dashed_path, hatch, path_segments, polygon, visible
from legtide.draw.scale import TimeScale
from legtide.draw.stretches import Stretch
from legtide.engine.types import QUANTILES, Floats, TankCurve

_MEDIAN = QUANTILES.index(0.50)


@dataclass(frozen=True, slots=True)
class Strip:
    """The part of a row in which a tank runs from 0 (bottom) to 100 % (top), pixels from the row's top."""

    top: float
    bottom: float

    def y(self, share: float) -> float:
        """Pixel of a share of the capacity, 0 to 1."""
        return self.bottom - share * (self.bottom - self.top)


@dataclass(frozen=True, slots=True)
class Window:
    """The pixels from `left` to `right` that are to be painted."""

    left: float
    right: float


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """A tank's quantiles between two pixels."""

    x: Floats
    """(n,) pixels of the scale."""
    y: Floats
    """(5, n) pixels from the row's top, rows as `QUANTILES`."""


def course(curve: TankCurve, scale: TimeScale, strip: Strip, window: Window) -> Course | None:
    """The points to paint in a window; None where the curve does not reach into it."""
    part = visible(curve.minutes, scale.minutes(window.left), scale.minutes(window.right))
    if part.stop - part.start < 2:
        return None
    x = scale.x(curve.minutes[part])
    return Course(x, strip.bottom - curve.levels[:, part] * ((strip.bottom - strip.top) / curve.capacity_l))


def paint_bands(painter: QPainter, found: Course, hue: str) -> None:
    """Both bands with the outer one's edges."""
    x, (low, quarter, _, three, high) = found.x, found.y
    there_and_back = np.concatenate((x, x[::-1]))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(NO_PEN)
    painter.setBrush(brush(hue, BAND_OUTER_ALPHA))
    painter.drawPolygon(polygon(there_and_back, np.concatenate((low, high[::-1]))))
    painter.setBrush(brush(hue, BAND_INNER_ALPHA))
    painter.drawPolygon(polygon(there_and_back, np.concatenate((quarter, three[::-1]))))
    painter.setBrush(NO_BRUSH)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(hue, 1.0, BAND_EDGE_ALPHA))
    for edge in (low, high):
        painter.drawPolyline(polygon(x, edge))


def paint_median(painter: QPainter, found: Course, hue: str, width: float, dashed_after: float | None) -> None:
    """The median; from x `dashed_after` on (where a dragged service has changed it) as a dashed line."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    # Single segments with flat ends: seven times faster than round ends, nine times faster than one thick polyline.
    painter.setPen(pen(hue, width))
    x, y = found.x, found.y[_MEDIAN]
    if dashed_after is None:
        path_segments(x, y).paint(painter)
        return
    first = int(np.searchsorted(x, dashed_after - 1e-6, "left"))
    path_segments(x[: first + 1], y[: first + 1]).paint(painter)
    dashed_path(x[first:], y[first:], 5.0, 4.0).paint(painter)


def paint_ghost(painter: QPainter, found: Course, hue: str) -> None:
    """The median of another projection (a baseline, or the level before a drag) as a thin pale line."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(hue, 1.0, 0.55))
    painter.drawPolyline(polygon(found.x, found.y[_MEDIAN]))


def paint_limit(
    painter: QPainter, curve: TankCurve, scale: TimeScale, strip: Strip, window: Window, hue: str, faint: bool
) -> None:
    """The limit as a dashed line, as long as the curve."""
    if len(curve.minutes) < 2:
        return
    left = max(scale.x(float(curve.minutes[0])), window.left)
    right = min(scale.x(float(curve.minutes[-1])), window.right)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(pen(hue, 1.0, 0.65 if faint else 0.9))
    y = np.floor(strip.y(curve.limit_l / curve.capacity_l)) + 0.5
    dashed_level(left, right, float(y), *((5.0, 4.0) if not faint else (4.0, 4.0))).paint(painter)


LEAST_HATCH_PX = 5.0


def hatch_rect(curve: TankCurve, stretch: Stretch, scale: TimeScale, strip: Strip) -> QRectF:
    """Between the limit and the tank's edge, over exactly the stretch.

    A limit close to the edge would leave a sliver: the hatch then grows beyond the edge, never over levels that
    are within the limit.
    """
    left, right = scale.x(stretch.start), scale.x(stretch.end)
    limit = strip.y(curve.limit_l / curve.capacity_l)
    if curve.tank == "fresh":
        return QRectF(left, limit, right - left, max(strip.bottom - limit, LEAST_HATCH_PX))
    top = min(strip.top, limit - LEAST_HATCH_PX)
    return QRectF(left, top, right - left, limit - top)


def paint_hatch(painter: QPainter, rect: QRectF, window: Window, stretch: Stretch, colours: Palette) -> None:
    """The hatch of a breach, cut to the window, on a pale ground of its own hue."""
    part = rect.intersected(QRectF(window.left - 8.0, rect.top(), window.right - window.left + 16.0, rect.height()))
    if part.isEmpty():
        return
    act = stretch.urgency == "act"
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(NO_PEN)
    painter.setBrush(brush(colours.act if act else colours.watch, 0.10 if act else 0.22))
    painter.drawRect(part)
    # The watch hue alone is too pale for thin lines on white.
    painter.setPen(pen(colours.act if act else _watch_line(colours), 1.1, 0.95))
    lines: Segments = hatch(part, 5.0)
    lines.paint(painter)


def _watch_line(colours: Palette) -> str:
    return colours.watch if colours.name == "dark" else "#8A6A00"
