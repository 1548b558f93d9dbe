"""Paints one row: what stands still (`paint_base`) and what follows a dragged service (`paint_levels`).

Both paint in the row's own coordinates (y = 0 is its top, x are pixels of the scale) and only what reaches into
the window, so that a row can be painted piece by piece.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from legtide.day.document import TANKS, Service, Tank
from legtide.draw.colours import brush, pen
from legtide.draw.fan import (
    Window,
    course,
    hatch_rect,
    paint_bands,
    paint_ghost,
    paint_hatch,
    paint_limit,
    paint_median,
)
from legtide.draw.flags import paint_flags
from legtide.draw.ink import Ink, level_line
from legtide.draw.legs import paint_legs
from legtide.draw.scale import grid_lines
from legtide.draw.scene import RowScene
from legtide.draw.services import TRIGGER_PX, Look, TriggerMark, look_of, paint_reading, paint_trigger
from legtide.draw.signs import paint_sign
from legtide.draw.truth import TruthCurve, paint_truth
from legtide.engine.types import AircraftProjection


@dataclass(frozen=True, slots=True, eq=False)
class Extras:
    """What is painted into a row besides its own projection."""

    ghost: AircraftProjection | None = None
    """Another projection to compare with: the baseline, or the day before the drag."""
    dashed_after: float | None = None
    """Minutes from which the median is dashed: the time of a dragged service."""
    dashed_tank: Tank | None = None
    hidden: str | None = None
    """Id of a service whose marker is painted by the drag itself."""
    proposals: tuple[tuple[Service, float], ...] = ()
    """Proposed services with their start, minutes since 1970."""
    triggers: tuple[TriggerMark, ...] = ()
    """Gauge readings that decide, in an opened row."""
    broken: frozenset[str] = frozenset()
    """Ids of services that cannot be worked as they stand."""
    truth: TruthCurve | None = None
    """How a sampled day came out, in training."""


NO_EXTRAS: Final = Extras()


# what stands still ----------------------------------------------------------------------------------------


def paint_base(painter: QPainter, scene: RowScene, window: Window, ink: Ink) -> None:
    """Ground, hour lines, home turns, scales, leg bars and the line below the row."""
    colours, inside = ink.colours, scene.frame
    focus = inside.style == "focus"
    area = QRectF(window.left, 0.0, window.right - window.left, inside.height)
    painter.fillRect(area, brush(colours.focus if focus else colours.canvas))
    _paint_home_turns(painter, scene, window, ink)
    paint_grid(painter, scene, window, ink)
    if focus:
        for tank in TANKS:
            strip = inside.strip(tank)
            for share in (0.0, 0.5, 1.0):
                ink_name = colours.grid if share == 0.5 else colours.line
                level_line(painter, window.left, window.right, round(strip.y(share)), ink_name)
    level_line(painter, window.left, window.right, inside.height - 1.0, colours.line)
    paint_legs(painter, scene, window, ink)


def paint_grid(painter: QPainter, scene: RowScene, window: Window, ink: Ink) -> None:
    """Hour lines; a day's end is stronger."""
    for x, midnight in grid_lines(scene.scale, window.left - 1.0, window.right + 1.0):
        name = ink.colours.line if midnight else ink.colours.grid
        painter.fillRect(QRectF(round(x), 0.0, 1.0, scene.frame.height), brush(name))


def _paint_home_turns(painter: QPainter, scene: RowScene, window: Window, ink: Ink) -> None:
    for box in scene.turns:
        if box.turn.station == ink.home and box.right >= window.left and box.left <= window.right:
            left, right = round(box.left), round(box.right)
            painter.fillRect(QRectF(left, 1.0, right - left, scene.frame.height - 3.0), brush(ink.colours.home_turn))


# what follows the pointer ---------------------------------------------------------------------------------


def paint_levels(painter: QPainter, scene: RowScene, window: Window, ink: Ink, extras: Extras = NO_EXTRAS) -> None:
    """Limits, bands, medians, hatches, markers, readings and flags."""
    content = scene.content
    if content.rotation.legs:
        if scene.frame.style == "dense":
            _paint_dense(painter, scene, window, ink)
        for tank in TANKS:
            _paint_tank(painter, scene, tank, window, ink, extras)
        if extras.truth is not None:
            paint_truth(painter, scene, extras.truth, window, ink)
        _paint_triggers(painter, scene, window, ink, extras.triggers)
        _paint_readings(painter, scene, window, ink)
    _paint_markers(painter, scene, window, ink, extras)
    paint_flags(painter, scene, window, ink)


def _paint_tank(painter: QPainter, scene: RowScene, tank: Tank, window: Window, ink: Ink, extras: Extras) -> None:
    curve, strip, scale = scene.content.projection.curve(tank), scene.frame.strip(tank), scene.scale
    hue, style = ink.colours.hue(tank), scene.frame.style
    found = course(curve, scale, strip, window)
    if style != "dense":
        paint_limit(painter, curve, scale, strip, window, hue, faint=style == "normal")
        if found is not None:
            paint_bands(painter, found, hue)
        for stretch in scene.content.of_tank(tank):
            paint_hatch(painter, hatch_rect(curve, stretch, scale, strip), window, stretch, ink.colours)
    if extras.ghost is not None:
        ghost = course(extras.ghost.curve(tank), scale, strip, window)
        if ghost is not None:
            paint_ghost(painter, ghost, hue)
    if found is not None:
        width = {"normal": 1.6, "focus": 2.0, "dense": 1.2}[style]
        dashed = extras.dashed_after if extras.dashed_tank == tank else None
        paint_median(painter, found, hue, width, None if dashed is None else scale.x(dashed))


def _paint_dense(painter: QPainter, scene: RowScene, window: Window, ink: Ink) -> None:
    """Breaches in a dense row: a pale block with a bar at the tank's edge, heavier where it is time to act."""
    colours, inside = ink.colours, scene.frame
    for stretch in scene.content.stretches:
        left, right = scene.scale.x(stretch.start), scene.scale.x(stretch.end)
        if right < window.left or left > window.right:
            continue
        left, right = round(left), max(round(right), round(left) + 2)
        act = stretch.urgency == "act"
        block = QRectF(left, 1.0, right - left, inside.height - 2.0)
        painter.fillRect(block, brush(colours.act if act else colours.watch, 0.16 if act else 0.30))
        thick = 3.0 if act else 2.0
        y = 1.0 if stretch.tank == "waste" else inside.height - 1.0 - thick
        painter.fillRect(QRectF(left, y, right - left, thick), brush(colours.act if act else colours.watch))


def _paint_markers(painter: QPainter, scene: RowScene, window: Window, ink: Ink, extras: Extras) -> None:
    reach = scene.frame.marker_px
    for spot in scene.spots:
        service = spot.marker.service
        if service.id == extras.hidden or spot.x < window.left - reach or spot.x > window.right + reach:
            continue
        paint_stem(painter, scene, service.tank, spot.x, spot.true_x, ink)
        ink.marker(painter, spot.x, spot.y, look_of(service), spot.size)
        if service.id in extras.broken:
            paint_broken(painter, spot.x, spot.y, spot.size, ink)
    for service, start in extras.proposals:
        x = scene.scale.x(start)
        paint_stem(painter, scene, service.tank, x, x, ink)
        ink.marker(painter, x, scene.frame.marker_y, Look(service.tank, proposal=True), reach)


def paint_broken(painter: QPainter, x: float, y: float, size: float, ink: Ink) -> None:
    """The sign of a service that cannot be worked, at the upper left of its marker."""
    side = max(0.6 * size, 9.0)
    paint_sign(painter, x - 0.42 * size, y - 0.38 * size, "act", ink.colours, side)


def paint_stem(painter: QPainter, scene: RowScene, tank: Tank, x: float, true_x: float, ink: Ink) -> None:
    """The line from a marker down to its time on the tank's strip."""
    inside = scene.frame
    if inside.style == "dense":
        return
    strip = inside.strip(tank)
    foot = round(true_x) + 0.5
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen(ink.colours.hue(tank), 1.0, 0.7))
    knee = inside.bar_bottom + 3.0
    painter.drawLine(QPointF(x if abs(x - true_x) > 1.0 else foot, inside.marker_y), QPointF(foot, knee))
    painter.drawLine(QPointF(foot, knee), QPointF(foot, strip.bottom))


def _paint_readings(painter: QPainter, scene: RowScene, window: Window, ink: Ink) -> None:
    if scene.frame.style == "dense":
        return
    for reading in scene.content.projection.readings:
        x = scene.scale.x(reading.minutes)
        if window.left - 8.0 <= x <= window.right + 8.0:
            y = scene.frame.strip(reading.tank).y(reading.percent / 100.0)
            paint_reading(painter, x, y, reading.tank, reading.used, ink.colours)


def _paint_triggers(
    painter: QPainter, scene: RowScene, window: Window, ink: Ink, triggers: tuple[TriggerMark, ...]
) -> None:
    """At each turn the reading that decides: on the side of the arrowhead the aircraft goes on without a service."""
    if scene.frame.style != "focus":
        return
    for mark in triggers:
        x = scene.scale.x(mark.minutes)
        if window.left - TRIGGER_PX <= x <= window.right + TRIGGER_PX:
            paint_trigger(painter, x, scene.frame.strip(mark.tank).y(mark.percent / 100.0), mark.tank, ink.colours)
