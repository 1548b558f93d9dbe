"""What a drag lays over the board: tinted turns, the dashed box of the target, the marker's ring, the bubble."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from legtide.draw.colours import NO_PEN, brush, pen
from legtide.draw.fonts import BODY_PX, SECONDARY_PX, text_width
from legtide.draw.geometry import dashed_path
from legtide.draw.ink import Ink, put_text

BUBBLE_PX: Final = 48.0
_PAD: Final = 12.0
_SHADOW: Final = 4.0
GAP_PX: Final = 34.0
"""Between the bubble and the dragged marker."""


@dataclass(frozen=True, slots=True)
class BubbleText:
    """Two lines of plain text."""

    title: str
    detail: str


def paint_landing(painter: QPainter, box: QRectF, ink: Ink) -> None:
    """Tint of a turn where the dragged marker may land."""
    painter.fillRect(box, brush(ink.colours.accent, 0.10))


def paint_target(painter: QPainter, box: QRectF, ink: Ink) -> None:
    """The turn where it would land now: a stronger tint in a dashed box."""
    colours = ink.colours
    edge = QRectF(round(box.left()) + 0.5, box.top() + 0.5, round(box.width()) - 1.0, box.height() - 1.0)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(NO_PEN)
    painter.setBrush(brush(colours.accent, 0.12))
    painter.drawRoundedRect(edge, 4.0, 4.0)
    painter.setPen(pen(colours.accent, 1.4))
    x = np.array([edge.left(), edge.right(), edge.right(), edge.left(), edge.left()])
    y = np.array([edge.top(), edge.top(), edge.bottom(), edge.bottom(), edge.top()])
    dashed_path(x, y, 4.0, 3.0).paint(painter)


def bubble_rect(text: BubbleText, marker_x: float, middle: float, area: QRectF) -> QRectF:
    """Where the bubble stands: on the past side of the marker, on the other side only where it has no room."""
    width = round(max(text_width(text.title, BODY_PX, True), text_width(text.detail, SECONDARY_PX)) + 2.0 * _PAD)
    left = marker_x - GAP_PX - width
    if left < area.left() + 4.0:
        left = marker_x + GAP_PX
    left = min(left, area.right() - width - 4.0)
    top = min(max(middle - BUBBLE_PX / 2.0, area.top() + 2.0), area.bottom() - BUBBLE_PX - 2.0)
    return QRectF(round(left), round(top), width, BUBBLE_PX)


def bubble_reach(box: QRectF) -> QRectF:
    """All pixels that a bubble touches, its shadow included."""
    return box.adjusted(-_SHADOW - 1.0, -_SHADOW - 1.0, _SHADOW + 1.0, _SHADOW + 3.0)


def paint_bubble_ground(painter: QPainter, box: QRectF, ink: Ink) -> None:
    """The empty bubble with its soft shadow."""
    colours = ink.colours
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(NO_PEN)
    for reach in range(int(_SHADOW), 0, -1):
        painter.setBrush(brush("#000000", 0.05))
        painter.drawRoundedRect(box.adjusted(-reach, -reach + 2.0, reach, reach + 2.0), 6.0 + reach, 6.0 + reach)
    painter.setPen(pen(colours.line, 1.0))
    painter.setBrush(brush(colours.panel))
    painter.drawRoundedRect(box.adjusted(0.5, 0.5, -0.5, -0.5), 6.0, 6.0)


def paint_bubble_text(painter: QPainter, box: QRectF, text: BubbleText, ink: Ink) -> None:
    """The bubble's two lines."""
    colours = ink.colours
    put_text(painter, box.left() + _PAD, box.top() + 16.0, text.title, BODY_PX, colours.text, bold=True)
    put_text(painter, box.left() + _PAD, box.top() + 33.0, text.detail, SECONDARY_PX, colours.secondary)
