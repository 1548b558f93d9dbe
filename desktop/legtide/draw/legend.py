"""The legend: every mark of the board with its word."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.day.document import Tank
from legtide.draw.colours import BAND_INNER_ALPHA, BAND_OUTER_ALPHA, brush, pen
from legtide.draw.fonts import SECONDARY_PX, SMALL_PX, text_width
from legtide.draw.geometry import dashed_level
from legtide.draw.ink import Ink, level_line, put_text
from legtide.draw.services import Look
from legtide.draw.signs import Sign, paint_sign
from legtide.language import tr

LEGEND_PX: Final = 32
_PAD: Final = 14.0
_BETWEEN: Final = 20.0

Swatch = Callable[[QPainter, float, float, Ink], float]
"""Paints at x, vertically centred on y; returns its width."""


def _tank(tank: Tank) -> Swatch:
    def paint(painter: QPainter, x: float, y: float, ink: Ink) -> float:
        hue = ink.colours.hue(tank)
        ink.marker(painter, x + 8.0, y, Look(tank), 16.0)
        for reach, alpha in ((6.0, BAND_OUTER_ALPHA), (3.0, BAND_INNER_ALPHA)):
            painter.fillRect(QRectF(x + 22.0, y - reach, 26.0, 2.0 * reach), brush(hue, alpha))
        painter.fillRect(QRectF(x + 22.0, y - 1.0, 26.0, 2.0), brush(hue))
        return 48.0

    return paint


def _box(alpha: float) -> Swatch:
    def paint(painter: QPainter, x: float, y: float, ink: Ink) -> float:
        painter.fillRect(QRectF(x, y - 6.0, 12.0, 12.0), brush(ink.colours.text, alpha))
        return 12.0

    return paint


def _limit(painter: QPainter, x: float, y: float, ink: Ink) -> float:
    painter.setPen(pen(ink.colours.text))
    painter.translate(x, 0.0)
    dashed_level(0.0, 25.0, round(y) + 0.5).paint(painter)
    painter.translate(-x, 0.0)
    return 25.0


def _marker(look: Look) -> Swatch:
    def paint(painter: QPainter, x: float, y: float, ink: Ink) -> float:
        ink.marker(painter, x + 8.0, y, look, 16.0)
        return 16.0

    return paint


def _sign(sign: Sign) -> Swatch:
    def paint(painter: QPainter, x: float, y: float, ink: Ink) -> float:
        paint_sign(painter, x + 8.0, y, sign, ink.colours, 15.0)
        return 16.0

    return paint


ENTRIES: Final[tuple[tuple[Swatch, str], ...]] = (
    (_tank("fresh"), "Fresh water"),
    (_tank("waste"), "Waste"),
    (_box(BAND_OUTER_ALPHA), "5–95 %"),
    (_box(BAND_OUTER_ALPHA + BAND_INNER_ALPHA), "25–75 %"),
    (_limit, "limit"),
    (_marker(Look("waste", "done")), "done"),
    (_marker(Look("waste", "skipped")), "skipped"),
    (_marker(Look("waste", "missed")), "missed"),
    (_marker(Look("waste", proposal=True)), "suggested"),
    (_sign("act"), "act"),
    (_sign("watch"), "watch"),
)
KEYS: Final = "← →  move   Shift  5 min   Enter  place   Esc  cancel   F1  keys"
KEYS_SHORT: Final = "F1  keys"


def paint_legend(painter: QPainter, width: float, ink: Ink, keys: bool) -> None:
    """The legend from (0, 0), as many entries as fit whole; `keys` adds what the keyboard does."""
    colours = ink.colours
    painter.fillRect(QRectF(0.0, 0.0, width, LEGEND_PX), brush(colours.ground))
    level_line(painter, 0.0, width, 0.0, colours.line)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    middle = LEGEND_PX / 2.0
    entries = [(swatch, tr(text)) for swatch, text in ENTRIES]
    needed = sum(text_width(text, SECONDARY_PX) for _, text in entries) + len(entries) * 50.0
    x, end = _PAD, width - _PAD
    if keys:
        words = tr(KEYS)
        if needed + text_width(words, SMALL_PX) >= width:
            words = tr(KEYS_SHORT)
        end -= put_text(painter, end, middle, words, SMALL_PX, colours.secondary, right=True) + _BETWEEN
    for swatch, text in entries:
        if x + 54.0 + text_width(text, SECONDARY_PX) > end:
            break
        painter.save()
        used = swatch(painter, x, middle, ink)
        painter.restore()
        x += used + 7.0
        x += put_text(painter, x, middle, text, SECONDARY_PX, colours.text) + _BETWEEN
