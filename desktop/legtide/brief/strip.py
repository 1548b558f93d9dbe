"""The rotation strip of a briefing page: the board's own painters, on paper."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.brief.blocks import PAPER, Block
from legtide.brief.content import Briefing
from legtide.day.document import TANKS
from legtide.day.rotations import stations
from legtide.draw.axis import paint_header
from legtide.draw.fan import Window
from legtide.draw.fonts import SMALL_PX
from legtide.draw.ink import Ink, put_text
from legtide.draw.row_painter import Extras, paint_base, paint_levels
from legtide.draw.rows import Frame, frame
from legtide.draw.scale import fitted
from legtide.draw.scene import RowScene
from legtide.draw.services import TriggerMark, trigger_mark
from legtide.language import tr

_GUTTER_PX: Final = 62.0
_HEADER_PX: Final = 24.0
"""The upper half of the board's header: the row of UTC labels."""
_NAMES: Final = {"fresh": "Water", "waste": "Waste"}


def strip_block(content: Briefing, width: float, height: int) -> Block:
    """Both tanks of the aircraft across its day, one below the other."""
    inside = frame("focus", height)
    ink = Ink(PAPER, stations=stations(content.day))

    def paint(painter: QPainter) -> None:
        _paint_names(painter, inside)
        if content.rotation.legs:
            painter.translate(_GUTTER_PX, 0.0)
            _paint_plot(painter, content, width - _GUTTER_PX, inside, ink)

    return Block(_HEADER_PX + inside.height + 8.0, paint)


def _paint_names(painter: QPainter, inside: Frame) -> None:
    put_text(painter, 0.0, _HEADER_PX / 2.0, "UTC", SMALL_PX, PAPER.text, bold=True)
    for tank in TANKS:
        strip = inside.strip(tank)
        top, bottom = _HEADER_PX + strip.top, _HEADER_PX + strip.bottom
        put_text(painter, 0.0, (top + bottom) / 2.0, tr(_NAMES[tank]), SMALL_PX, PAPER.text, bold=True)
        put_text(painter, _GUTTER_PX - 5.0, top, "100", SMALL_PX, PAPER.secondary, right=True)
        put_text(painter, _GUTTER_PX - 5.0, bottom, "0", SMALL_PX, PAPER.secondary, right=True)


def _paint_plot(painter: QPainter, content: Briefing, width: float, inside: Frame, ink: Ink) -> None:
    row = content.row
    margin = max((row.end - row.start) * 0.02, 10.0)
    scale = fitted(row.start - margin, row.end + margin, width)
    window = Window(0.0, width)
    painter.setClipRect(QRectF(0.0, 0.0, width, _HEADER_PX + inside.height))
    painter.save()
    # What lies below the labels of the header are its ticks: they belong on the row's top edge.
    painter.setClipRect(QRectF(0.0, 0.0, width, _HEADER_PX))
    paint_header(painter, scale, window, None, None, ink)
    painter.restore()
    painter.translate(0.0, _HEADER_PX)
    scene = RowScene(row, scale, inside)
    paint_base(painter, scene, window, ink)
    paint_levels(painter, scene, window, ink, Extras(triggers=_marks(content)))


def _marks(content: Briefing) -> tuple[TriggerMark, ...]:
    """The readings that decide, as the board marks them in an opened row."""
    found = [
        trigger_mark(content.rotation.turns[one.turn], one.tank, one.trigger_percent)
        for row in content.departures
        for one in row.triggers
        if one.answer == "by_reading" and one.trigger_percent is not None
    ]
    return tuple(mark for mark in found if mark is not None)
