"""At which point a truck reloads before which of its services: the best choice for a given order and fixed starts."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from legtide.engine.driving import Driving, ReloadPoint

_EPS = 1e-6
"""Minutes and litres below which a difference is none."""
Spans: TypeAlias = Sequence[tuple[float, float]]
Cost: TypeAlias = tuple[float, float, int, float, float]


@dataclass(frozen=True, slots=True)
class Call:
    """One service as its truck sees it: where and when it has to be, and what its tank gives or takes."""

    place: str
    start: float
    end: float
    litres: float
    fact: bool
    """It has taken place: no truck was late for it."""


@dataclass(frozen=True, slots=True)
class Choice:
    """How a truck comes to one service."""

    point: ReloadPoint | None
    """Where it reloads on the way; none where it does not."""
    used_l: float
    """Litres of its tank that are used up when it sets out."""
    late_min: float
    """Minutes that it is there after the start."""
    over_l: float
    """Litres that its tank does not have, or has no room for."""


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to have come so far; ways differ in what of the tank is used up."""

    cost: Cost
    used_l: float
    choices: tuple[Choice, ...]


def clear(breaks: Spans, t: float, minutes: float) -> float:
    """Earliest start from t on of something that lasts so long and meets no break (in order, apart)."""
    for start, end in breaks:
        if t < end and t + minutes > start:
            t = end
    return t


def latest_clear(breaks: Spans, t: float, minutes: float) -> float:
    """Latest start up to t of something that lasts so long and meets no break."""
    for start, end in reversed(breaks):
        if t < end and t + minutes > start:
            t = start - minutes
    return t


def steps(ways: Driving, a: str, b: str, point: ReloadPoint | None, used_l: float) -> tuple[float, ...]:
    """Minutes of each step from a to b: the drive; or the drive to a point, the reload, and the drive on."""
    if point is None:
        return (ways.minutes(a, b),)
    return ways.minutes(a, point.place), point.minutes(used_l), ways.minutes(point.place, b)


def choose_reloads(
    ways: Driving,
    points: Sequence[ReloadPoint],
    breaks: Spans,
    first: tuple[str, float],
    tank_l: tuple[float, float],
    calls: Sequence[Call],
) -> tuple[Choice, ...]:
    """How a truck comes to each of its services, in their order.

    Starts and ends are fixed, so that the past matters only by what of the tank is used up, and that only by where
    the last reload was: a dynamic program over the last reload is exact. A reload fills or empties the whole tank.
    Less of each of these is better, in this order: litres beyond the tank, minutes late, reloads, minutes driven, the
    sum of the moments at which reloads end; then the point listed first. So where any choice of reloads keeps the
    tank and is in time for every service, one is found.

    `first` is the place and moment at which the truck is free, `tank_l` its capacity and what of it is used up then.
    """
    capacity, used = tank_l
    place, free = first
    if used + sum(call.litres for call in calls) <= capacity:
        # A way by a point is never the shorter one.
        points = ()
    open_ways = [_Way((0.0, 0.0, 0, 0.0, 0.0), used, ())]
    for call in calls:
        straight = _come(ways, breaks, place, free, call, None, 0.0)
        found = [_with(way, call, straight, capacity) for way in open_ways]
        filled = [
            _with(way, call, _come(ways, breaks, place, free, call, point, min(way.used_l, capacity)), capacity)
            for way in open_ways
            if way.used_l > _EPS
            for point in points
        ]
        if filled:
            found.append(min(filled, key=lambda way: way.cost))
        open_ways = _kept(found)
        place, free = call.place, max(free, call.end)
    return min(open_ways, key=lambda way: way.cost).choices


@dataclass(frozen=True, slots=True)
class _Coming:
    point: ReloadPoint | None
    late_min: float
    drive_min: float
    reloaded: float
    """When the reload ends; 0 without one."""


def _come(
    ways: Driving, breaks: Spans, place: str, free: float, call: Call, point: ReloadPoint | None, used_l: float
) -> _Coming:
    minutes, t, reloaded = steps(ways, place, call.place, point, used_l), free, 0.0
    for number, needed in enumerate(minutes):
        t = clear(breaks, t, needed) + needed
        if number == 1 and math.isfinite(t):
            reloaded = t
    late = 0.0 if call.fact or t <= call.start + _EPS else t - call.start
    return _Coming(point, late, minutes[0] + (minutes[2] if point else 0.0), reloaded)


def _with(way: _Way, call: Call, coming: _Coming, capacity: float) -> _Way:
    before = 0.0 if coming.point else way.used_l
    used = before + call.litres
    over = max(0.0, used - capacity) - max(0.0, before - capacity)
    over = over if over > _EPS else 0.0
    a, b, c, d, e = way.cost
    # Rounded, so that sums in another order are no difference.
    cost = (
        round(a + over, 6),
        round(b + coming.late_min, 6),
        c + (coming.point is not None),
        round(d + coming.drive_min, 6),
        round(e + coming.reloaded, 6),
    )
    choice = Choice(coming.point, min(way.used_l, capacity), coming.late_min, over)
    return _Way(cost, used, (*way.choices, choice))


def _kept(found: Iterable[_Way]) -> list[_Way]:
    """The ways that no other one covers: with less used, whatever follows costs no more."""
    out: list[_Way] = []
    for way in sorted(found, key=lambda way: (way.cost, way.used_l)):
        if not out or way.used_l < out[-1].used_l:
            out.append(way)
    return out
