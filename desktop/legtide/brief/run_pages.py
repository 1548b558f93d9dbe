"""Run sheets painted: large type for a cab, a line for each signature."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.brief import words
from legtide.brief.blocks import PAPER, Block, filled, line_px, paint_blocks, put_lines, text_blocks, wrapped
from legtide.brief.paper import MARGIN_PX, Page, PaperName, Sheet
from legtide.brief.runs import RunSheet, Stop
from legtide.day.quoting import printable
from legtide.draw.application import ensure_application
from legtide.draw.colours import brush
from legtide.draw.ink import put_text
from legtide.draw.services import Look, paint_marker
from legtide.draw.words import NBSP
from legtide.language import tr

_NAME_PX: Final = 26
_KEY_PX: Final = 20
_BODY_PX: Final = 16
_FOOTER_PX: Final = 48.0
_LEAST_ROW_PX: Final = 38.0
_COLUMNS: Final = (
    ("Time UTC", 0.0),
    ("Stand", 0.125),
    ("Aircraft", 0.225),
    ("Window UTC", 0.350),
    ("Litres", 0.475),
    ("Service", 0.550),
    ("Remarks", 0.645),
    ("Done, signature", 0.830),
)
"""Title of a column, and its left edge as a share of the width."""
_HANDS: Final[dict[str, str]] = {
    "fresh": "Water only from approved points (21 CFR 1240.80, 1240.83). Clean hands and couplings; no toilet "
    "service by this person or vehicle today.",
    "waste": "Gloves and eye protection. No drinking-water service by this person or vehicle today.",
}


def run_pages(sheets: Sequence[RunSheet], paper: PaperName = "a4") -> list[Page]:
    """The pages of some run sheets; a sheet that is too long goes on on a further page."""
    ensure_application()
    return [page for sheet in sheets for page in _pages(sheet, Sheet(paper, landscape=True))]


def _pages(run: RunSheet, sheet: Sheet) -> list[Page]:
    width = sheet.size.width() - 2.0 * MARGIN_PX
    head = _head(run, width)
    room = sheet.size.height() - 2.0 * MARGIN_PX - _FOOTER_PX
    rest = text_blocks(run.left_out, width, 12, tr("On no truck's sheet"), "–")
    pages = filled([head, *(_row(run, stop, width) for stop in run.stops), *rest], room, repeated=head)
    return [
        Page(sheet, partial(_paint_page, run, sheet, blocks, number, len(pages)))
        for number, blocks in enumerate(pages, start=1)
    ]


def _paint_page(
    run: RunSheet, sheet: Sheet, blocks: Sequence[Block], number: int, count: int, painter: QPainter
) -> None:
    paint_blocks(painter, blocks, MARGIN_PX, MARGIN_PX)
    width = sheet.size.width() - 2.0 * MARGIN_PX
    top = sheet.size.height() - MARGIN_PX - _FOOTER_PX + 8.0
    lines = wrapped(f"{tr(_HANDS[run.truck.tank])} {tr(words.DEFERS)}", width - 110.0, 11, bold=True)
    put_lines(painter, MARGIN_PX, top, lines, 11, PAPER.text, bold=True)
    put_text(painter, MARGIN_PX + width, top + 7.0, words.page_number(number, count), 11, PAPER.text, True, True)
    put_lines(painter, MARGIN_PX, top + 28.0, wrapped(words.origin_line(run.origin), width, 9)[:1], 9, PAPER.text)


def _head(run: RunSheet, width: float) -> Block:
    kind = tr("Water truck") if run.truck.tank == "fresh" else tr("Toilet truck")
    name = wrapped(f"{kind} {printable(run.truck.id)}", 0.5 * width - 60.0, _NAME_PX, bold=True)
    about = ", ".join(filter(None, (run.station, run.day.date.isoformat(), run.shift)))
    lines = wrapped(about, 0.5 * width, 15) + wrapped(run.summary, 0.5 * width, 15)
    line = max(len(name) * line_px(_NAME_PX), len(lines) * line_px(15)) + 8.0

    def paint(painter: QPainter) -> None:
        paint_marker(painter, 14.0, 18.0, Look(run.truck.tank), PAPER, 30.0)
        put_lines(painter, 38.0, 1.0, name, _NAME_PX, PAPER.text, bold=True)
        put_lines(painter, 0.5 * width, 0.0, lines, 15, PAPER.text)
        painter.fillRect(QRectF(0.0, line, width, 1.5), brush(PAPER.text))
        for title, share in _COLUMNS:
            put_text(painter, share * width, line + 12.0, tr(title), 12, PAPER.text, bold=True)
        painter.fillRect(QRectF(0.0, line + 24.0, width, 1.0), brush(PAPER.text))

    return Block(line + 28.0, paint)


def _row(run: RunSheet, stop: Stop, width: float) -> Block:
    edges = [share * width for _, share in _COLUMNS] + [width]
    cells = [
        wrapped(text, edges[place + 1] - edges[place] - 8.0, size, bold)
        for place, (text, size, bold) in enumerate(_cells(run, stop))
    ]
    sizes = [(size, bold) for _, size, bold in _cells(run, stop)]
    tall = max(len(lines) * line_px(size) for lines, (size, _) in zip(cells, sizes, strict=True))
    height = max(_LEAST_ROW_PX, tall + 14.0)

    def paint(painter: QPainter) -> None:
        for x, lines, (size, bold) in zip(edges[:-1], cells, sizes, strict=True):
            top = (height - len(lines) * line_px(size)) / 2.0
            put_lines(painter, x, top, lines, size, PAPER.text, bold=bold)
        left = edges[-2]
        if stop.kind == "service":
            painter.fillRect(QRectF(left, height - 9.0, width - left, 1.0), brush(PAPER.text))
        painter.fillRect(QRectF(0.0, height - 1.0, width, 1.0), brush(PAPER.line))

    return Block(height, paint)


def _cells(run: RunSheet, stop: Stop) -> tuple[tuple[str, int, bool], ...]:
    """Text, size and weight of each column of a stop."""
    date = run.day.date
    window = "" if stop.window is None else "–".join(words.clock(end, date) for end in stop.window)
    litres = f"{stop.litres}{NBSP}L" if stop.litres else ""
    time = f"{words.clock(stop.start, date)}–{words.clock(stop.end, date)}"
    return (
        (time, _BODY_PX, True),
        (stop.place, _KEY_PX, True),
        (stop.registration, _KEY_PX - 2, True),
        (window, _BODY_PX, False),
        (litres, _KEY_PX - 2, True),
        (stop.what, _BODY_PX, False),
        (stop.remark, 13, False),
        ("", _BODY_PX, False),
    )
