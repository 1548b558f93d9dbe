"""Flags of breaches: a sign at the start of each stretch, and in the opened row the sentence beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from legtide.day.document import TANKS
from legtide.draw.colours import brush, pen
from legtide.draw.fan import LEAST_HATCH_PX, Window, hatch_rect
from legtide.draw.fonts import SMALL_PX, text_width
from legtide.draw.ink import Ink, put_text
from legtide.draw.scene import RowScene
from legtide.draw.signs import SIGN_PX, paint_sign
from legtide.draw.stretches import Stretch
from legtide.draw.words import breach_sentence

TAG_PX: Final = 18.0
SIGN_SMALL_PX: Final = 14.0
_PAD: Final = 7.0
_BESIDE: Final = 13.0
"""From the middle of a sign to its sentence."""


@dataclass(frozen=True, slots=True)
class Flag:
    """A stretch's sign, and its sentence where there is room for it."""

    stretch: Stretch
    place: QPointF
    """Centre of the sign."""
    text: str = ""
    box: QRectF | None = None


def flag_place(scene: RowScene, stretch: Stretch) -> QPointF:
    """Centre of the sign of a stretch: on its start, at the height of the hatch."""
    curve = scene.content.projection.curve(stretch.tank)
    strip = scene.frame.strip(stretch.tank)
    rect = hatch_rect(curve, stretch, scene.scale, strip)
    y = rect.center().y() if rect.height() > LEAST_HATCH_PX else strip.y(curve.limit_l / curve.capacity_l)
    return QPointF(rect.left(), min(max(y, scene.frame.bar_bottom + 6.0), scene.frame.height - 8.0))


def flags(scene: RowScene) -> tuple[Flag, ...]:
    """All flags of a row. Sentences are for the opened row: none covers another, none reaches out of the day."""
    if scene.frame.style == "dense":
        return ()
    places = [(stretch, flag_place(scene, stretch)) for stretch in scene.content.stretches]
    if scene.frame.style == "normal":
        return tuple(Flag(stretch, place) for stretch, place in places)
    found: list[Flag] = []
    for tank in TANKS:
        taken: list[QRectF] = []
        for stretch, place in places:
            if stretch.tank == tank:
                flag = _with_sentence(scene, stretch, place, taken)
                found.append(flag)
                taken += [flag.box] if flag.box is not None else []
    return tuple(found)


def _with_sentence(scene: RowScene, stretch: Stretch, place: QPointF, taken: list[QRectF]) -> Flag:
    """The sentence stands on the past side of its sign, on the other at the day's start or beside another one."""
    curve = scene.content.projection.curve(stretch.tank)
    text = breach_sentence(stretch.tank, stretch.peak, curve.limit_l, curve.capacity_l)
    width = round(text_width(text, SMALL_PX, True) + 2.0 * _PAD)
    top = round(place.y() - TAG_PX / 2.0)
    past = QRectF(round(place.x() - _BESIDE - width), top, width, TAG_PX)
    ahead = QRectF(round(place.x() + _BESIDE), top, width, TAG_PX)
    first = scene.scale.x(float(curve.minutes[0]))
    for box in (past, ahead):
        if box.left() >= first and not any(box.intersects(other) for other in taken):
            return Flag(stretch, place, text, box)
    return Flag(stretch, place)


def paint_flags(painter: QPainter, scene: RowScene, window: Window, ink: Ink) -> None:
    """The flags of a row that reach into a window."""
    size = SIGN_PX if scene.frame.style == "focus" else SIGN_SMALL_PX
    found = flags(scene)
    for flag in found:
        if flag.box is not None and flag.box.right() >= window.left and flag.box.left() <= window.right:
            _paint_sentence(painter, flag.box, flag.text, flag.stretch, ink)
    for flag in found:
        if window.left - size <= flag.place.x() <= window.right + size:
            paint_sign(painter, flag.place.x(), flag.place.y(), flag.stretch.urgency, ink.colours, size)


def _paint_sentence(painter: QPainter, box: QRectF, text: str, stretch: Stretch, ink: Ink) -> None:
    colours, act = ink.colours, stretch.urgency == "act"
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(colours.act if act else colours.watch, 1.2))
    painter.setBrush(brush(colours.act_tint if act else colours.watch_tint))
    painter.drawRoundedRect(box.adjusted(0.5, 0.5, -0.5, -0.5), 4.0, 4.0)
    put_text(painter, box.left() + _PAD, box.center().y(), text, SMALL_PX, colours.text, bold=True)
