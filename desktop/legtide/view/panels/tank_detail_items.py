"""What is painted into the plots of one aircraft: a tank with its readings, and the day factor as it was learned.

Each plot has one item that paints in pixels with the painters of the board: bands are filled the fast way, nothing
is built on a change, and a band looks here as it looks there.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from legtide.day.document import Tank
from legtide.draw.colours import BAND_EDGE_ALPHA, BAND_OUTER_ALPHA, NO_BRUSH, NO_PEN, brush, pen
from legtide.draw.fan import (
    Window,
    course,
    hatch_rect,
    paint_bands,
    paint_hatch,
    paint_limit,
    paint_median,
)
from legtide.draw.fonts import SECONDARY_PX, SMALL_PX, text_width
from legtide.draw.geometry import dashed_level, dashed_path, path_segments
from legtide.draw.ink import put_text
from legtide.draw.services import look_of, paint_reading
from legtide.engine.types import TankCurve, to_minutes
from legtide.view.panels.tank_detail_ground import DayItem, Pixels, Shown
from legtide.view.panels.tank_detail_legend import paint_bracket
from legtide.view.panels.tank_detail_stages import Detail, ReadingFact, Stage
from legtide.view.panels.tank_detail_words import signed_off

HEAD_PX: Final = 30.0
"""Room above a full tank for markers and flights."""
READING_PX: Final = 10.0
"""How far from a reading a click still means it."""


class TankItem(DayItem):
    """One tank: bands, median, limit, breaches, services, and readings against what was projected."""

    def __init__(self, tank: Tank) -> None:
        super().__init__()
        self.tank: Tank = tank

    def paint_content(self, painter: QPainter, at: Pixels, shown: Shown) -> None:
        detail, colours = shown.detail, shown.ink.colours
        curve, hue = detail.projection.curve(self.tank), colours.hue(self.tank)
        strip = at.strip(curve.capacity_l)
        for share in (0.0, 0.25, 0.5, 0.75, 1.0):
            line = QRectF(at.window.left, round(strip.y(share)), at.window.right - at.window.left, 1.0)
            painter.fillRect(line, brush(colours.line if share in (0.0, 1.0) else colours.grid))
        self._paint_flights(painter, at, shown)
        paint_limit(painter, curve, at.scale, strip, at.window, hue, faint=False)
        found = course(curve, at.scale, strip, at.window)
        if found is not None:
            paint_bands(painter, found, hue)
        for stretch in detail.stretches:
            if stretch.tank == self.tank:
                paint_hatch(painter, hatch_rect(curve, stretch, at.scale, strip), at.window, stretch, colours)
        if shown.chosen is not None:
            self._paint_without(painter, at, shown, shown.chosen)
        if found is not None:
            paint_median(painter, found, hue, 2.0, None)
        self._paint_services(painter, at, shown)
        for fact in detail.facts:
            if fact.reading.tank == self.tank and fact.result is not None:
                self._paint_reading(painter, at, shown, fact, curve)

    def _paint_flights(self, painter: QPainter, at: Pixels, shown: Shown) -> None:
        middle = at.top + HEAD_PX / 2.0
        rotation = shown.detail.projection.rotation
        for turn, then in pairwise(rotation.turns):
            if turn.end is None or then.start is None:
                continue
            left, right = at.scale.x(to_minutes(turn.end)), at.scale.x(to_minutes(then.start))
            flight = rotation.legs[turn.number].flight
            width = text_width(flight, SMALL_PX)
            if width <= right - left - 6.0:
                x = (left + right - width) / 2.0
                put_text(painter, x, middle, flight, SMALL_PX, shown.ink.colours.secondary)

    def _paint_without(self, painter: QPainter, at: Pixels, shown: Shown, chosen: ReadingFact) -> None:
        """The band and median as they were expected to run on before the chosen reading was known."""
        stage = shown.detail.stage_before(chosen)
        if stage is None or chosen.result is None:
            return
        strip = at.strip(stage.projection.curve(self.tank).capacity_l)
        from_here = Window(max(at.scale.x(chosen.result.minutes), at.window.left), at.window.right)
        found = course(stage.projection.curve(self.tank), at.scale, strip, from_here)
        if found is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(shown.ink.colours.secondary, 1.0))
        keep = found.x >= from_here.left
        x = found.x[keep]
        for row, (on, off) in ((0, (2.0, 3.0)), (2, (6.0, 4.0)), (4, (2.0, 3.0))):
            dashed_path(x, found.y[row][keep], on, off).paint(painter)

    def _paint_services(self, painter: QPainter, at: Pixels, shown: Shown) -> None:
        hue = shown.ink.colours.hue(self.tank)
        for result in shown.detail.projection.services:
            if result.service.tank != self.tank or result.start is None:
                continue
            x = at.scale.x(to_minutes(result.start))
            painter.setPen(pen(hue, 1.0, 0.7))
            foot = round(x) + 0.5
            painter.drawLine(QPointF(foot, at.top + HEAD_PX / 2.0), QPointF(foot, at.zero))
            shown.ink.marker(painter, x, at.top + HEAD_PX / 2.0, look_of(result.service))

    def _paint_reading(
        self, painter: QPainter, at: Pixels, shown: Shown, fact: ReadingFact, curve: TankCurve
    ) -> None:
        """The diamond, brackets for the band before (left) and after (right), and the distance."""
        colours, tank = shown.ink.colours, self.tank
        x, y = reading_place(at, fact, curve.capacity_l)
        if fact.before is None or fact.after is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brackets = [(fact.before, -1.0, colours.secondary)]
        if not fact.why_not:
            brackets.append((fact.after, 1.0, colours.hue(tank)))
        for band, side, hue in brackets:
            ends = (at.y(band.high), at.y(band.middle), at.y(band.low))
            paint_bracket(painter, x + side * 8.0, ends, side, hue)
        if shown.chosen is not None and fact.reading is shown.chosen.reading:
            painter.setPen(pen(colours.accent, 2.0))
            painter.setBrush(brush(colours.canvas))
            painter.drawEllipse(QPointF(x, y), 8.0, 8.0)
        paint_reading(painter, x, y, tank, not fact.why_not, colours)
        self._paint_distance(painter, QPointF(x, y), at.top, shown, fact)

    def _paint_distance(self, painter: QPainter, mark: QPointF, top: float, shown: Shown, fact: ReadingFact) -> None:
        x, y = mark.x(), mark.y()
        text = signed_off(fact, shown.unit, shown.detail.projection.curve(self.tank).capacity_l)
        colours, width = shown.ink.colours, text_width(text, SMALL_PX, True)
        # Away from the curve: above it for a reading that is above what was expected, but not among the flights.
        below = (fact.off_l or 0.0) < 0.0 or y - 24.0 < top + HEAD_PX
        middle = y + (14.0 if below else -14.0)
        box = QRectF(x + 12.0, middle - 8.0, width + 8.0, 16.0)
        painter.setPen(pen(colours.line))
        painter.setBrush(brush(colours.panel, 0.92))
        painter.drawRoundedRect(box, 3.0, 3.0)
        put_text(painter, box.left() + 4.0, middle, text, SMALL_PX, colours.tank_text(self.tank), bold=True)


def reading_place(at: Pixels, fact: ReadingFact, capacity_l: float) -> tuple[float, float]:
    """Where the mark of a reading that has a place in the day stands."""
    assert fact.result is not None  # noqa: S101  only asked for readings of the day
    return at.scale.x(fact.result.minutes), at.y(fact.reading.percent * capacity_l / 100.0)


class FactorItem(DayItem):
    """The day factor as it was learned: mean and 5-95 % range, with what was assumed before any reading."""

    def paint_content(self, painter: QPainter, at: Pixels, shown: Shown) -> None:
        colours, stages = shown.ink.colours, shown.detail.stages
        times = _edges(stages, shown.detail, at)
        prior = stages[0].factor
        for value in (prior.p05, prior.p95):
            self._reference(painter, at, value, colours.secondary, (2.0, 3.0))
        self._reference(painter, at, prior.mean, colours.secondary, (6.0, 4.0))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        means: list[tuple[float, float]] = []
        for stage, (left, right) in zip(stages, times, strict=True):
            box = QRectF(QPointF(left, at.y(stage.factor.p95)), QPointF(right, at.y(stage.factor.p05)))
            painter.setPen(NO_PEN)
            painter.setBrush(brush(colours.accent, BAND_OUTER_ALPHA))
            painter.drawRect(box)
            painter.setPen(pen(colours.accent, 1.0, BAND_EDGE_ALPHA))
            painter.setBrush(NO_BRUSH)
            painter.drawLine(box.topLeft(), box.topRight())
            painter.drawLine(box.bottomLeft(), box.bottomRight())
            means += [(left, at.y(stage.factor.mean)), (right, at.y(stage.factor.mean))]
        painter.setPen(pen(colours.accent, 2.0))
        path_segments(*np.array(means).T).paint(painter)
        self._paint_moments(painter, at, stages[1:], shown)

    @staticmethod
    def _reference(painter: QPainter, at: Pixels, value: float, ink: str, dash: tuple[float, float]) -> None:
        painter.setPen(pen(ink))
        y = float(np.floor(at.y(value))) + 0.5
        dashed_level(at.window.left, at.window.right, y, *dash).paint(painter)

    @staticmethod
    def _paint_moments(painter: QPainter, at: Pixels, stages: Sequence[Stage], shown: Shown) -> None:
        colours = shown.ink.colours
        free = -np.inf
        for stage in stages:
            x, y = at.scale.x(stage.minutes), at.y(stage.factor.mean)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(pen(colours.canvas, 1.4))
            painter.setBrush(brush(colours.accent))
            painter.drawEllipse(QPointF(x, y), 4.0, 4.0)
            text = f"×{stage.factor.mean:.2f}"
            if x >= free:
                put_text(painter, x + 7.0, y - 9.0, text, SECONDARY_PX, colours.text, bold=True)
                free = x + text_width(text, SECONDARY_PX, True) + 12.0


def _edges(stages: Sequence[Stage], detail: Detail, at: Pixels) -> list[tuple[float, float]]:
    """The pixels from and to which each stage holds, within the aircraft's day."""
    minutes = detail.projection.fresh.minutes
    first, last = float(minutes[0]), float(minutes[-1])
    starts = [first, *(max(stage.minutes, first) for stage in stages[1:]), last]
    return [(at.scale.x(a), at.scale.x(b)) for a, b in pairwise(starts)]
