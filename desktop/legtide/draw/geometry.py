"""numpy to Qt in bulk: polygons, line segments, dashes and hatches as plain line arrays.

Dashes and hatches are lines, not pen styles or brush patterns: they are many times faster on the screen, and stay
sharp at every resolution of a picture or a page.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QRectF
from PySide6.QtGui import QPainter, QPolygonF
from shiboken6 import VoidPtr, wrapInstance

from legtide.engine.types import Floats


def polygon(x: Floats, y: Floats) -> QPolygonF:
    """A polygon from two arrays of n coordinates."""
    count = len(x)
    made = QPolygonF()
    made.resize(count)
    if count:
        # The stubs know neither the sized pointer nor that it is a buffer.
        pointer: Any = VoidPtr(made.data(), count * 16, True)  # type: ignore[call-arg, arg-type]
        memory = np.frombuffer(pointer, np.float64).reshape(count, 2)
        memory[:, 0] = x
        memory[:, 1] = y
    return made


class Segments:
    """Line segments whose memory lives as long as this object."""

    __slots__ = ("_count", "_first", "_memory")

    def __init__(self, ends: NDArray[np.float64]) -> None:
        """`ends`: (n, 4) rows of x1, y1, x2, y2."""
        self._memory = np.ascontiguousarray(ends, dtype=np.float64)
        self._count = len(self._memory)
        self._first: Any = wrapInstance(self._memory.ctypes.data, QLineF) if self._count else None

    def __len__(self) -> int:
        return self._count

    def paint(self, painter: QPainter) -> None:
        """Draws all segments with the painter's pen in one call."""
        if self._first is not None:
            painter.drawLines(self._first, self._count)


def path_segments(x: Floats, y: Floats) -> Segments:
    """The open path through n points as n - 1 segments."""
    if len(x) < 2:
        return Segments(np.empty((0, 4)))
    return Segments(np.column_stack((x[:-1], y[:-1], x[1:], y[1:])))


def dashed_level(left: float, right: float, y: float, on: float = 4.0, off: float = 3.0) -> Segments:
    """A level dashed line. The dashes keep their phase, so that neighbouring pieces join."""
    period = on + off
    first = np.floor(left / period) * period
    starts = np.arange(first, right, period)
    ends = np.minimum(starts + on, right)
    starts = np.maximum(starts, left)
    keep = ends > starts
    starts, ends = starts[keep], ends[keep]
    heights = np.full(len(starts), y)
    return Segments(np.column_stack((starts, heights, ends, heights)))


def dashed_path(x: Floats, y: Floats, on: float = 6.0, off: float = 4.0) -> Segments:
    """A dashed path through n points, dashes measured along the path."""
    if len(x) < 2:
        return Segments(np.empty((0, 4)))
    lengths = np.hypot(np.diff(x), np.diff(y))
    keep = np.concatenate(([True], lengths > 1e-9))
    x, y = x[keep], y[keep]
    along = np.concatenate(([0.0], np.cumsum(lengths[keep[1:]])))
    if len(x) < 2:
        return Segments(np.empty((0, 4)))
    starts = np.arange(0.0, along[-1], on + off)
    # Corners inside a dash are kept: every dash is cut at the points of the path that it passes.
    cuts = np.unique(np.concatenate((starts, np.minimum(starts + on, along[-1]), along)))
    middle = (cuts[:-1] + cuts[1:]) / 2.0
    inside = np.mod(middle, on + off) < on
    px, py = np.interp(cuts, along, x), np.interp(cuts, along, y)
    return Segments(np.column_stack((px[:-1], py[:-1], px[1:], py[1:]))[inside])


def hatch(rect: QRectF, spacing: float = 5.0) -> Segments:
    """45-degree lines, cut to a rectangle; their phase is that of the plane, so that neighbours join."""
    left, right, top, bottom = rect.left(), rect.right(), rect.top(), rect.bottom()
    if right <= left or bottom <= top:
        return Segments(np.empty((0, 4)))
    # Each line is x + y = c.
    first = np.ceil((left + top) / spacing) * spacing
    c = np.arange(first, right + bottom, spacing)
    x1 = np.maximum(left, c - bottom)
    x2 = np.minimum(right, c - top)
    keep = x2 > x1
    x1, x2, c = x1[keep], x2[keep], c[keep]
    return Segments(np.column_stack((x1, c - x1, x2, c - x2)))


def visible(minutes: Floats, start: float, end: float) -> slice:
    """The points of a sorted time array that are needed to draw from `start` to `end`, one more at each side."""
    first = max(int(np.searchsorted(minutes, start, "left")) - 1, 0)
    last = min(int(np.searchsorted(minutes, end, "right")) + 1, len(minutes))
    return slice(first, last)
