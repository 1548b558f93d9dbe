"""One plot on a time axis: its axes in words, its keys, its pointer.

pyqtgraph is imported here: import this module when a view is opened, never before the first paint of the window.
"""

from __future__ import annotations

import math
from typing import Any, Final
from zoneinfo import ZoneInfo

import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy

from legtide.draw.colours import Palette, colour, pen
from legtide.draw.fan import Window
from legtide.draw.fonts import SMALL_PX, font
from legtide.draw.scale import TimeScale, label_step, ticks
from legtide.view.panels.tank_detail_ground import DayItem, Pixels

AXIS_PX: Final = 62
TIME_AXIS_PX: Final = 36
LEAST_PX: Final = 112
STEP_MIN: Final = 5.0
LEAP_MIN: Final = 60.0
_STEPS: Final = {
    Qt.Key.Key_Left: -1.0,
    Qt.Key.Key_Right: 1.0,
    Qt.Key.Key_Home: -math.inf,
    Qt.Key.Key_End: math.inf,
}
_ZOOMS: Final = {Qt.Key.Key_Plus: 1.5, Qt.Key.Key_Equal: 1.5, Qt.Key.Key_Minus: 1.0 / 1.5, Qt.Key.Key_0: 0.0}
"""Zero is the whole day."""

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
    clicked = Signal(QPointF)
    """Where in the scene it was clicked."""
    stepped = Signal(float)
    """Minutes by which a key moves the cursor; infinite for the ends of the day."""
    zoomed = Signal(float)
    """Factor by which a key zooms."""

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
        self.setMinimumHeight(LEAST_PX)
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
        axes: list[ValueAxis | TimeAxis] = [self.values] if self.times is None else [self.values, self.times]
        for axis in axes:
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

    def pixels(self) -> Pixels:
        """The scale in pixels of the scene, as the item paints it."""
        box, rect = self.box, self.box.sceneBoundingRect()
        (left, right), (low, high) = box.viewRange()
        first, last = box.mapViewToScene(pg.Point(left, low)), box.mapViewToScene(pg.Point(right, high))
        across, up = (last.x() - first.x()) / (right - left), (last.y() - first.y()) / (high - low)
        scale = TimeScale(left - first.x() / across, across)
        return Pixels(scale, first.y() - low * up, up, Window(rect.left(), rect.right()), rect.top(), rect.bottom())

    def _on_move(self, place: QPointF) -> None:
        if self.box.sceneBoundingRect().contains(place):
            self.pointed.emit(float(self.box.mapSceneToView(place).x()))

    def _on_click(self, event: Any) -> None:
        self.clicked.emit(QPointF(event.scenePos()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        far = bool(event.modifiers() & (Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.ControlModifier))
        if event.key() in _STEPS:
            self.stepped.emit(_STEPS[Qt.Key(event.key())] * (LEAP_MIN if far else STEP_MIN))
        elif event.key() in _ZOOMS:
            self.zoomed.emit(_ZOOMS[Qt.Key(event.key())])
        else:
            event.ignore()

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
