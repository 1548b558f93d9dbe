"""One row laid out: where its legs, turns and markers lie. Painting, hit testing and screen readers share it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

from legtide.day.document import Leg
from legtide.day.rotations import Turn, off_blocks, on_blocks
from legtide.draw.content import Marker, RowContent
from legtide.draw.rows import Frame
from legtide.draw.scale import TimeScale
from legtide.engine.types import to_minutes

OPEN_TURN_MIN: Final = 120.0
"""How far the first turn reaches back and the last one ahead, minutes: their outer ends are open."""

BETWEEN_MARKERS_PX: Final = 2.0
"""Least gap between two markers: the badge of the one must not hide under the other."""


@dataclass(frozen=True, slots=True)
class LegBox:
    """A leg's bar from `left` to `right`, pixels of the scale."""

    leg: Leg
    index: int
    left: float
    right: float


@dataclass(frozen=True, slots=True)
class TurnBox:
    """A turn from `left` to `right`, pixels of the scale."""

    turn: Turn
    left: float
    right: float


@dataclass(frozen=True, slots=True)
class Spot:
    """A marker's centre; `true_x` is its time, from which crowded markers are moved a little apart."""

    marker: Marker
    x: float
    y: float
    true_x: float
    size: float


def spread(wanted: list[float], distance: float) -> list[float]:
    """Sorted places moved as little as needed to lie at least `distance` apart, each crowd about its own middle."""
    crowds: list[tuple[float, int]] = []  # sum of the wanted places of the first member, members
    for place in wanted:
        total, members = place, 1
        while crowds:
            before, count = crowds[-1]
            if before / count + count * distance <= total / members:
                break
            # The first member's best place, given that the others follow at fixed distances.
            total = before + total - members * count * distance
            members += count
            crowds.pop()
        crowds.append((total, members))
    out: list[float] = []
    for total, members in crowds:
        out += [total / members + number * distance for number in range(members)]
    return out


class RowScene:
    """One row's content on one scale in one frame. Immutable: a change of any of them makes a new scene."""

    def __init__(self, content: RowContent, scale: TimeScale, inside: Frame) -> None:
        self.content = content
        self.scale = scale
        self.frame = inside

    @cached_property
    def legs(self) -> tuple[LegBox, ...]:
        """The legs in the order of time."""
        x = self.scale.x
        return tuple(
            LegBox(leg, index, x(to_minutes(off_blocks(leg))), x(to_minutes(on_blocks(leg))))
            for index, leg in enumerate(self.content.rotation.legs)
        )

    @cached_property
    def turns(self) -> tuple[TurnBox, ...]:
        """The turns, the open ends of the first and last cut short. A turn eaten by a delay has no width."""
        out = []
        for turn in self.content.rotation.turns:
            start = None if turn.start is None else to_minutes(turn.start)
            end = None if turn.end is None else to_minutes(turn.end)
            left = end - OPEN_TURN_MIN if start is None and end is not None else start
            right = start + OPEN_TURN_MIN if end is None and start is not None else end
            if left is not None and right is not None:
                out.append(TurnBox(turn, self.scale.x(left), self.scale.x(max(left, right))))
        return tuple(out)

    @cached_property
    def spots(self) -> tuple[Spot, ...]:
        """The markers, crowded ones moved apart."""
        markers = self.content.markers
        true = [self.scale.x(marker.start) for marker in markers]
        size = self.frame.marker_px
        places = spread(true, size + BETWEEN_MARKERS_PX)
        y = self.frame.marker_y
        return tuple(Spot(*row, size) for row in zip(markers, places, [y] * len(true), true, strict=True))

    def spot(self, service_id: str) -> Spot | None:
        """The marker of a service."""
        return next((row for row in self.spots if row.marker.service.id == service_id), None)

    def turn_at(self, x: float) -> TurnBox | None:
        """The turn at a pixel."""
        return next((row for row in self.turns if row.left <= x <= row.right), None)

    def leg_at(self, x: float) -> LegBox | None:
        """The leg at a pixel."""
        return next((row for row in self.legs if row.left <= x < row.right), None)
