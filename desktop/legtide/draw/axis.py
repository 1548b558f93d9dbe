"""The time header: UTC above, the station's local time below, and the now line with its pill."""

from __future__ import annotations

from typing import Final
from zoneinfo import ZoneInfo

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.draw.colours import NO_PEN, brush
from legtide.draw.fan import Window
from legtide.draw.fonts import BODY_PX, SECONDARY_PX, text_width
from legtide.draw.gutter import GUTTER_PX
from legtide.draw.ink import Ink, level_line, put_text
from legtide.draw.scale import Tick, TimeScale, minor_ticks, offset_text, ticks
from legtide.draw.words import day_text, hhmm
from legtide.engine.types import to_datetime
from legtide.language import tr

HEADER_PX: Final = 44
_UTC_MIDDLE: Final = 13.0
_LOCAL_MIDDLE: Final = 30.0
_PILL_PX: Final = 52.0
_PAD: Final = 14.0


def paint_header_gutter(
    painter: QPainter, scale: TimeScale, window: Window, zone: ZoneInfo | None, zone_name: str, ink: Ink
) -> None:
    """The header above the gutter: names of the two time rows, the date at the left edge, the zone's offset."""
    colours = ink.colours
    painter.fillRect(QRectF(0.0, 0.0, GUTTER_PX, HEADER_PX), brush(colours.ground))
    level_line(painter, 0.0, GUTTER_PX, HEADER_PX - 1.0, colours.line)
    utc = put_text(painter, _PAD, _UTC_MIDDLE, "UTC", SECONDARY_PX, colours.text, bold=True)
    start, end = scale.minutes(window.left), scale.minutes(window.right)
    date = day_text(to_datetime(start))
    if text_width(date, SECONDARY_PX) > GUTTER_PX - _PAD - utc - 18.0:
        date = ""
    put_text(painter, GUTTER_PX - 10.0, _UTC_MIDDLE, date, SECONDARY_PX, colours.secondary, right=True)
    if zone is None:
        return
    offset = offset_text(zone, start, end)
    used = put_text(painter, GUTTER_PX - 10.0, _LOCAL_MIDDLE, offset, SECONDARY_PX, colours.secondary, right=True)
    room = GUTTER_PX - _PAD - 10.0 - used - 8.0
    name = next(
        (
            text
            for text in (tr("Local {zone_name}").format(zone_name=zone_name), zone_name, tr("Local"))
            if text_width(text, 12) <= room
        ),
        "",
    )
    put_text(painter, _PAD, _LOCAL_MIDDLE, name, SECONDARY_PX, colours.secondary)


def paint_header(
    painter: QPainter, scale: TimeScale, window: Window, zone: ZoneInfo | None, now: float | None, ink: Ink
) -> None:
    """The header above the rows, in pixels of the scale."""
    colours = ink.colours
    painter.fillRect(QRectF(window.left, 0.0, window.right - window.left, HEADER_PX), brush(colours.ground))
    level_line(painter, window.left, window.right, HEADER_PX - 1.0, colours.line)
    for x in minor_ticks(scale, window.left, window.right):
        painter.fillRect(QRectF(round(x), HEADER_PX - 4.0, 1.0, 3.0), brush(colours.line))
    pill = None if now is None else scale.x(now)
    for tick in ticks(scale, window.left - 60.0, window.right + 60.0, zone):
        _paint_tick(painter, tick, pill, window, ink)
    if pill is not None and now is not None and window.left - _PILL_PX <= pill <= window.right + _PILL_PX:
        _paint_pill(painter, pill, now, zone, ink)


def _paint_tick(painter: QPainter, tick: Tick, pill: float | None, window: Window, ink: Ink) -> None:
    """A tick with its two labels; a label that the pill or the window's edge would cut is left out."""
    colours = ink.colours
    painter.fillRect(QRectF(round(tick.x), HEADER_PX - 7.0, 1.0, 6.0), brush(colours.secondary))
    rows = (
        (tick.utc, BODY_PX, True, _UTC_MIDDLE, colours.text),
        (tick.local, 12, False, _LOCAL_MIDDLE, colours.secondary),
    )
    for text, size, bold, middle, name in rows:
        width = text_width(text, size, bold)
        clear = pill is None or abs(tick.x - pill) >= (width + _PILL_PX) / 2.0 + 4.0
        if clear and tick.x - width / 2.0 >= window.left and tick.x + width / 2.0 <= window.right:
            put_text(painter, tick.x - width / 2.0, middle, text, size, name, bold=bold)


def _paint_pill(painter: QPainter, x: float, now: float, zone: ZoneInfo | None, ink: Ink) -> None:
    colours = ink.colours
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(NO_PEN)
    painter.setBrush(brush(colours.accent))
    painter.drawRoundedRect(QRectF(round(x - _PILL_PX / 2.0), 3.0, _PILL_PX, 20.0), 5.0, 5.0)
    text = hhmm(now)
    put_text(
        painter, x - text_width(text, BODY_PX, True) / 2.0, _UTC_MIDDLE, text, BODY_PX, colours.on_accent, bold=True
    )
    if zone is not None:
        local = to_datetime(now).astimezone(zone).strftime("%H:%M")
        put_text(painter, x - text_width(local, 12) / 2.0, _LOCAL_MIDDLE, local, 12, colours.accent)


def paint_now_line(painter: QPainter, x: float, top: float, bottom: float, ink: Ink) -> None:
    """The now line, two pixels wide on whole pixels."""
    painter.fillRect(QRectF(round(x) - 1.0, top, 2.0, bottom - top), brush(ink.colours.accent))
