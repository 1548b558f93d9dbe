"""The board on paper: landscape pages by the painters of the screen, each with what it is of and when it was made."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.brief.content import Origin
from legtide.brief.footer import FOOTER_PX, paint_footer
from legtide.brief.paper import MARGIN_PX, Page, PaperName, Sheet
from legtide.day.document import Day
from legtide.draw.application import ensure_application
from legtide.draw.content import BoardContent
from legtide.draw.picture import board_parts, paint_board

SHRUNK: Final = 0.75
"""A page is held nearer than a screen: type of 12 pixels comes out at 6.75 pt, and more aircraft stand on a page."""


@dataclass(frozen=True, slots=True, eq=False)
class BoardPrint:
    """All that the pages hold."""

    day: Day
    content: BoardContent
    origin: Origin
    between: tuple[float, float] | None = None
    """A stretch of time in minutes since 1970; None: the whole day."""


def board_pages(wanted: BoardPrint, paper: PaperName = "a4") -> list[Page]:
    """As many pages as the aircraft need; each has the trucks' lanes, the legend and the origin."""
    ensure_application()
    sheet = Sheet(paper, landscape=True)
    width = round((sheet.size.width() - 2.0 * MARGIN_PX) / SHRUNK)
    height = round((sheet.size.height() - 2.0 * MARGIN_PX - FOOTER_PX) / SHRUNK)
    parts = board_parts(wanted.content, (width, height))
    paint = partial(_paint_page, wanted, sheet, (width, height))
    return [Page(sheet, partial(paint, part, number, len(parts))) for number, part in enumerate(parts, start=1)]


def _paint_page(
    wanted: BoardPrint,
    sheet: Sheet,
    size: tuple[int, int],
    part: BoardContent,
    number: int,
    count: int,
    painter: QPainter,
) -> None:
    painter.save()
    painter.translate(MARGIN_PX, MARGIN_PX)
    painter.scale(SHRUNK, SHRUNK)
    painter.setClipRect(QRectF(0.0, 0.0, *size))
    paint_board(painter, wanted.day, part, size, False, trucks=wanted.content, between=wanted.between)
    painter.restore()
    paint_footer(painter, sheet, wanted.origin, number, count)
