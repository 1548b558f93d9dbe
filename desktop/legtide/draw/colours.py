"""The two palettes, and the one place where a pen or a brush is made.

Flights are neutral grey; hue belongs to the tanks and to warnings, and each meaning of a hue is repeated by a
shape, a position or a word. Text has a contrast of at least 5:1 on what it stands on, veiled past included.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor, QPen

from legtide.day.document import Tank


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours as `#RRGGBB`, one for each meaning."""

    name: str
    water: str
    waste: str
    water_text: str
    """The water hue where it is text: a little further from the ground than the line."""
    waste_text: str
    act: str
    watch: str
    watch_edge: str
    """Outline and sign of the watch hue, which alone is too pale on a light ground."""
    settled: str
    accent: str
    on_accent: str
    text: str
    secondary: str
    canvas: str
    ground: str
    focus: str
    """Ground of the selected row."""
    bar: str
    bar_dense: str
    """Leg bars without text in dense rows: a thin bar needs more weight."""
    home_turn: str
    line: str
    """Lines between rows and around areas."""
    grid: str
    """Hour lines behind the rows."""
    act_tint: str
    watch_tint: str
    panel: str
    """Ground of bubbles and tags."""

    def hue(self, tank: Tank) -> str:
        """The hue of a tank's lines, bands and markers."""
        return self.water if tank == "fresh" else self.waste

    def tank_text(self, tank: Tank) -> str:
        """The hue of a tank's words."""
        return self.water_text if tank == "fresh" else self.waste_text


LIGHT: Final = Palette(
    name="light",
    water="#0B6BB8",
    waste="#AD5A00",
    water_text="#0A63AB",
    waste_text="#984F00",
    act="#B3125F",
    watch="#F4C430",
    watch_edge="#3B3000",
    settled="#2B998A",
    accent="#2A3F8F",
    on_accent="#FFFFFF",
    text="#16202B",
    secondary="#4A5766",
    canvas="#FFFFFF",
    ground="#F4F6F8",
    focus="#F3F6FD",
    bar="#DDE3EA",
    bar_dense="#C5CEDA",
    home_turn="#E3EBF4",
    line="#D3DAE2",
    grid="#EBEFF3",
    act_tint="#FBE9F1",
    watch_tint="#FDF6DC",
    panel="#FFFFFF",
)

DARK: Final = Palette(
    name="dark",
    water="#4AADF2",
    waste="#F0A545",
    water_text="#5FB7F4",
    waste_text="#F2AE58",
    act="#FF6FAE",
    watch="#F4C430",
    watch_edge="#1B1600",
    settled="#B5EBD3",
    accent="#C9CEFF",
    on_accent="#1B2145",
    text="#EDF1F5",
    secondary="#B4C0CC",
    canvas="#181E26",
    ground="#12171D",
    focus="#1D2533",
    bar="#364352",
    bar_dense="#4A5868",
    home_turn="#232F3E",
    line="#2E3945",
    grid="#212932",
    act_tint="#41202F",
    watch_tint="#38310F",
    panel="#1F2833",
)

VEIL_ALPHA: Final = 0.30
"""How far the past fades into the canvas: as far as its text stays readable (5:1)."""
BAND_OUTER_ALPHA: Final = 0.16
BAND_INNER_ALPHA: Final = 0.26
BAND_EDGE_ALPHA: Final = 0.35


def palette(dark: bool) -> Palette:
    """The dark palette or the light one."""
    return DARK if dark else LIGHT


@lru_cache(maxsize=512)
def colour(name: str, alpha: float = 1.0) -> QColor:
    """A colour with an opacity from 0 to 1."""
    made = QColor(name)
    made.setAlphaF(alpha)
    return made


@lru_cache(maxsize=512)
def brush(name: str, alpha: float = 1.0) -> QBrush:
    """A plain brush."""
    return QBrush(colour(name, alpha))


@lru_cache(maxsize=512)
def pen(name: str, width: float = 1.0, alpha: float = 1.0, round_ends: bool = False) -> QPen:
    """A solid pen; a width of 1 or less is one device pixel whatever the zoom."""
    made = QPen(colour(name, alpha), width)
    made.setCosmetic(width <= 1.0)
    made.setCapStyle(Qt.PenCapStyle.RoundCap if round_ends else Qt.PenCapStyle.FlatCap)
    made.setJoinStyle(Qt.PenJoinStyle.RoundJoin if round_ends else Qt.PenJoinStyle.MiterJoin)
    return made


NO_PEN: Final = QPen(Qt.PenStyle.NoPen)
NO_BRUSH: Final = QBrush(Qt.BrushStyle.NoBrush)
