"""Rows and lanes as they were, stretched along the time axis: what is shown while the wheel turns.

Painting every row anew on another scale takes longer than a frame. While the wheel turns the last picture is
stretched under a header that is true; a moment after it has stopped everything is painted again.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPixmap

from legtide.draw.board import BoardLayout
from legtide.draw.colours import Palette, brush
from legtide.draw.gutter import GUTTER_PX


@dataclass(frozen=True, slots=True)
class Held:
    """A picture of the whole view and the layout that it was painted with."""

    picture: QPixmap
    layout: BoardLayout

    def fits(self, layout: BoardLayout) -> bool:
        """Whether only the time axis differs from the layout of the picture."""
        old = self.layout
        return (
            (old.width, old.height, old.scroll_y, old.scroll_lanes)
            == (layout.width, layout.height, layout.scroll_y, layout.scroll_lanes)
            and old.stack is layout.stack
            and old.groups is layout.groups
        )

    def paint(self, painter: QPainter, layout: BoardLayout, colours: Palette) -> None:
        """Paints rows and lanes of a layout from the picture."""
        top, bottom = layout.rows.top(), layout.lanes.bottom()
        ratio = self.picture.devicePixelRatio()
        gutter = QRectF(0.0, top, GUTTER_PX, bottom - top)
        painter.save()
        painter.setClipRect(QRectF(0.0, top, layout.width, bottom - top))
        painter.drawPixmap(gutter, self.picture, _scaled(gutter, ratio))
        plot = QRectF(GUTTER_PX, top, layout.plot_width, bottom - top)
        painter.setClipRect(plot)
        painter.fillRect(plot, brush(colours.canvas))
        left, right = (layout.x_of(self.layout.minutes_at(x)) for x in (plot.left(), plot.right()))
        painter.drawPixmap(QRectF(left, top, right - left, plot.height()), self.picture, _scaled(plot, ratio))
        painter.restore()


def _scaled(rect: QRectF, ratio: float) -> QRectF:
    """A rectangle of the view in pixels of the picture."""
    return QRectF(rect.left() * ratio, rect.top() * ratio, rect.width() * ratio, rect.height() * ratio)
