"""The bar at the bottom: the legend of the board, and for a few seconds what has just been done."""

from __future__ import annotations

from PySide6.QtCore import QSize, QTimer
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from legtide.draw.ink import Ink
from legtide.draw.legend import LEGEND_PX, paint_legend
from legtide.language import tr
from legtide.view.texts import plain_label, tooltip
from legtide.view.theme import Theme

SAID_MS = 6_000
LEGEND = (
    "Blue with a drop: fresh water and its fills. Amber with a bucket: waste and its drains.",
    "Line: the median. Pale band: nine outcomes in ten. Darker band: every second one.",
    "Dashed: the limit. Hatched: where a limit may be passed.",
    "Outline only: suggested or skipped. Tick: done. Cross: missed.",
    "Octagon: act now. Triangle: watch. Ticked circle: settled.",
    "Faded: the past. Line with a time above it: now.",
)
"""What the signs of the board mean, in words."""


class Footer(QWidget):
    """Legend, and over its right end the last message."""

    def __init__(self, theme: Theme, parent: QWidget | None = None, *, keys: bool = True) -> None:
        """`keys`: whether the keys that edit are named."""
        super().__init__(parent)
        self.setFixedHeight(LEGEND_PX)
        self.setAccessibleName(tr("Legend and messages"))
        self.setToolTip(tooltip("\n".join(tr(line) for line in LEGEND)))
        self.setAccessibleDescription(" ".join(tr(line) for line in LEGEND))
        self._theme = theme
        self._ink: Ink | None = None
        self._keys = keys
        self._message = plain_label("", "footerMessage", self)
        self._message.hide()
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 2, 8, 1)
        layout.addStretch(1)
        layout.addWidget(self._message)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SAID_MS)
        self._timer.timeout.connect(self._message.hide)
        theme.changed.connect(self._forget)

    @property
    def message(self) -> str:
        """What stands there now, or nothing."""
        return self._message.text() if not self._message.isHidden() else ""

    def say(self, text: str) -> None:
        """Shows a message for a few seconds and tells it to screen readers."""
        self._message.setText(text)
        self._message.show()
        self._timer.start()
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, text))

    def _forget(self) -> None:
        self._ink = None
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(640, LEGEND_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._ink is None:
            self._ink = Ink(self._theme.colours, self.devicePixelRatioF())
        with QPainter(self) as painter:
            paint_legend(painter, self.width(), self._ink, keys=self._keys)
