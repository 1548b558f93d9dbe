"""The truth of a sampled day over the bands: one line in the ink of text, ringed in the ground, with its breaches."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from PySide6.QtGui import QPainter

from legtide.day.document import TANKS, Tank
from legtide.draw.colours import pen
from legtide.draw.fan import Window
from legtide.draw.geometry import path_segments, visible
from legtide.draw.ink import Ink
from legtide.draw.scene import RowScene
from legtide.draw.signs import paint_sign
from legtide.engine.types import Floats

SIGN_PX: Final = 14.0
_SIGN_DENSE_PX: Final = 10.0


@dataclass(frozen=True, slots=True, eq=False)
class TruthCurve:
    """How one aircraft's levels came out."""

    minutes: Floats
    """(n,) times, never running back."""
    levels: Mapping[Tank, Floats]
    """(n,) litres."""
    breaches: tuple[tuple[Tank, float], ...]
    """Tank and moment (minutes since 1970) at which a leg passed the limit."""


def paint_truth(painter: QPainter, scene: RowScene, truth: TruthCurve, window: Window, ink: Ink) -> None:
    """The line of each tank, and the sign of act at each breach."""
    dense = scene.frame.style == "dense"
    part = visible(truth.minutes, scene.scale.minutes(window.left), scene.scale.minutes(window.right))
    x = scene.scale.x(truth.minutes[part])
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for tank in TANKS:
        if len(x) < 2:
            break
        strip, curve = scene.frame.strip(tank), scene.content.projection.curve(tank)
        y = strip.bottom - truth.levels[tank][part] * ((strip.bottom - strip.top) / curve.capacity_l)
        for colour, width in ((ink.colours.canvas, 3.6), (ink.colours.text, 1.2 if dense else 1.6)):
            painter.setPen(pen(colour, width))
            path_segments(x, y).paint(painter)
    for tank, minutes in truth.breaches:
        at = scene.scale.x(minutes)
        if window.left - SIGN_PX <= at <= window.right + SIGN_PX:
            curve, strip = scene.content.projection.curve(tank), scene.frame.strip(tank)
            middle = min(max(strip.y(curve.limit_l / curve.capacity_l), 8.0), scene.frame.height - 8.0)
            paint_sign(painter, at, middle, "act", ink.colours, _SIGN_DENSE_PX if dense else SIGN_PX)
