"""Blocks of a page: pieces of known height, one below the other, carried over to a next page when one is full."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from PySide6.QtGui import QPainter

from legtide.draw.colours import LIGHT, Palette
from legtide.draw.fonts import text_width
from legtide.draw.ink import put_text

PAPER: Final[Palette] = replace(
    LIGHT,
    name="paper",
    text="#000000",
    secondary="#333333",
    ground="#FFFFFF",
    focus="#FFFFFF",
    line="#9AA3AD",
    grid="#DADFE4",
    watch_edge="#000000",
)
"""The light palette with more contrast: a page has to survive a black-and-white printer."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """A piece of a page; `paint(painter)` draws it with its top left corner at (0, 0)."""

    height: float
    paint: Callable[[QPainter], None]


def wrapped(text: str, room_px: float, size_px: int, bold: bool = False) -> list[str]:
    """The text in lines that fit; a word that is wider than the room is broken, nothing is left out."""
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if text_width(longer, size_px, bold) <= room_px:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and text_width(lines[-1] + letter, size_px, bold) > room_px:
                lines.append("")
            lines[-1] += letter
    return lines


def line_px(size_px: int) -> float:
    """Height of a line of text."""
    return round(size_px * 1.28)


def put_lines(
    painter: QPainter, x: float, top: float, lines: Sequence[str], size_px: int, ink: str, bold: bool = False
) -> float:
    """Writes lines from a top edge on; returns the bottom edge."""
    step = line_px(size_px)
    for number, text in enumerate(lines):
        put_text(painter, x, top + (number + 0.5) * step, text, size_px, ink, bold=bold)
    return top + len(lines) * step


def text_blocks(texts: Sequence[str], width: float, size_px: int, title: str, mark: str = "") -> list[Block]:
    """A block for each paragraph, the title above the first. `mark` stands before each of them."""
    indent = text_width(f"{mark} ", size_px) if mark else 0.0
    last = len(texts) - 1
    return [
        _paragraph(
            wrapped(text, width - indent, size_px), indent, size_px, "" if place else title, mark, place == last
        )
        for place, text in enumerate(texts)
    ]


def _paragraph(lines: list[str], indent: float, size_px: int, title: str, mark: str, last: bool) -> Block:
    heading = line_px(size_px) + 2.0 if title else 0.0

    def paint(painter: QPainter) -> None:
        if title:
            put_lines(painter, 0.0, 0.0, [title], size_px, PAPER.text, bold=True)
        if mark:
            put_lines(painter, 0.0, heading, [mark], size_px, PAPER.text, bold=True)
        put_lines(painter, indent, heading, lines, size_px, PAPER.text)

    return Block(heading + len(lines) * line_px(size_px) + (6.0 if last else 0.0), paint)


def filled(blocks: Sequence[Block], room_px: float, repeated: Block | None = None) -> list[list[Block]]:
    """The blocks page by page. `repeated` opens every page but the first."""
    pages: list[list[Block]] = [[]]
    used = 0.0
    for block in blocks:
        if pages[-1] and used + block.height > room_px:
            pages.append([repeated] if repeated is not None else [])
            used = repeated.height if repeated is not None else 0.0
        pages[-1].append(block)
        used += block.height
    return pages


def paint_blocks(painter: QPainter, blocks: Sequence[Block], left: float, top: float) -> None:
    """Paints blocks one below the other."""
    for block in blocks:
        painter.save()
        painter.translate(left, top)
        block.paint(painter)
        painter.restore()
        top += block.height
