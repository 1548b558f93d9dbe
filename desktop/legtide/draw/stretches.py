"""Where a tank's band lies beyond its limit: the stretches of time that are hatched and flagged."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from legtide.day.document import Tank
from legtide.day.rotations import Rotation, off_blocks, on_blocks
from legtide.engine.types import QUANTILES, Caution, Floats, TankCurve, to_minutes

Urgency = Literal["act", "watch"]
_LOW: Final = QUANTILES.index(0.05)
_HIGH: Final = QUANTILES.index(0.95)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of time over which the 5-95 % band reaches beyond the limit."""

    tank: Tank
    start: float
    """Minutes since 1970."""
    end: float
    peak: float
    """Highest probability in it that the limit has been passed."""
    urgency: Urgency


def beyond(curve: TankCurve) -> Floats:
    """(n,) litres by which the band's edge lies beyond the limit; negative within it."""
    if curve.tank == "fresh":
        return np.asarray(curve.limit_l - curve.levels[_LOW])
    return np.asarray(curve.levels[_HIGH] - curve.limit_l)


def crossings(minutes: Floats, excess: Floats) -> list[tuple[float, float]]:
    """The stretches (start, end) over which a piecewise linear course is above zero.

    Two points at one time are a jump. A stretch without length is left out.
    """
    out: list[tuple[float, float]] = []
    above = excess > 0.0
    start: float | None = None
    for i in range(len(minutes)):
        changed = i > 0 and above[i] != above[i - 1]
        at = float(minutes[i])
        if changed:
            span, rise = float(minutes[i] - minutes[i - 1]), float(excess[i] - excess[i - 1])
            at = float(minutes[i - 1]) - float(excess[i - 1]) * span / rise
        if above[i] and start is None:
            start = at
        elif not above[i] and start is not None:
            out.append((start, at))
            start = None
    if start is not None:
        out.append((start, float(minutes[-1])))
    return [(first, last) for first, last in out if last > first]


def stretches(
    curve: TankCurve, rotation: Rotation, cautions: Iterable[Caution], risk_limit: float
) -> tuple[Stretch, ...]:
    """The stretches of one tank, each as urgent as the most urgent caution on a leg it touches.

    A stretch that no caution names is as urgent as its own risk: act above the policy's limit, else watch.
    """
    named = [row for row in cautions if row.tank == curve.tank and row.severity != "note"]
    out = []
    for start, end in crossings(curve.minutes, beyond(curve)):
        inside = (curve.minutes >= start) & (curve.minutes <= end)
        peak = float(curve.over_limit[inside].max(initial=0.0))
        urgency = _urgency(rotation, named, start, end) or ("act" if peak > risk_limit else "watch")
        out.append(Stretch(curve.tank, start, end, peak, urgency))
    return tuple(out)


def _urgency(rotation: Rotation, named: Sequence[Caution], start: float, end: float) -> Urgency | None:
    times = {leg.id: (to_minutes(off_blocks(leg)), to_minutes(on_blocks(leg))) for leg in rotation.legs}
    found: Urgency | None = None
    for row in named:
        if row.leg in times:
            off, on = times[row.leg]
            if off <= end and on >= start:
                if row.severity == "breach":
                    return "act"
                found = "watch"
    return found
