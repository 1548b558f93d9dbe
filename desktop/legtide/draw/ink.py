"""What all painters of one board share: the palette, marker sprites or vectors, and plain-text helpers."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from legtide.day.document import Station
from legtide.draw.colours import Palette, pen
from legtide.draw.fonts import font, metrics, text_width
from legtide.draw.services import MARKER_PX, Look, MarkerSprites, paint_marker


class Ink:
    """Palette and sprites of one board at one device pixel ratio; without a ratio everything is vectors."""

    def __init__(
        self,
        colours: Palette,
        device_ratio: float | None = None,
        home: str | None = None,
        stations: Mapping[str, Station] | None = None,
    ) -> None:
        self.colours = colours
        self.home = home
        """Station whose turns are tinted."""
        self.stations: Mapping[str, Station] = stations or {}
        self._sprites = None if device_ratio is None else MarkerSprites(colours, device_ratio)

    def marker(self, painter: QPainter, x: float, y: float, look: Look, size: float = MARKER_PX) -> None:
        """Paints a marker centred on (x, y)."""
        if self._sprites is None:
            paint_marker(painter, x, y, look, self.colours, size)
        else:
            self._sprites.paint(painter, x, y, look, size)

    def station_name(self, code: str) -> str:
        """The station's name, or its code where it has none."""
        station = self.stations.get(code)
        return station.name if station is not None and station.name else code


def put_text(
    painter: QPainter,
    x: float,
    middle: float,
    text: str,
    size_px: int,
    ink: str,
    bold: bool = False,
    right: bool = False,
) -> float:
    """Writes plain text, vertically centred on `middle`, from x on (or ending at x); returns its width.

    The text is drawn as typed whatever it holds: QPainter knows no markup.
    """
    measures = metrics(size_px, bold)
    width = text_width(text, size_px, bold)
    painter.setFont(font(size_px, bold))
    painter.setPen(pen(ink))
    baseline = round(middle + (measures.capHeight() / 2.0))
    painter.drawText(QPointF(round(x - width if right else x), baseline), text)
    return width


def fitting(options: list[str], room_px: float, size_px: int, bold: bool = False) -> str:
    """The first of some wordings that fits into the room; empty when none does. Nothing is ever cut short."""
    return next((text for text in options if text_width(text, size_px, bold) <= room_px), "")


def level_line(painter: QPainter, left: float, right: float, y: float, ink: str) -> None:
    """A one-pixel line on a whole pixel."""
    painter.fillRect(QRectF(left, y, right - left, 1.0), pen(ink).color())
