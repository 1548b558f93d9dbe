"""The foot of a page: who decides, which file and version the page is of, and when it was made."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.brief import words
from legtide.brief.blocks import PAPER, put_lines, wrapped
from legtide.brief.content import Origin
from legtide.brief.paper import MARGIN_PX, Sheet
from legtide.draw.colours import brush
from legtide.draw.ink import put_text

FOOTER_PX: Final = 44.0


def paint_footer(painter: QPainter, sheet: Sheet, origin: Origin, number: int, count: int) -> None:
    """Paints the foot of page `number` of `count` inside the page's margins."""
    top = sheet.size.height() - MARGIN_PX - FOOTER_PX + 8.0
    width = sheet.size.width() - 2.0 * MARGIN_PX
    painter.fillRect(QRectF(MARGIN_PX, top - 4.0, width, 1.0), brush(PAPER.text))
    put_lines(painter, MARGIN_PX, top, [words.DEFERS], 11, PAPER.text, bold=True)
    put_lines(painter, MARGIN_PX, top + 14.0, wrapped(words.origin_line(origin), width, 9)[:2], 9, PAPER.text)
    if count > 1:
        text = f"page {number} of {count}"
        put_text(painter, MARGIN_PX + width, top + 7.0, text, 11, PAPER.text, bold=True, right=True)
