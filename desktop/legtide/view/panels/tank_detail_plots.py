"""The three plots of one aircraft, one above the other on one time axis: fresh water, waste, day factor.

Only this package of the window needs pyqtgraph: import it when the view is opened, not before the first paint.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final
from zoneinfo import ZoneInfo

import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from legtide.day.document import TANKS, Tank
from legtide.draw.colours import Palette, colour, pen
from legtide.draw.fonts import SMALL_PX, font
from legtide.draw.scale import TimeScale, label_step, ticks
from legtide.draw.words import TANK_NAME
from legtide.view.panels.tank_detail_items import (
    HEAD_PX,
    READING_PX,
    DayItem,
    FactorItem,
    Pixels,
    Shown,
    TankItem,
    reading_place,
)
from legtide.view.panels.tank_detail_stages import Detail, ReadingFact
from legtide.view.panels.tank_detail_words import (
    arrivals_text,
    factor_steps_text,
    learned_sentence,
    tank_sentence,
)
from legtide.view.texts import plain_label, tr
from legtide.view.units import Unit, volume_text

AXIS_PX: Final = 62
TIME_AXIS_PX: Final = 36
MARGIN_MIN: Final = 20.0
"""What is shown before the day's first and after its last moment."""
CLOSEST_MIN: Final = 30.0
"""The shortest stretch of time that can be zoomed to."""
STEP_MIN: Final = 5.0
LEAP_MIN: Final = 60.0

# A limit on mouse events is taken up when a view is made, and drops every fast move.
pg.setConfigOptions(mouseRateLimit=0)


class TimeAxis(pg.AxisItem):
    """UTC at whole steps, and below it the local time by the zone's own rules."""

    def __init__(self) -> None:
        super().__init__("bottom")
        self.zone: ZoneInfo | None = None
        self._words: dict[float, str] = {}
        self.setHeight(TIME_AXIS_PX)

    def tickValues(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, list[float]]]:
        scale = TimeScale(minVal, size / max(maxVal - minVal, 1e-9))
        found = ticks(scale, 0.0, size, self.zone)
        self._words = {tick.minutes: "\n".join(filter(None, (tick.utc, tick.local))) for tick in found}
        return [(float(label_step(scale.px_per_min)), list(self._words))]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        return [self._words.get(value, "") for value in values]


class ValueAxis(pg.AxisItem):
    """Labels at given values, in given words."""

    def __init__(self) -> None:
        super().__init__("left")
        self._words: dict[float, str] = {}
        self.setWidth(AXIS_PX)

    def put(self, words: dict[float, str]) -> None:
        """Takes other values and their words."""
        if words != self._words:
            self._words = words
            self.picture = None
            self.update()

    def tickValues(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, list[float]]]:
        return [(1.0, [value for value in self._words if minVal <= value <= maxVal])]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        return [self._words.get(value, "") for value in values]


class TimePlot(pg.PlotWidget):
    """One plot: the wheel and drags change its stretch of time, arrows move the cursor."""

    pointed = Signal(float)
    """Minutes at which the pointer or the cursor stands."""
    clicked = Signal(object)
    """Pixels of the plot's scale, and where it was clicked."""

    def __init__(self, item: DayItem, values: ValueAxis, times: TimeAxis | None) -> None:
        axes: dict[str, Any] = {"left": values}
        if times is not None:
            axes["bottom"] = times
        super().__init__(axisItems=axes)
        self.item, self.values, self.times = item, values, times
        plot = self.getPlotItem()
        plot.setMenuEnabled(False)
        plot.hideButtons()
        plot.setContentsMargins(0.0, 0.0, 10.0, 0.0)
        if times is None:
            plot.hideAxis("bottom")
        box = plot.getViewBox()
        box.setMouseEnabled(x=True, y=False)
        box.disableAutoRange()
        box.setDefaultPadding(0.0)
        plot.addItem(item, ignoreBounds=True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setFrameShape(self.Shape.NoFrame)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumHeight(96)
        self.scene().sigMouseMoved.connect(self._on_move)
        self.scene().sigMouseClicked.connect(self._on_click)
        self._from, self._to, self._head = 0.0, 1.0, 0.0
        self._ring = ""

    @property
    def box(self) -> Any:
        """The part of the plot inside its axes."""
        return self.getPlotItem().getViewBox()

    def wear(self, colours: Palette) -> None:
        """Takes another palette."""
        self._ring = colours.accent
        self.setBackground(colour(colours.canvas))
        for axis in filter(None, (self.values, self.times)):
            axis.setPen(pen(colours.line))
            axis.setTextPen(pen(colours.secondary))
            axis.setTickFont(font(SMALL_PX))
            axis.setStyle(tickLength=0, tickTextOffset=6)

    def show_values(self, low: float, high: float, head_px: float) -> None:
        """Shows the values from `low` to `high`, with `head_px` pixels free above them."""
        self._from, self._to, self._head = low, high, head_px
        self._spread()

    def _spread(self) -> None:
        height = max(self.box.height(), 1.0)
        share = min(self._head / height, 0.5)
        foot = 8.0 / height * (self._to - self._from)
        high = self._from + (self._to - self._from) / (1.0 - share)
        self.box.setYRange(self._from - foot, high, padding=0.0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if hasattr(self, "_head"):
            self._spread()

    def place(self, scene_pos: QPointF) -> tuple[Pixels, QPointF]:
        """The plot's pixels as its item paints them, and a place of the scene among them."""
        box = self.box
        rect, view = box.sceneBoundingRect(), box.viewRect()
        px, py = rect.width() / view.width(), rect.height() / view.height()
        scale = TimeScale(view.left() - rect.left() / px, px)
        zero = rect.bottom() + view.top() * py
        return Pixels(scale, zero, -py, _window(rect), rect.top(), rect.bottom()), scene_pos

    def _on_move(self, place: QPointF) -> None:
        if self.box.sceneBoundingRect().contains(place):
            self.pointed.emit(float(self.box.mapSceneToView(place).x()))

    def _on_click(self, event: Any) -> None:
        self.clicked.emit(self.place(event.scenePos()))

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.hasFocus():
            with QPainter(self.viewport()) as painter:
                painter.setPen(pen(self._ring, 2.0))
                painter.drawRect(QRectF(self.viewport().rect()).adjusted(1.0, 1.0, -1.0, -1.0))

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.viewport().update()


def _window(rect: QRectF) -> Any:
    from legtide.draw.fan import Window

    return Window(rect.left(), rect.right())


class PlotStack(QWidget):
    """The plots with their headings; one cursor and one stretch of time for all."""

    cursor_moved = Signal(float)
    reading_clicked = Signal(object)
    """The reading whose mark was clicked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.shown: Shown | None = None
        self._registration = ""
        self.tanks: dict[Tank, TimePlot] = {tank: TimePlot(TankItem(tank), ValueAxis(), None) for tank in TANKS}
        self.times = TimeAxis()
        self.factor = TimePlot(FactorItem(), ValueAxis(), self.times)
        self.plots = (*self.tanks.values(), self.factor)
        self._notes = {plot: plain_label("", "secondary") for plot in self.plots}
        self._titles = {plot: plain_label("", "strong") for plot in self.plots}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        words = (*(tr(TANK_NAME[tank]) for tank in TANKS), tr("Day factor"))
        for plot, title, stretch in zip(self.plots, words, (5, 5, 3), strict=True):
            self._titles[plot].setText(title)
            layout.addLayout(self._heading(plot))
            layout.addWidget(plot, stretch)
            plot.box.setXLink(self.plots[0].box if plot is not self.plots[0] else None)
            plot.pointed.connect(self._point)
            plot.clicked.connect(lambda found, plot=plot: self._click(plot, *found))
            plot.installEventFilter(self)

    def _heading(self, plot: TimePlot) -> Any:
        from PySide6.QtWidgets import QHBoxLayout

        row = QHBoxLayout()
        row.setContentsMargins(14, 4, 14, 0)
        row.setSpacing(10)
        row.addWidget(self._titles[plot])
        row.addWidget(self._notes[plot], 1)
        return row
