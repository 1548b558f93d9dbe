"""The left gutter: registration and fit, levels now, and the row's sign."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.day.document import TANKS, Tank
from legtide.draw.colours import NO_PEN, Palette, brush
from legtide.draw.content import RowContent
from legtide.draw.fonts import BODY_PX, FIGURE_PX, SECONDARY_PX, SMALL_PX, text_width
from legtide.draw.ink import Ink, level_line, put_text
from legtide.draw.rows import Frame
from legtide.draw.services import outline
from legtide.draw.signs import paint_sign
from legtide.draw.words import TANK_NAME, litres, percent
from legtide.engine.types import QUANTILES, TankCurve
from legtide.language import tr

GUTTER_PX: Final = 172
_PAD: Final = 14.0
_SIGN_ROOM: Final = 31.0
"""Room at the right for the sign of a warning."""
_MEDIAN: Final = QUANTILES.index(0.50)


@dataclass(frozen=True, slots=True)
class FitColumn:
    """What stands beside the registrations, and where."""

    words: Mapping[str, str]
    """Fit id -> wording."""
    x: float


@dataclass(frozen=True, slots=True)
class LevelText:
    """One tank's number for the gutter."""

    share: float
    now: bool
    """True: the median now. False: the day's lowest fresh or highest waste median, when no moment is now."""

    @property
    def number(self) -> str:
        return percent(self.share)


def level_text(curve: TankCurve, now: float | None) -> LevelText:
    """The number of a tank: the median level now, else the day's worst."""
    median = curve.levels[_MEDIAN] / curve.capacity_l
    if now is not None:
        return LevelText(float(np.interp(now, curve.minutes, median)), True)
    return LevelText(float(median.min() if curve.tank == "fresh" else median.max()), False)


def _paint_glyph(painter: QPainter, x: float, middle: float, tank: Tank, colours: Palette) -> None:
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(x, middle)
    painter.scale(0.62, 0.62)
    painter.setPen(NO_PEN)
    painter.setBrush(brush(colours.hue(tank)))
    painter.drawPath(outline(tank))
    painter.restore()


def paint_gutter(
    painter: QPainter, content: RowContent, inside: Frame, now: float | None, ink: Ink, fits: FitColumn
) -> None:
    """One row's gutter, its top left corner at (0, 0). The opened row is marked as picked."""
    colours, picked = ink.colours, inside.style == "focus"
    painter.fillRect(QRectF(0.0, 0.0, GUTTER_PX, inside.height), brush(colours.focus if picked else colours.canvas))
    if picked:
        painter.fillRect(QRectF(0.0, 0.0, 3.0, inside.height), brush(colours.accent))
    level_line(painter, 0.0, GUTTER_PX, inside.height - 1.0, colours.line)
    dense = inside.style == "dense"
    middle = inside.height / 2.0 if dense else inside.bar_top + 9.0
    painter.save()
    painter.setClipRect(QRectF(0.0, 0.0, GUTTER_PX - _SIGN_ROOM, inside.height))
    size = SECONDARY_PX if dense else BODY_PX
    put_text(painter, _PAD, middle, content.registration, size, colours.text, bold=True)
    fit = fits.words.get(content.rotation.fit.id, "")
    put_text(painter, fits.x, middle, fit, SECONDARY_PX, colours.secondary)
    painter.restore()
    if content.urgency is not None:
        paint_sign(painter, GUTTER_PX - 20.0, middle, content.urgency, colours, 13.0 if dense else 16.0)
    if picked:
        _paint_focus(painter, content, inside, now, ink)
    elif not dense:
        _paint_numbers(painter, content, inside, now, ink)


def _paint_numbers(painter: QPainter, content: RowContent, inside: Frame, now: float | None, ink: Ink) -> None:
    if not content.rotation.legs:
        put_text(painter, _PAD, inside.bar_bottom + 12.0, tr("no legs"), SECONDARY_PX, ink.colours.secondary)
        return
    middle = inside.bar_bottom + 13.0
    second = _PAD + (70.0 if now is not None else 80.0)
    for x, end, tank in zip((_PAD, second), (second - 4.0, GUTTER_PX - 2.0), TANKS, strict=True):
        known = level_text(content.projection.curve(tank), now)
        _paint_glyph(painter, x + 5.0, middle, tank, ink.colours)
        word = "" if known.now else (tr("low ") if tank == "fresh" else tr("top "))
        # Where the word has no room, the glyph and the number still say it.
        texts = (word + known.number, known.number)
        text = next((one for one in texts if text_width(one, SECONDARY_PX) <= end - x - 15.0), "")
        put_text(painter, x + 15.0, middle, text, SECONDARY_PX, ink.colours.text)


def _paint_focus(painter: QPainter, content: RowContent, inside: Frame, now: float | None, ink: Ink) -> None:
    """Both tanks in words and large numbers, with the ends of their scales."""
    colours = ink.colours
    if not content.rotation.legs:
        put_text(painter, _PAD, inside.bar_bottom + 16.0, tr("no legs"), SECONDARY_PX, colours.secondary)
        return
    for tank in TANKS:
        curve, strip = content.projection.curve(tank), inside.strip(tank)
        known = level_text(curve, now)
        put_text(painter, GUTTER_PX - 7.0, strip.top, "100", SMALL_PX, colours.secondary, right=True)
        put_text(painter, GUTTER_PX - 7.0, strip.bottom, "0", SMALL_PX, colours.secondary, right=True)
        top = strip.top + 1.0
        put_text(painter, _PAD, top, tr(TANK_NAME[tank]), SECONDARY_PX, colours.tank_text(tank), bold=True)
        used = put_text(painter, _PAD, top + 21.0, known.number, FIGURE_PX, colours.text, bold=True)
        word = tr("of") if known.now else (tr("lowest of") if tank == "fresh" else tr("highest of"))
        capacity = litres(curve.capacity_l)
        room = GUTTER_PX - _PAD - used - 10.0
        rest = next((one for one in (f"{word} {capacity}", capacity) if text_width(one, SMALL_PX) <= room), "")
        put_text(painter, _PAD + used + 8.0, top + 21.5, rest, SMALL_PX, colours.secondary)
        limit = tr("limit {limit}").format(limit=percent(curve.limit_l / curve.capacity_l))
        put_text(painter, _PAD, top + 40.0, limit, SECONDARY_PX, colours.secondary)


def fit_column(contents: tuple[RowContent, ...]) -> FitColumn:
    """The fits' wordings beside the registrations: the ids, or the seats, or nothing; the same kind in every row.

    Nothing is cut short: a wording is taken only if it has room in all rows.
    """
    widest = max((text_width(row.registration, BODY_PX, True) for row in contents), default=0.0)
    x = _PAD + widest + 8.0
    fits = {row.rotation.fit.id: row.rotation.fit for row in contents}
    for words in (
        {key: key for key in fits},
        {key: tr("{n:.0f} seats").format(n=fit.seats.value) for key, fit in fits.items()},
    ):
        if all(text_width(text, SECONDARY_PX) <= GUTTER_PX - _SIGN_ROOM - x for text in words.values()):
            return FitColumn(words, x)
    return FitColumn({}, x)
