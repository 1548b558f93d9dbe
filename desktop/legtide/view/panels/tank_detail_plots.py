"""The three plots of one aircraft, one above the other on one time axis: fresh water, waste, day factor."""

from __future__ import annotations

import math
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from legtide.day.document import TANKS, Tank
from legtide.draw.colours import Palette
from legtide.draw.words import TANK_NAME
from legtide.language import tr
from legtide.view.panels.tank_detail_ground import Shown
from legtide.view.panels.tank_detail_items import HEAD_PX, READING_PX, FactorItem, TankItem, reading_place
from legtide.view.panels.tank_detail_plot import TimeAxis, TimePlot, ValueAxis
from legtide.view.panels.tank_detail_words import arrivals_text, factor_steps_text, learned_text, tank_sentence
from legtide.view.texts import plain_label
from legtide.view.units import volume_text

MARGIN_MIN: Final = 15.0
"""What is shown before the day's first and after its last moment."""
CLOSEST_MIN: Final = 30.0
"""The shortest stretch of time that can be zoomed to."""
SHARES: Final = (0.0, 0.25, 0.5, 0.75, 1.0)
FACTOR_STEP: Final = 0.25


class PlotStack(QWidget):
    """The plots with their headings; one cursor and one stretch of time for all."""

    cursor_moved = Signal(float)
    """Minutes since 1970."""
    reading_clicked = Signal(object)
    """The reading whose mark was clicked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.shown: Shown | None = None
        self.tanks: dict[Tank, TimePlot] = {tank: TimePlot(TankItem(tank), ValueAxis(), None) for tank in TANKS}
        self.times = TimeAxis()
        self.factor = TimePlot(FactorItem(), ValueAxis(), self.times)
        self.plots = (*self.tanks.values(), self.factor)
        self._titles = (*(tr(TANK_NAME[tank]) for tank in TANKS), tr("Day factor"))
        self.notes = tuple(plain_label("", "secondary") for _ in self.plots)
        self._range = (0.0, 1.0)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        for place, (plot, stretch) in enumerate(zip(self.plots, (5, 5, 4), strict=True)):
            layout.addLayout(self._heading(place))
            layout.addWidget(plot, stretch)
            if place > 0:
                plot.box.setXLink(self.plots[0].box)
            plot.pointed.connect(self.point)
            plot.stepped.connect(self._step)
            plot.zoomed.connect(self._zoom)
        for plot in self.tanks.values():
            plot.clicked.connect(lambda at, plot=plot: self._click(plot, at))

    def _heading(self, place: int) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setContentsMargins(14, 4, 14, 0)
        row.setSpacing(10)
        row.addWidget(plain_label(self._titles[place], "strong"))
        self.notes[place].setWordWrap(True)
        row.addWidget(self.notes[place], 1)
        return row

    # what is shown ----------------------------------------------------------------------------------------

    def wear(self, colours: Palette) -> None:
        """Takes another palette."""
        for plot in self.plots:
            plot.wear(colours)

    def show_detail(self, shown: Shown) -> None:
        """Shows another state of an aircraft; of another aircraft the whole day comes into view."""
        before, self.shown = self.shown, shown
        one = shown.detail.projection
        minutes = one.fresh.minutes
        span = (float(minutes[0]) - MARGIN_MIN, float(minutes[-1]) + MARGIN_MIN)
        other = before is None or before.detail.projection.rotation.registration != one.rotation.registration
        if other or span != self._range:
            self._range = span
            for plot in self.plots:
                plot.box.setLimits(
                    xMin=span[0], xMax=span[1], minXRange=CLOSEST_MIN, maxXRange=max(span[1] - span[0], CLOSEST_MIN)
                )
            self.whole_day()
        for tank, plot in self.tanks.items():
            self._show_tank(tank, plot, shown)
        self._show_factor(shown)
        self._tell(shown)
        self.repaint_plots()

    def _show_tank(self, tank: Tank, plot: TimePlot, shown: Shown) -> None:
        capacity = shown.detail.projection.curve(tank).capacity_l
        plot.values.put({share * capacity: volume_text(share * capacity, shown.unit, capacity) for share in SHARES})
        plot.show_values(0.0, capacity, HEAD_PX)
        first, last = self._range
        plot.item.show_day(shown, QRectF(first, -capacity, last - first, 3.0 * capacity))

    def _show_factor(self, shown: Shown) -> None:
        factors = [stage.factor for stage in shown.detail.stages]
        low = math.floor(min(row.p05 for row in factors) / FACTOR_STEP) * FACTOR_STEP
        high = math.ceil(max(row.p95 for row in factors) / FACTOR_STEP) * FACTOR_STEP
        steps = round((high - low) / FACTOR_STEP)
        every = max(1, math.ceil(steps / 5))
        values = [low + FACTOR_STEP * number for number in range(0, steps + 1, every)]
        self.factor.values.put({value: f"×{value:.2f}" for value in values})
        self.factor.show_values(low, high, 10.0)
        first, last = self._range
        self.factor.item.show_day(shown, QRectF(first, low - 10.0, last - first, high - low + 20.0))

    def _tell(self, shown: Shown) -> None:
        detail, unit = shown.detail, shown.unit
        name = detail.projection.rotation.registration
        notes = [*(tank_sentence(detail, tank, unit) for tank in TANKS), learned_text(detail)]
        courses = [*(arrivals_text(detail, tank, unit) for tank in TANKS), factor_steps_text(detail)]
        for plot, title, label, note, course in zip(
            self.plots, self._titles, self.notes, notes, courses, strict=True
        ):
            label.setText(note)
            plot.setAccessibleName(tr("{title} of {aircraft}").format(title=title, aircraft=name))
            plot.setAccessibleDescription(f"{note}. {course}.")

    def repaint_plots(self) -> None:
        """Paints all plots again, after something in `shown` has changed."""
        for plot in self.plots:
            plot.item.update()

    # cursor and stretch of time ---------------------------------------------------------------------------

    def whole_day(self) -> None:
        """Shows the whole day."""
        self.plots[0].box.setXRange(*self._range, padding=0.0)

    def point(self, minutes: float) -> None:
        """Puts the cursor to a moment, kept within the day and in view."""
        if self.shown is None:
            return
        first, last = self._range[0] + MARGIN_MIN, self._range[1] - MARGIN_MIN
        self.shown.cursor = min(max(minutes, first), last)
        self.repaint_plots()
        self.cursor_moved.emit(self.shown.cursor)

    def _step(self, minutes: float) -> None:
        if self.shown is None:
            return
        (left, right), _ = self.plots[0].box.viewRange()
        here = self.shown.cursor
        self.point((left + right) / 2.0 if here is None else here + minutes)
        self._bring_into_view()

    def _bring_into_view(self) -> None:
        (left, right), _ = self.plots[0].box.viewRange()
        cursor = self.shown.cursor if self.shown is not None else None
        if cursor is not None and not left <= cursor <= right:
            half = (right - left) / 2.0
            self.plots[0].box.setXRange(cursor - half, cursor + half, padding=0.0)

    def _zoom(self, factor: float) -> None:
        if factor <= 0.0:
            self.whole_day()
            return
        (left, right), _ = self.plots[0].box.viewRange()
        middle = (
            self.shown.cursor if self.shown is not None and self.shown.cursor is not None else (left + right) / 2.0
        )
        half = max((right - left) / factor, CLOSEST_MIN) / 2.0
        self.plots[0].box.setXRange(middle - half, middle + half, padding=0.0)

    def _click(self, plot: TimePlot, at: QPointF) -> None:
        """A click on a reading's mark chooses the nearest one."""
        if self.shown is None:
            return
        pixels, tank = plot.pixels(), next(tank for tank, one in self.tanks.items() if one is plot)
        capacity = self.shown.detail.projection.curve(tank).capacity_l
        near = []
        for fact in self.shown.detail.facts:
            if fact.reading.tank == tank and fact.result is not None:
                x, y = reading_place(pixels, fact, capacity)
                near.append((math.hypot(at.x() - x, at.y() - y), fact))
        if near:
            distance, fact = min(near, key=lambda pair: pair[0])
            if distance <= READING_PX:
                self.reading_clicked.emit(fact)
