"""What the marks of the detail view mean, in one line below its plots."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from legtide.draw.colours import BAND_INNER_ALPHA, BAND_OUTER_ALPHA, Palette, brush, palette, pen
from legtide.draw.fonts import SMALL_PX, text_width
from legtide.draw.geometry import dashed_level
from legtide.draw.ink import put_text
from legtide.draw.services import paint_reading
from legtide.language import tr

HEIGHT_PX: Final = 24
_SWATCH_PX: Final = 26.0
_BETWEEN_PX: Final = 16.0
ENTRIES: Final = (
    ("bands", "5–95 % and 25–75 %, median"),
    ("limit", "limit"),
    ("used", "reading"),
    ("unused", "reading not used"),
    ("before", "band before it"),
    ("after", "band after it"),
    ("without", "expected before the chosen reading"),
)


class DetailLegend(QWidget):
    """A line of marks with their words; as many as fit whole."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._colours = palette(False)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(tr("Legend"))
        self.setAccessibleDescription("; ".join(tr(words) for _, words in ENTRIES))

    def wear(self, colours: Palette) -> None:
        """Takes another palette."""
        self._colours = colours
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(400, HEIGHT_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            x = 14.0
            for name, words in ENTRIES:
                text = tr(words)
                end = x + _SWATCH_PX + 7.0 + text_width(text, SMALL_PX)
                if end > self.width() - 8.0:
                    break
                self._paint_swatch(painter, x, HEIGHT_PX / 2.0, name)
                put_text(painter, x + _SWATCH_PX + 7.0, HEIGHT_PX / 2.0, text, SMALL_PX, self._colours.secondary)
                x = end + _BETWEEN_PX

    def _paint_swatch(self, painter: QPainter, x: float, y: float, name: str) -> None:
        colours, middle = self._colours, x + _SWATCH_PX / 2.0
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, name in ("used", "unused"))
        if name == "bands":
            for reach, alpha in ((6.0, BAND_OUTER_ALPHA), (3.0, BAND_INNER_ALPHA)):
                painter.fillRect(QRectF(x, y - reach, _SWATCH_PX, 2.0 * reach), brush(colours.water, alpha))
            painter.fillRect(QRectF(x, y - 1.0, _SWATCH_PX, 2.0), brush(colours.water))
        elif name in ("limit", "without"):
            painter.setPen(pen(colours.water if name == "limit" else colours.secondary))
            painter.translate(x, 0.0)
            dash = (5.0, 4.0) if name == "limit" else (2.0, 3.0)
            dashed_level(0.0, _SWATCH_PX, round(y) + 0.5, *dash).paint(painter)
            painter.translate(-x, 0.0)
        elif name in ("used", "unused"):
            paint_reading(painter, middle, y, "fresh", name == "used", colours)
        else:
            side, hue = (-1.0, colours.secondary) if name == "before" else (1.0, colours.water)
            paint_bracket(painter, middle, (y - 7.0, y, y + 7.0), side, hue)


def paint_bracket(painter: QPainter, x: float, ends: tuple[float, float, float], side: float, hue: str) -> None:
    """A band beside a reading: pixels of its high end, middle and low end; `side` is -1 before it, 1 after it."""
    high, middle, low = ends
    painter.setPen(pen(hue, 1.6))
    painter.drawLine(QPointF(x, low), QPointF(x, high))
    for end in (low, high):
        painter.drawLine(QPointF(x, end), QPointF(x - side * 3.0, end))
    painter.drawLine(QPointF(x - 3.0, middle), QPointF(x + 3.0, middle))
