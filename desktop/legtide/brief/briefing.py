"""The briefing page painted: one page per aircraft, in type as large as lets everything stand on it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.brief import words
from legtide.brief.blocks import PAPER, Block, filled, line_px, paint_blocks, put_lines, text_blocks, wrapped
from legtide.brief.content import Ask, Briefing, Departure
from legtide.brief.footer import FOOTER_PX, paint_footer
from legtide.brief.paper import MARGIN_PX, Page, PaperName, Sheet
from legtide.brief.strip import strip_block
from legtide.day.document import TANKS
from legtide.day.quoting import printable
from legtide.draw.application import ensure_application
from legtide.draw.colours import brush
from legtide.draw.fonts import text_width
from legtide.draw.ink import put_text
from legtide.draw.rows import FOCUS_PX
from legtide.draw.services import Look, look_of, paint_marker
from legtide.draw.signs import paint_sign
from legtide.draw.words import NBSP, percent
from legtide.language import tr

Paint = Callable[[QPainter], None]


@dataclass(frozen=True, slots=True)
class Type:
    """Sizes of type, pixels of 1/96 inch."""

    key: int
    body: int
    small: int
    fine: int
    strip: int = FOCUS_PX
    """Height of the rotation strip."""


SIZES: Final = (
    Type(17, 13, 12, 10),
    Type(16, 12, 11, 9),
    Type(15, 12, 11, 9, 152),
    Type(14, 11, 10, 8, 152),
    Type(14, 11, 10, 8, 128),
)
"""From what is read at arm's length down to what is still read in the hand."""
_GAP_PX: Final = 13.0
_NAME_PX: Final = 26


@dataclass(frozen=True, slots=True)
class Columns:
    """Left edges of the table's columns, and its width."""

    level: float
    risk: float
    mass: float
    ask: float
    reading: float
    width: float

    @staticmethod
    def of(width: float, kind: Type) -> Columns:
        """The columns that a size of type needs; what is left over goes to the services."""
        flight = text_width("XX 1234 ", kind.key, True) + text_width("AAA → BBB", kind.small) + _GAP_PX
        level = 18.0 + text_width("100 % ", kind.body, True) + text_width("200 L (200–200)", kind.small) + _GAP_PX
        risk = 16.0 + text_width(words.risk_text(0.001), kind.small) + _GAP_PX
        mass = text_width("200 kg", kind.key, True) + _GAP_PX
        reading = max(text_width(text, kind.small) for text in words.widest_triggers())
        return Columns(
            flight, flight + level, flight + level + risk, flight + level + risk + mass, width - reading, width
        )


def briefing_pages(content: Briefing, paper: PaperName = "a4") -> list[Page]:
    """The pages of a briefing: one, unless the rotation is too long for one even in small type."""
    ensure_application()
    sheet = Sheet(paper)
    width = sheet.size.width() - 2.0 * MARGIN_PX
    room = sheet.size.height() - 2.0 * MARGIN_PX - FOOTER_PX
    for kind in SIZES:
        pages = filled(_blocks(content, width, kind), room, _repeated(content, kind))
        if len(pages) == 1:
            break
    paint = partial(_paint_page, content, sheet)
    return [Page(sheet, partial(paint, blocks, number, len(pages))) for number, blocks in enumerate(pages, start=1)]


def _paint_page(
    content: Briefing, sheet: Sheet, blocks: Sequence[Block], number: int, count: int, painter: QPainter
) -> None:
    paint_blocks(painter, blocks, MARGIN_PX, MARGIN_PX)
    paint_footer(painter, sheet, content.origin, number, count)


def _blocks(content: Briefing, width: float, kind: Type) -> list[Block]:
    columns = Columns.of(width, kind)
    rows = [_departure(content, row, columns, kind) for row in content.departures]
    after = [_afterwards(content, columns, kind)] if content.afterwards else []
    cautions = [*words.caution_lines(content.day), *words.weight_lines(content)]
    no_legs = text_blocks([] if rows else [tr("This aircraft has no legs on this day.")], width, kind.body, "")
    return [
        _title(content, width, kind),
        *text_blocks(words.warning_lines(content.warnings), width, kind.small, tr("To settle before departure"), "!"),
        strip_block(content, width, kind.strip),
        _head(columns, kind),
        *rows,
        *no_legs,
        *after,
        *text_blocks(words.inoperative_lines(content), width, kind.small, tr("Inoperative"), "–"),
        *text_blocks(cautions, width, kind.fine, tr("Cautions, and the cost of weight")),
        *text_blocks(words.assumption_lines(content), width, kind.fine, tr("Assumptions [status: source]")),
    ]


# title ----------------------------------------------------------------------------------------------------


def _title(content: Briefing, width: float, kind: Type) -> Block:
    day, rotation = content.day, content.rotation
    name = wrapped(printable(rotation.registration), 0.6 * width, _NAME_PX, bold=True)
    fit = printable(tr(rotation.fit.name or rotation.fit.id))
    about = tr(
        "{fit}. Water {fresh}. Waste {waste}. Risk limit per leg {limit}. All times UTC. "
        "Arrowheads: the readings that decide."
    ).format(
        fit=fit,
        fresh=words.tank_words(content, "fresh"),
        waste=words.tank_words(content, "waste"),
        limit=percent(day.policy.risk_limit.value),
    )
    beside = width - max(text_width(line, _NAME_PX, True) for line in name) - 2.0 * _GAP_PX
    title = wrapped(printable(f"{day.title or tr('Day')}, {day.date.isoformat()}"), beside, 14)
    lines = wrapped(about, width, kind.small)
    remark = content.rotation.aircraft.remark
    if remark:
        lines += wrapped(printable(tr("Remark: {text}").format(text=remark)), width, kind.small)
    first = max(len(name) * line_px(_NAME_PX), len(title) * line_px(14)) + 2.0

    def paint(painter: QPainter) -> None:
        put_lines(painter, 0.0, 0.0, name, _NAME_PX, PAPER.text, bold=True)
        for number, text in enumerate(title):
            put_text(painter, width, 8.0 + (number + 0.5) * line_px(14), text, 14, PAPER.text, right=True)
        put_lines(painter, 0.0, first, lines, kind.small, PAPER.text)

    return Block(first + len(lines) * line_px(kind.small) + 8.0, paint)


def _repeated(content: Briefing, kind: Type) -> Block:
    words_of = tr("{aircraft}, {date}, continued")
    text = printable(words_of.format(aircraft=content.rotation.registration, date=content.day.date.isoformat()))

    def paint(painter: QPainter) -> None:
        put_lines(painter, 0.0, 0.0, [text], kind.key, PAPER.text, bold=True)

    return Block(line_px(kind.key) + 6.0, paint)


# table ----------------------------------------------------------------------------------------------------


def _head(columns: Columns, kind: Type) -> Block:
    cells = (
        (0.0, (tr("Leg"), tr("off–on blocks, heads"))),
        (columns.level, (tr("Expected level at"), tr("departure (5–95 %)"))),
        (columns.risk, (tr("Risk by the"), tr("leg's end"))),
        (columns.mass, (tr("Water for"), tr("load sheet"))),
        (columns.ask, (tr("Service to ask for"),)),
        (columns.reading, (tr("Goes on without"), tr("one at a reading of"))),
    )
    step = line_px(kind.fine)

    def paint(painter: QPainter) -> None:
        painter.fillRect(QRectF(0.0, 0.0, columns.width, 1.5), brush(PAPER.text))
        for x, texts in cells:
            put_lines(painter, x, 4.0, texts, kind.fine, PAPER.text, bold=True)
        painter.fillRect(QRectF(0.0, 2.0 * step + 7.0, columns.width, 1.0), brush(PAPER.text))

    return Block(2.0 * step + 9.0, paint)


def _departure(content: Briefing, row: Departure, columns: Columns, kind: Type) -> Block:
    leg, leg_px = _leg(content, row, columns, kind)
    asks, asks_px = _asks(content, row.asks, columns, kind)
    ways, ways_px = _without(content, row.asks, columns, kind)
    upper = max(leg_px, asks_px, 2.0 * line_px(kind.body))
    readings = [words.trigger_words(one, content.rotation.fit) for one in row.triggers]

    def paint(painter: QPainter) -> None:
        painter.translate(0.0, 3.0)
        leg(painter)
        _paint_levels(painter, content, row, columns, kind)
        _paint_mass(painter, row, columns, kind)
        asks(painter)
        put_lines(painter, columns.reading, 1.0, readings, kind.small, PAPER.text)
        painter.translate(0.0, upper)
        ways(painter)
        painter.fillRect(QRectF(0.0, ways_px + 2.0, columns.width, 1.0), brush(PAPER.line))

    return Block(upper + ways_px + 6.0, paint)


def _leg(content: Briefing, row: Departure, columns: Columns, kind: Type) -> tuple[Paint, float]:
    """Flight, route, times and heads: a painter, and its height."""
    leg, date, room = row.leg, content.day.date, columns.level - _GAP_PX
    flight, route = printable(leg.flight), words.route(leg)
    used = text_width(f"{flight} ", kind.key, True)
    beside = used + text_width(route, kind.small) <= room
    name = wrapped(flight, room, kind.key, bold=True)
    times = f"{words.clock(row.off, date)}–{words.clock(row.on, date)}, {leg.passengers + leg.crew}"
    below = wrapped(times if beside else f"{route} {times}", room, kind.small)

    def paint(painter: QPainter) -> None:
        top = put_lines(painter, 0.0, 0.0, name, kind.key, PAPER.text, bold=True)
        if beside:
            put_text(painter, used, line_px(kind.key) / 2.0 + 1.0, route, kind.small, PAPER.text)
        put_lines(painter, 0.0, top, below, kind.small, PAPER.text)

    return paint, len(name) * line_px(kind.key) + len(below) * line_px(kind.small)


def _paint_levels(painter: QPainter, content: Briefing, row: Departure, columns: Columns, kind: Type) -> None:
    """Level and risk of both tanks, a line each."""
    limit = content.day.policy.risk_limit.value
    for number, tank in enumerate(TANKS):
        level, risk = row.level(tank), row.risk(tank)
        middle, x = (number + 0.5) * line_px(kind.body) + 1.0, columns.level
        paint_marker(painter, x + 7.0, middle, Look(tank), PAPER, 13.0)
        share = percent(level.mean / content.rotation.fit.capacity_l(tank))
        used = put_text(painter, x + 18.0, middle, share, kind.body, PAPER.text, bold=True)
        put_text(painter, x + 18.0 + used + 6.0, middle, words.band(level), kind.small, PAPER.text)
        if risk > limit:
            paint_sign(painter, columns.risk + 7.0, middle, "act", PAPER, 14.0)
        text = words.risk_text(risk)
        put_text(painter, columns.risk + 16.0, middle, text, kind.small, PAPER.text, bold=risk > limit)


def _paint_mass(painter: QPainter, row: Departure, columns: Columns, kind: Type) -> None:
    mass = f"{row.result.water_mass_kg:.0f}{NBSP}kg"
    top = put_lines(painter, columns.mass, 0.0, [mass], kind.key, PAPER.text, bold=True)
    span = words.span(row.mass_low_kg, row.mass_high_kg)
    put_lines(painter, columns.mass, top, [span], kind.small, PAPER.text)


# services -------------------------------------------------------------------------------------------------


def _asks(content: Briefing, asks: Sequence[Ask], columns: Columns, kind: Type) -> tuple[Paint, float]:
    """The services of a turn: a painter, and its height."""
    room = columns.reading - columns.ask - 20.0 - _GAP_PX
    rows = [
        (
            ask,
            wrapped(words.ask_title(ask, content.day.date), room, kind.small, bold=True),
            wrapped(words.ask_amount(ask), room, kind.small),
        )
        for ask in asks
    ]

    def paint(painter: QPainter) -> None:
        top = 1.0
        if not rows:
            put_lines(painter, columns.ask + 20.0, top, [tr("none planned")], kind.small, PAPER.secondary)
        for ask, title, amount in rows:
            marker_y = top + line_px(kind.small) / 2.0
            paint_marker(painter, columns.ask + 8.0, marker_y, look_of(ask.service), PAPER, 15.0)
            top = put_lines(painter, columns.ask + 20.0, top, title, kind.small, PAPER.text, bold=True)
            top = put_lines(painter, columns.ask + 20.0, top, amount, kind.small, PAPER.text)

    return paint, 2.0 + line_px(kind.small) * sum(len(title) + len(amount) for _, title, amount in rows)


def _without(content: Briefing, asks: Sequence[Ask], columns: Columns, kind: Type) -> tuple[Paint, float]:
    """What to do if the services of a turn do not come: a painter, and its height."""
    x = 14.0
    texts = [words.without_text(ask.without, content.day) for ask in asks if ask.without is not None]
    lines = [line for text in texts for line in wrapped(text, columns.width - x, kind.small)]

    def paint(painter: QPainter) -> None:
        put_lines(painter, x, 0.0, lines, kind.small, PAPER.text)

    return paint, len(lines) * line_px(kind.small)


def _afterwards(content: Briefing, columns: Columns, kind: Type) -> Block:
    """The services after the last leg."""
    asks, height = _asks(content, content.afterwards, columns, kind)
    station = printable(content.rotation.turns[-1].station)

    def paint(painter: QPainter) -> None:
        painter.translate(0.0, 3.0)
        put_lines(
            painter,
            0.0,
            0.0,
            [tr("After the last leg, at {station}").format(station=station)],
            kind.small,
            PAPER.text,
            bold=True,
        )
        asks(painter)
        painter.fillRect(QRectF(0.0, height + 1.0, columns.width, 1.0), brush(PAPER.line))

    return Block(height + 6.0, paint)
