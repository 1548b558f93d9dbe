"""What was known of one aircraft when: the day projected again with the readings up to each moment.

A projection with all its readings tells only the end of the story. Projected with the readings before a moment, the
same day tells what was expected of the levels then, and what was known of the day factor.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from legtide.day.document import TANKS, Day, Reading
from legtide.draw.stretches import Stretch, stretches
from legtide.engine.course import gauge_span, gauge_works
from legtide.engine.projection import project_rotations
from legtide.engine.types import AircraftProjection, Caution, DayFactor, Projection, ReadingResult, TankCurve

WhyNot = Literal["", "no turn", "gauge", "implausible"]


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """What was known from a moment on, until the next stage begins."""

    minutes: float
    """Minutes since 1970 from which it holds; minus infinity before any reading."""
    projection: AircraftProjection

    @property
    def factor(self) -> DayFactor:
        """The day factor as it was known then."""
        return self.projection.day_factor


@dataclass(frozen=True, slots=True)
class Band:
    """The 5-95 % range and the middle of a level in litres."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, eq=False)
class ReadingFact:
    """One reading against the projection."""

    reading: Reading
    result: ReadingResult | None
    """None when the day does not have its turn."""
    why_not: WhyNot
    """Why it is not used; empty when it is."""
    seen: Band
    """What the reading stands for, litres: a step of the gauge and its middle."""
    before: Band | None
    after: Band | None
    """Projected just before and just after it, litres."""

    @property
    def off_l(self) -> float | None:
        """Litres from the projected median to the middle of what the reading stands for."""
        return None if self.before is None else self.seen.middle - self.before.middle


@dataclass(frozen=True, slots=True, eq=False)
class Detail:
    """All that the detail view shows of one aircraft."""

    projection: AircraftProjection
    stages: tuple[Stage, ...]
    """The first is what is expected before any reading."""
    facts: tuple[ReadingFact, ...]
    """In the order of time."""
    stretches: tuple[Stretch, ...]

    def stage_before(self, fact: ReadingFact) -> Stage | None:
        """What was known just before a reading; None for one that has no place in the day."""
        if fact.result is None:
            return None
        return [stage for stage in self.stages if stage.minutes < fact.result.minutes][-1]


def detail_of(day: Day, whole: Projection, registration: str, previous: Detail | None = None) -> Detail | None:
    """The detail of one aircraft of a projected day; None when the day does not project it.

    Stages are taken over from `previous` where its projection is the same object.
    """
    one = whole.aircraft.get(registration)
    if one is None:
        return None
    if previous is not None and previous.projection is one:
        stages = previous.stages
    else:
        stages = stages_of(day, one)
    return _detail(day, whole, one, stages)


def previewed(settled: Detail, day: Day, whole: Projection) -> Detail | None:
    """The detail while something is dragged: levels follow, what was known when stays as it was before the drag."""
    one = whole.aircraft.get(settled.projection.rotation.registration)
    return None if one is None else _detail(day, whole, one, settled.stages)


def _detail(day: Day, whole: Projection, one: AircraftProjection, stages: tuple[Stage, ...]) -> Detail:
    cautions = [row for row in whole.warnings if row.aircraft == one.rotation.registration]
    return Detail(one, stages, facts_of_readings(one), beyond_limits(one, cautions, day))


def beyond_limits(one: AircraftProjection, cautions: Iterable[Caution], day: Day) -> tuple[Stretch, ...]:
    """Where the bands of both tanks reach beyond their limits."""
    limit = day.policy.risk_limit.value
    return tuple(found for tank in TANKS for found in stretches(one.curve(tank), one.rotation, cautions, limit))


def stages_of(day: Day, one: AircraftProjection) -> tuple[Stage, ...]:
    """The projection before any reading, and after the readings of each moment."""
    pairs = [(reading, result) for reading, result in with_results(one) if result is not None]
    moments = sorted({result.minutes for _, result in pairs})
    earlier = [
        replace(one.rotation, readings=tuple(reading for reading, result in pairs if result.minutes < moment))
        for moment in moments
    ]
    projections = [*project_rotations(day, earlier), one]
    starts = [-math.inf, *moments]
    return tuple(Stage(start, projection) for start, projection in zip(starts, projections, strict=True))


def with_results(one: AircraftProjection) -> list[tuple[Reading, ReadingResult | None]]:
    """The readings of an aircraft, each with its result; those of turns that the day does not have get none."""
    results = iter(one.readings)
    turns = len(one.rotation.turns)
    return [(row, next(results) if row.turn < turns else None) for row in one.rotation.readings]


def facts_of_readings(one: AircraftProjection) -> tuple[ReadingFact, ...]:
    """Every reading of an aircraft against its projection, in the order of time."""
    rows = [_fact(one, reading, result) for reading, result in with_results(one)]
    return tuple(sorted(rows, key=lambda row: math.inf if row.result is None else row.result.minutes))


def _fact(one: AircraftProjection, reading: Reading, result: ReadingResult | None) -> ReadingFact:
    low, high, _ = gauge_span(one.rotation.fit, reading.tank, reading.percent)
    seen = Band(low, (low + high) / 2.0, high)
    if result is None:
        return ReadingFact(reading, None, "no turn", seen, None, None)
    expected = result.expected
    why: WhyNot = ""
    if not result.used:
        why = "implausible" if gauge_works(one.rotation, reading.tank) else "gauge"
    before = Band(expected.p05, expected.p50, expected.p95)
    return ReadingFact(reading, result, why, seen, before, _after(one.curve(reading.tank), result, before))


def _after(curve: TankCurve, result: ReadingResult, before: Band) -> Band:
    """The level just after a reading: at its moment the curve has a point that still shows what was expected."""
    if not result.used:
        return before
    here = np.flatnonzero(np.abs(curve.minutes - result.minutes) < 1e-6)
    if not len(here):  # read outside its turn, where the curve has no point of its own
        return band_at(curve, result.minutes)
    low, _, middle, _, high = curve.levels[:, here]
    same = np.abs(low - before.low) + np.abs(middle - before.middle) + np.abs(high - before.high) < 1e-6
    # The point that follows the last one before the reading; a service at the same moment comes later.
    place = min(int(np.flatnonzero(same)[-1]) + 1, len(here) - 1) if same.any() else len(here) - 1
    return Band(float(low[place]), float(middle[place]), float(high[place]))


def band_at(curve: TankCurve, minutes: float) -> Band:
    """The level at a moment within the day."""
    low, _, middle, _, high = (float(np.interp(minutes, curve.minutes, row)) for row in curve.levels)
    return Band(low, middle, high)


def factor_at(stages: tuple[Stage, ...], minutes: float) -> DayFactor:
    """The day factor as it was known at a moment."""
    return [stage for stage in stages if stage.minutes <= minutes][-1].factor
