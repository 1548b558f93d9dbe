"""The ground of the plots of one aircraft: what they share, their scale in pixels, turns, hours and cursor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.draw.colours import brush
from legtide.draw.fan import Strip, Window
from legtide.draw.ink import Ink
from legtide.draw.scale import TimeScale, grid_lines
from legtide.engine.types import to_minutes
from legtide.view.panels.tank_detail_stages import Detail, ReadingFact
from legtide.view.units import Unit


@dataclass(slots=True, eq=False)
class Shown:
    """What the plots show, shared by all of them."""

    detail: Detail
    ink: Ink
    unit: Unit
    chosen: ReadingFact | None = None
    now: float | None = None
    """Minutes since 1970; None when past and future are not told apart."""
    cursor: float | None = None


@dataclass(frozen=True, slots=True)
class Pixels:
    """From time and value to pixels of a plot."""

    scale: TimeScale
    zero: float
    """Pixel of the value 0."""
    per_unit: float
    """Pixels downward for one unit upward: negative."""
    window: Window
    top: float
    bottom: float

    def y(self, value: float) -> float:
        """Pixel of a value."""
        return self.zero + value * self.per_unit

    def strip(self, capacity_l: float) -> Strip:
        """Where a tank runs from empty to full."""
        return Strip(self.y(capacity_l), self.zero)


class DayItem(pg.GraphicsObject):
    """The ground of a plot: turns, hours, now and the cursor. What lies between them is painted by those below."""

    def __init__(self) -> None:
        super().__init__()
        self.shown: Shown | None = None
        self._reach = QRectF()

    def show_day(self, shown: Shown | None, reach: QRectF) -> None:
        """Shows another state; `reach` is the part of the plot, in time and value, that may ever be painted."""
        if reach != self._reach:
            self.prepareGeometryChange()
            self._reach = reach
        self.shown = shown
        self.update()

    def boundingRect(self) -> QRectF:
        return self._reach

    def pixels(self, painter: QPainter) -> Pixels:
        """The present scale, from the painter's own transformation."""
        place, view = painter.worldTransform(), self.getViewBox().viewRect()
        box = place.mapRect(view)
        scale = TimeScale(-place.dx() / place.m11(), place.m11())
        return Pixels(scale, place.dy(), place.m22(), Window(box.left(), box.right()), box.top(), box.bottom())

    def paint(self, painter: QPainter, *_: Any) -> None:
        if self.shown is None:
            return
        at = self.pixels(painter)
        painter.save()
        painter.resetTransform()
        self._paint_ground(painter, at, self.shown)
        self.paint_content(painter, at, self.shown)
        self._paint_lines(painter, at, self.shown)
        painter.restore()

    def paint_content(self, painter: QPainter, at: Pixels, shown: Shown) -> None:
        """Paints what the plot is about."""
        raise NotImplementedError

    def _paint_ground(self, painter: QPainter, at: Pixels, shown: Shown) -> None:
        colours, height = shown.ink.colours, at.bottom - at.top
        for turn in shown.detail.projection.rotation.turns:
            left = at.window.left if turn.start is None else at.scale.x(to_minutes(turn.start))
            right = at.window.right if turn.end is None else at.scale.x(to_minutes(turn.end))
            box = QRectF(round(left), at.top, max(round(right) - round(left), 1), height)
            painter.fillRect(box, brush(colours.home_turn, 0.55))
        for x, midnight in grid_lines(at.scale, at.window.left, at.window.right):
            painter.fillRect(QRectF(round(x), at.top, 1.0, height), brush(colours.line if midnight else colours.grid))

    def _paint_lines(self, painter: QPainter, at: Pixels, shown: Shown) -> None:
        colours, height = shown.ink.colours, at.bottom - at.top
        if shown.now is not None:
            painter.fillRect(QRectF(round(at.scale.x(shown.now)) - 1.0, at.top, 2.0, height), brush(colours.accent))
        if shown.cursor is not None:
            painter.fillRect(QRectF(round(at.scale.x(shown.cursor)), at.top, 1.0, height), brush(colours.secondary))
