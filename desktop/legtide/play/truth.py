"""The truth of one aircraft's sampled day: what is used on each leg, whatever is serviced and when.

A truth knows nothing of the services that a class calls for: it holds the use, and `follow.py` gives the levels that
come of it. So the same truth under other services is a fair comparison (common random numbers).

Readings that were taken before the round began hold in the truth too: draws that would not have shown them are given
up for others as the day goes by (sequential importance resampling, Gordon, Salmond, Smith (1993), IEE Proceedings F
140:107-113; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import TANKS, Policy, Usage
from legtide.day.rotations import Rotation
from legtide.engine.course import Course, Step, gauge_span, gauge_works, lay_out
from legtide.engine.readings import IMPLAUSIBLE
from legtide.engine.types import Floats
from legtide.engine.usage import POINTS, Rates
from legtide.play.draws import StretchUse, day_factors, stretch_use
from legtide.play.gauges import likelihood
from legtide.play.levels import Levels
from legtide.play.streams import stream

_CANDIDATES: Final = 600
"""Draws among which the played day is found when it has to hold readings."""
_MOST: Final = 32_000
_LEVEL_GRID: Final = 1000


@dataclass(frozen=True, slots=True, eq=False)
class Wait:
    """A wait on the ground with people aboard, whole: services that cut it do not change what is used."""

    turn: int
    start: float
    end: float
    """Minutes since 1970."""
    use: StretchUse


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """D draws of one aircraft's day."""

    seed: int
    registration: str
    points: Floats
    """(T,) shares of a stretch's time at which the use is known."""
    theta: Floats
    """(D,) day factors."""
    start: Floats
    """(2, D) levels at the start, litres."""
    legs: tuple[StretchUse, ...]
    waits: tuple[Wait, ...]
    distinct: int
    """Draws that do not share their day factor with another: fewer than D after readings."""

    @property
    def draws(self) -> int:
        """D, the number of draws."""
        return len(self.theta)

    def only(self, rows: NDArray[np.intp]) -> Truth:
        """Some of the draws."""
        theta = self.theta[rows]
        return replace(
            self,
            theta=theta,
            start=self.start[:, rows],
            legs=tuple(leg.only(rows) for leg in self.legs),
            waits=tuple(replace(wait, use=wait.use.only(rows)) for wait in self.waits),
            distinct=len(np.unique(theta)),
        )


def played_truth(rotation: Rotation, policy: Policy, usage: Usage, seed: int) -> Truth:
    """The one truth that a round is played on, with its course inside the legs."""
    if not rotation.readings:
        return sampled(rotation, policy, usage, seed, 1, POINTS)
    many = sampled(rotation, policy, usage, seed, _CANDIDATES, POINTS, enough=40)
    chosen = stream(seed, rotation.registration, "chosen").integers(_CANDIDATES)
    return many.only(np.array([chosen], dtype=np.intp))


def sampled(
    rotation: Rotation,
    policy: Policy,
    usage: Usage,
    seed: int,
    draws: int,
    points: Floats = POINTS[-1:],
    enough: int = 200,
) -> Truth:
    """Draws the use of a rotation's day, in agreement with its readings.

    Args:
        rotation: the rotation; its services matter only to what its readings mean.
        policy: the day's policy.
        usage: the day's usage figures.
        seed: of the named streams.
        draws: how many.
        points: (T,) shares of a stretch's time to look at; the end alone by default.
        enough: with fewer different day factors than this, more days are drawn from which to choose.
    """
    rates, size = Rates.of(usage), draws
    found = _Sampler(rotation, policy, rates, seed, size, points).truth()
    while found.distinct < min(draws, enough) and size < _MOST:
        size *= 4
        found = _Sampler(rotation, policy, rates, seed, size, points).truth()
    return found if size == draws else found.only(np.arange(draws, dtype=np.intp) * (size // draws))


class _Sampler:
    def __init__(
        self, rotation: Rotation, policy: Policy, rates: Rates, seed: int, draws: int, points: Floats
    ) -> None:
        self.rotation, self.policy, self.rates = rotation, policy, rates
        self.seed, self.points = seed, points
        self.name = rotation.registration
        self.bare = lay_out(replace(rotation, services=(), readings=()), policy)
        self.theta = day_factors(stream(seed, self.name, "day factor"), rates, draws)
        self.start = _start_levels(self.bare, seed, draws)
        self.row_of_leg = {leg: row for row, leg in enumerate(self.bare.leg_of) if leg >= 0}
        self.legs: list[StretchUse] = []
        self.waits: list[Wait] = []

    def truth(self) -> Truth:
        course = lay_out(self.rotation, self.policy)
        last = max((n for n, step in enumerate(course.steps) if step.kind == "readings"), default=-1)
        levels = Levels(self.so_far(), course, self.policy)
        for number, step in enumerate(course.steps[: last + 1]):
            if step.kind == "stretch":
                self._draw(course, step, levels.turn)
            levels.truth = self.so_far()
            levels.take(step)
            if step.kind == "readings":
                self._hold(levels, step, number)
        while len(self.legs) < len(self.rotation.legs):
            self._draw_turn(len(self.legs))
            self._draw_leg(len(self.legs))
        self._draw_turn(len(self.rotation.legs))
        return self.so_far()

    def so_far(self) -> Truth:
        distinct = len(np.unique(self.theta))
        return Truth(
            self.seed,
            self.name,
            self.points,
            self.theta,
            self.start,
            tuple(self.legs),
            tuple(self.waits),
            distinct,
        )

    # drawing

    def _draw(self, course: Course, step: Step, turn: int) -> None:
        leg = course.leg_of[step.rows[0]]
        if leg < 0:
            self._draw_turn(turn)
        elif leg == len(self.legs):
            self._draw_turn(leg)
            self._draw_leg(leg)

    def _draw_leg(self, leg: int) -> None:
        name = self.rotation.legs[leg].id
        self.legs.append(self._use(self.row_of_leg[leg], "leg", name))

    def _draw_turn(self, turn: int) -> None:
        """The waits of a turn, once."""
        if any(wait.turn == turn for wait in self.waits):
            return
        at = 0
        for step in self.bare.steps:
            row = step.rows[0]
            if self.bare.leg_of[row] >= 0:
                at += 1
            elif at == turn:
                start, end = float(self.bare.starts[row]), float(self.bare.ends[row])
                self.waits.append(Wait(turn, start, end, self._use(row, "wait", turn, start)))

    def _use(self, row: int, *name: object) -> StretchUse:
        rng = stream(self.seed, self.name, *name)
        return stretch_use(rng, self.bare.stretches, row, self.rates, self.theta, self.points)

    # agreeing with readings

    def _hold(self, levels: Levels, step: Step, number: int) -> None:
        """Gives up draws that would not have shown the readings for others that would."""
        weight = np.ones(len(self.theta))
        for row in step.rows:
            reading = self.rotation.readings[row]
            if gauge_works(self.rotation, reading.tank):
                level = levels.level[TANKS.index(reading.tank)]
                weight = weight * likelihood(self.rotation.fit, reading.tank, reading.percent, level)
        if not weight.mean() >= IMPLAUSIBLE:
            return
        first = stream(self.seed, self.name, "agreeing", number).random()
        at = (np.arange(len(weight)) + first) / len(weight)
        rows = np.searchsorted(np.cumsum(weight / weight.sum()), at).clip(max=len(weight) - 1)
        self.theta, self.start = self.theta[rows], self.start[:, rows]
        self.legs = [leg.only(rows) for leg in self.legs]
        self.waits = [replace(wait, use=wait.use.only(rows)) for wait in self.waits]
        levels.keep(rows)


def _start_levels(course: Course, seed: int, draws: int) -> Floats:
    """(2, D) litres: as the day says, or anywhere in what the start readings leave open."""
    rotation = course.rotation
    level = np.array([course.start_room[0], course.capacity[1] - course.start_room[1]])
    out = np.repeat(level[:, None], draws, axis=1)
    if not course.uncertain_start:
        return out
    percents = (rotation.aircraft.fresh_percent, rotation.aircraft.waste_percent)
    for tank, percent in zip(TANKS, percents, strict=True):
        if percent is None:
            continue
        low, high, error = gauge_span(rotation.fit, tank, percent)
        capacity = rotation.fit.capacity_l(tank)
        ends = max(low - 3.0 * error, 0.0), min(high + 3.0 * error, capacity)
        grid = np.linspace(*ends, _LEVEL_GRID)
        share = np.cumsum(likelihood(rotation.fit, tank, percent, grid))
        at = stream(seed, rotation.registration, "start", tank).random(draws)
        out[TANKS.index(tank)] = np.interp(at, share / share[-1], grid)
    return out
