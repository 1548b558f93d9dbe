"""The board as a picture, without a window: `write_picture(day, "board.png")`, `.svg` or `.pdf`."""

from __future__ import annotations

import html
import os
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from math import ceil
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QRectF, QSize, QSizeF
from PySide6.QtGui import QImage, QImageWriter, QPageSize, QPainter, QPdfWriter

from legtide.day.document import Day
from legtide.draw.application import ensure_application
from legtide.draw.axis import HEADER_PX, paint_header, paint_header_gutter
from legtide.draw.board import BoardLayout
from legtide.draw.colours import brush, palette
from legtide.draw.content import BoardContent, board_content
from legtide.draw.fonts import BODY_PX, text_width
from legtide.draw.gutter import GUTTER_PX, fit_column, paint_gutter
from legtide.draw.ink import Ink, put_text
from legtide.draw.lanes import (
    LaneGroup,
    lane_groups,
    lane_tops,
    lanes_height,
    paint_lane,
    paint_lane_gutter,
    paint_lane_title,
)
from legtide.draw.legend import LEGEND_PX, paint_legend
from legtide.draw.row_painter import paint_base, paint_levels
from legtide.draw.rows import DENSE_PX, FOCUS_PX, LEAST_NORMAL_PX, stacked, style_to_fit
from legtide.draw.scale import fitted
from legtide.draw.scene import RowScene
from legtide.draw.words import day_text
from legtide.engine.projection import project
from legtide.language import tr

TITLE_PX: Final = 44
BOLD_FROM: Final = 550
LEAST_SIZE: Final = (480, 240)
MOST_SIDE: Final = 20_000
_DPI: Final = 96


def write_picture(day: Day, path: Path, *, dark: bool = False, size: tuple[int, int] = (1600, 1000)) -> None:
    """Writes the board of a day as a picture.

    Args:
        day: the day; it is projected here.
        path: ends in `.png`, `.svg` or `.pdf`.
        dark: the dark palette instead of the light one.
        size: width and height in pixels.

    Raises:
        ValueError: another suffix, or a size that makes no sense.
        OSError: the file cannot be written; an older file is left as it was.
    """
    suffix = path.suffix.lower()
    render = {".png": _png, ".svg": _svg, ".pdf": _pdf}.get(suffix)
    if render is None:
        raise ValueError(f"a picture ends in .png, .svg or .pdf, not in {suffix or 'nothing'}")
    if not all(least <= side <= MOST_SIDE for least, side in zip(LEAST_SIZE, size, strict=True)):
        raise ValueError(
            f"a picture of {size[0]}x{size[1]} is not between {LEAST_SIZE[0]}x{LEAST_SIZE[1]} and "
            f"{MOST_SIDE}x{MOST_SIDE}"
        )
    ensure_application()
    content = board_content(day, project(day))
    data = render(size, day.title, lambda painter: paint_board(painter, day, content, size, dark))
    _replace(path, data)


def paint_board(
    painter: QPainter,
    day: Day,
    content: BoardContent,
    size: tuple[int, int],
    dark: bool,
    *,
    trucks: BoardContent | None = None,
    between: tuple[float, float] | None = None,
) -> None:
    """Paints a whole board: title, header, rows, lanes, legend. Everything is vectors, text stays text.

    Args:
        painter: what to paint with, from (0, 0) on.
        day: the day, for its title, date and home station.
        content: the rows.
        size: width and height in pixels.
        dark: the dark palette instead of the light one.
        trucks: the content whose trucks are shown, where it has more rows than are painted.
        between: a stretch of time (minutes since 1970) instead of the whole day.
    """
    width, height = size
    home = home_station(day)
    ink = Ink(palette(dark), None, home, content.stations)
    painter.fillRect(QRectF(0.0, 0.0, width, height), brush(ink.colours.ground))
    _paint_title(painter, day, ink)
    painter.translate(0.0, TITLE_PX)
    layout, hidden = _laid_out(content, width, height - TITLE_PX, trucks or content, between)
    zone = ZoneInfo(content.stations[home].time_zone) if home is not None else None
    _paint_plot(painter, layout, content, zone, ink)
    # The gutter comes after the plot and covers what reaches out of it: a vector file may know no clipping.
    paint_header_gutter(
        painter, layout.scale, layout.window, zone, "" if home is None else ink.station_name(home), ink
    )
    _paint_gutters(painter, layout, content, ink)
    if hidden:
        text = tr("{n} more aircraft: make the picture taller").format(n=hidden)
        put_text(painter, 14.0, layout.rows_bottom - 12.0, text, BODY_PX, ink.colours.text, bold=True)
    painter.translate(0.0, layout.legend_rect.top())
    paint_legend(painter, width, ink, keys=False)


def _paint_gutters(painter: QPainter, layout: BoardLayout, content: BoardContent, ink: Ink) -> None:
    fits = fit_column(content.rows)
    for box in layout.stack.boxes:
        painter.save()
        painter.translate(0.0, layout.view_top(box))
        paint_gutter(painter, content.rows[box.index], box.frame, None, ink, fits)
        painter.restore()
    painter.save()
    painter.translate(0.0, layout.rows_bottom)
    paint_lane_gutter(painter, layout.groups, ink)
    painter.restore()


def board_parts(content: BoardContent, size: tuple[int, int]) -> list[BoardContent]:
    """The rows shared among as many pictures of a size as they need, none of them without rows of its own."""
    _, room = _lanes_and_room(content, size[1] - TITLE_PX)
    count, each = len(content.rows), max(room // DENSE_PX, 1)
    pages = max(ceil(count / each), 1)
    share = max(ceil(count / pages), 1)
    parts = [content.rows[start : start + share] for start in range(0, max(count, 1), share)]
    return [
        replace(content, rows=rows, index={row.registration: place for place, row in enumerate(rows)})
        for rows in parts
    ]


def _lanes_and_room(content: BoardContent, height: int) -> tuple[tuple[LaneGroup, ...], int]:
    """The truck lanes, if they leave enough room for rows, and that room."""
    groups = lane_groups(content)
    room = height - HEADER_PX - LEGEND_PX
    if lanes_height(groups) > room // 3:
        groups = ()
    return groups, room - lanes_height(groups)


def _laid_out(
    content: BoardContent, width: int, height: int, trucks: BoardContent, between: tuple[float, float] | None
) -> tuple[BoardLayout, int]:
    """The layout of a picture, and the number of aircraft for which it has no room."""
    groups, room = _lanes_and_room(trucks, height)
    count = len(content.rows)
    style, each = style_to_fit(count, room)
    shown = min(count, room // each) if count * each <= room else max((room - 24) // each, 0)
    margin = max((content.end - content.start) * 0.01, 10.0)
    start, end = between or (content.start - margin, content.end + margin)
    scale = fitted(start, end, width - GUTTER_PX)
    stack = stacked(shown, _opened(content, room - shown * each) if style == "normal" else None, style, each)
    return BoardLayout(width, height, scale, stack, groups), count - shown


def _opened(content: BoardContent, spare: int) -> int | None:
    """The row to open where there is room: the first one where it is time to act, else to watch."""
    if spare < FOCUS_PX - LEAST_NORMAL_PX:
        return None
    for urgency in ("act", "watch"):
        for place, row in enumerate(content.rows):
            if row.urgency == urgency and row.stretches:
                return place
    return None


def _paint_plot(
    painter: QPainter, layout: BoardLayout, content: BoardContent, zone: ZoneInfo | None, ink: Ink
) -> None:
    window = layout.window
    painter.save()
    painter.translate(GUTTER_PX, 0.0)
    painter.setClipRect(QRectF(0.0, 0.0, layout.plot_width, layout.height))
    paint_header(painter, layout.scale, window, zone, None, ink)
    for box in layout.stack.boxes:
        scene = RowScene(content.rows[box.index], layout.scale, box.frame)
        painter.save()
        painter.translate(0.0, layout.view_top(box))
        paint_base(painter, scene, window, ink)
        paint_levels(painter, scene, window, ink)
        painter.restore()
    painter.translate(0.0, layout.rows_bottom)
    for top, lane in lane_tops(layout.groups):
        painter.save()
        painter.translate(0.0, top)
        if lane is None:
            paint_lane_title(painter, window, ink)
        else:
            paint_lane(painter, lane, layout.scale, window, ink)
        painter.restore()
    painter.restore()


def _paint_title(painter: QPainter, day: Day, ink: Ink) -> None:
    used = put_text(painter, 14.0, TITLE_PX / 2.0, day.title or tr("Board"), 17, ink.colours.text, bold=True)
    date = f"{day_text(datetime(*day.date.timetuple()[:3], tzinfo=UTC))} {day.date.year}"
    put_text(painter, 26.0 + used, TITLE_PX / 2.0, date, BODY_PX, ink.colours.secondary)


def home_station(day: Day) -> str | None:
    """The station that most legs touch: its turns are tinted and its local time stands beside UTC."""
    touched: dict[str, int] = {}
    for leg in day.legs:
        for code in (leg.origin, leg.destination):
            touched[code] = touched.get(code, 0) + 1
    known = {row.code for row in day.stations}
    return max((code for code in touched if code in known), key=lambda code: (touched[code], code), default=None)


# files ----------------------------------------------------------------------------------------------------

Paint = Callable[[QPainter], None]


def _png(size: tuple[int, int], title: str, paint: Paint) -> bytes:
    image = QImage(QSize(*size), QImage.Format.Format_ARGB32_Premultiplied)
    with QPainter(image) as painter:
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
        paint(painter)
    image.setText("Title", title)
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QImageWriter(buffer, QByteArray(b"png"))
    if not writer.write(image):
        raise OSError(tr("the picture could not be made: {reason}").format(reason=writer.errorString()))
    return bytes(buffer.data().data())


def _svg(size: tuple[int, int], title: str, paint: Paint) -> bytes:
    from PySide6.QtSvg import QSvgGenerator

    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setSize(QSize(*size))
    generator.setViewBox(QRectF(0.0, 0.0, *size))
    generator.setTitle(title)
    with QPainter(generator) as painter:
        paint(painter)
    return _TEXT.sub(_with_length, bytes(buffer.data().data()).decode()).encode()


def _pdf(size: tuple[int, int], title: str, paint: Paint) -> bytes:
    """One page as large as the picture, a pixel being 1/96 inch."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(_DPI)
    writer.setTitle(title)
    points = QSizeF(*size) * 72.0 / _DPI
    exact = QPageSize.SizeMatchPolicy.ExactMatch
    writer.setPageSize(QPageSize(points, QPageSize.Unit.Point, "board", exact))
    writer.setPageMargins(QMarginsF(0.0, 0.0, 0.0, 0.0))
    with QPainter(writer) as painter:
        paint(painter)
    return bytes(buffer.data().data())


_TEXT: Final = re.compile(r'<text ([^>]*font-size="(\d+)" font-weight="(\d+)"[^>]*)>([^<]*)</text>')


def _with_length(found: re.Match[str]) -> str:
    """A text that keeps its width in a viewer that lacks the font."""
    attributes, size, weight, words = found.groups()
    width = text_width(html.unescape(words), int(size), int(weight) > BOLD_FROM)
    return f'<text {attributes} textLength="{width:.1f}" lengthAdjust="spacingAndGlyphs">{words}</text>'


def _replace(path: Path, data: bytes) -> None:
    """Puts the picture in place whole; on any error the old file is as it was."""
    target = path.resolve()
    beside = target.with_name(f".legtide-picture-{os.getpid()}.tmp")
    try:
        beside.write_bytes(data)
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)
