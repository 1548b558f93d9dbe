"""Type of the board: B612 where it is shipped, the system's sans serif where it is not."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Final

from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF, QGuiApplication

from legtide.shipped import resources

FAMILY: Final = "B612"
FALLBACKS: Final = ("DejaVu Sans", "Verdana", "Arial")
LEAST_PX: Final = 11
SMALL_PX: Final = 11
SECONDARY_PX: Final = 12
BODY_PX: Final = 13
FIGURE_PX: Final = 16
"""The large numbers of the selected row."""


@cache
def _families() -> tuple[str, ...]:
    loaded = [QFontDatabase.addApplicationFont(str(path)) for path in sorted((resources() / "fonts").glob("*.otf"))]
    found = {name for number in loaded if number >= 0 for name in QFontDatabase.applicationFontFamilies(number)}
    return (FAMILY, *FALLBACKS) if FAMILY in found else FALLBACKS


def families() -> tuple[str, ...]:
    """Font families in order of preference; loads the shipped fonts on first use.

    Raises RuntimeError when no QGuiApplication exists yet: Qt's font database needs one.
    """
    if QGuiApplication.instance() is None:
        raise RuntimeError("fonts need a QGuiApplication")
    return _families()


@lru_cache(maxsize=64)
def font(size_px: int, bold: bool = False) -> QFont:
    """The board's font at a size in logical pixels."""
    made = QFont(list(families()))
    made.setStyleHint(QFont.StyleHint.SansSerif)
    made.setPixelSize(size_px)
    made.setBold(bold)
    return made


@lru_cache(maxsize=64)
def metrics(size_px: int, bold: bool = False) -> QFontMetricsF:
    """Measures of `font(size_px, bold)`."""
    return QFontMetricsF(font(size_px, bold))


@lru_cache(maxsize=16384)
def text_width(text: str, size_px: int, bold: bool = False) -> float:
    """Advance of a text in logical pixels."""
    return metrics(size_px, bold).horizontalAdvance(text)
