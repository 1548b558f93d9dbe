"""The projection of a day: both tanks of every aircraft, with their uncertainty, risks, uplifts and water mass.

`project(day)` is the one entry. It walks each rotation's course (see `walk.py`), in closed form where nothing has
been read, and turns the states into curves, leg results, service results and warnings. With `previous` it takes over
every aircraft whose rotation is the same object, so that a drag recomputes one aircraft only.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

import numpy as np

from legtide.day.document import TANKS, Day, Service, Station, Tank
from legtide.day.rotations import Rotation, rotations, service_minutes, service_start, stations
from legtide.engine.closed import LIMIT, MEAN, OUT
from legtide.engine.course import Course, happens, is_whole, lay_out
from legtide.engine.mass import water_mass_kg
from legtide.engine.types import (
    AircraftProjection,
    Floats,
    LegResult,
    Projection,
    ReadingResult,
    ServiceResult,
    Spread,
    TankCurve,
)
from legtide.engine.usage import POINTS, Rates
from legtide.engine.walk import Walk, batch, walk
from legtide.engine.warnings import aircraft_warnings, day_warnings

_DEFAULT_WATER_C = 15.0


def project(day: Day, previous: Projection | None = None) -> Projection:
    """Projects both tanks of every aircraft of a day.

    Args:
        day: the day; aircraft whose fit it does not list are left out.
        previous: an earlier projection; aircraft that nothing has changed for are taken over as they are.
    """
    kept: Mapping[str, AircraftProjection] = {}
    if previous is not None and _same_ground(day, previous.day):
        kept = previous.aircraft
    wanted = rotations(day)
    fresh: list[Rotation] = []
    for name, rotation in wanted.items():
        if name not in kept or kept[name].rotation is not rotation:
            fresh.append(rotation)
    made = dict(zip((r.registration for r in fresh), project_rotations(day, fresh), strict=True))
    aircraft = {name: made[name] if name in made else kept[name] for name in wanted}
    warnings = day_warnings(day, aircraft)
    return Projection(day=day, aircraft=aircraft, warnings=warnings)


def _same_ground(day: Day, other: Day) -> bool:
    """Whether what all aircraft share is unchanged."""
    same = day.policy is other.policy and day.usage is other.usage and day.stations is other.stations
    return same and day.date == other.date


def project_rotations(day: Day, wanted: list[Rotation]) -> list[AircraftProjection]:
    """Projects some rotations under a day's policy, usage and stations, in their order."""
    policy, rates = day.policy, Rates.of(day.usage)
    courses = [lay_out(rotation, policy) for rotation in wanted]
    tables = batch(courses, policy, rates)
    places = stations(day)
    return [
        _assemble(day, course, walk(course, policy, rates, table), places)
        for course, table in zip(courses, tables, strict=True)
    ]


def _assemble(day: Day, course: Course, states: Walk, places: Mapping[str, Station]) -> AircraftProjection:
    record = _Record(day, course, states, places)
    for number, step in enumerate(course.steps):
        record.take(number, step.kind, step.minutes, step.rows)
    projection = record.finish()
    return aircraft_warnings(day, projection, places)


class _Record:
    """Collects the points of the curves and the results while the steps go by."""

    def __init__(self, day: Day, course: Course, walk: Walk, places: Mapping[str, Station]) -> None:
        self.day, self.course, self.walk, self.places = day, course, walk, places
        self.rotation = course.rotation
        self.state = walk.opening
        self.times: list[Floats] = []
        self.states: list[Floats] = []
        self.legs: list[LegResult] = []
        self.services: dict[int, ServiceResult] = {}
        self.readings: dict[int, ReadingResult] = {}
        self.inside = iter(walk.inside)
        self.water_c = self._water_c(0)
        self._point(course.begin)

    def take(self, number: int, kind: str, minutes: float, rows: tuple[int, ...]) -> None:
        if kind == "stretch":
            self._stretch(rows[0])
            return
        before = self.state
        self._point(minutes)
        if number in self.walk.after:
            self.state = self.walk.after[number]
            self._point(minutes)
        if kind == "service":
            self._service(rows[0], before)
        else:
            for row in rows:
                self._reading(row, minutes, before)

    def _point(self, minutes: float) -> None:
        self.times.append(np.array([minutes]))
        self.states.append(self.state[:, :, None])

    def _stretch(self, row: int) -> None:
        start, end = self.course.starts[row], self.course.ends[row]
        self._point(start)
        before, inside = self.state, next(self.inside)
        self.times.append(start + (end - start) * POINTS)
        self.states.append(inside)
        self.state = inside[:, :, -1]
        leg = self.course.leg_of[row]
        if leg >= 0:
            self._leg(leg, before)

    def _leg(self, leg: int, before: Floats) -> None:
        (fresh_out, waste_out), (fresh_in, waste_in) = self._spreads(before), self._spreads(self.state)
        self.legs.append(
            LegResult(
                index=leg,
                fresh_departure=fresh_out,
                fresh_arrival=fresh_in,
                waste_departure=waste_out,
                waste_arrival=waste_in,
                water_mass_kg=water_mass_kg(fresh_out.mean, self.water_c),
                risk_fresh_dry=float(self.state[0, OUT]),
                risk_fresh_below_reserve=float(self.state[0, LIMIT]),
                risk_waste_over_limit=float(self.state[1, LIMIT]),
                risk_waste_full=float(self.state[1, OUT]),
            )
        )

    def _spreads(self, state: Floats) -> tuple[Spread, Spread]:
        return self._spread(state, 0), self._spread(state, 1)

    def _spread(self, state: Floats, tank: int) -> Spread:
        levels = levels_of(state[tank], tank, float(self.course.capacity[tank]))
        p05, p25, p50, p75, p95, mean = levels.tolist()
        return Spread(mean, p05, p25, p50, p75, p95)

    def _service(self, row: int, before: Floats) -> None:
        service = self.rotation.services[row]
        tank = TANKS.index(service.tank)
        was, is_now = self._spread(before, tank), self._spread(self.state, tank)
        takes_place = happens(service, self.day.policy) > 0.0
        if takes_place and service.tank == "fresh":
            self.water_c = self._water_c(service.turn)
        start = service_start(self.rotation, service, self.day.policy.margin_after_on_blocks_min.value)
        volume = _volume(was, is_now, service) if takes_place else Spread(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
        duration = timedelta(minutes=service_minutes(self.rotation.fit, service, volume.mean))
        self.services[row] = ServiceResult(
            service=service,
            station=self.rotation.turns[service.turn].station,
            start=start,
            end=start + duration if start is not None else None,
            before=was,
            after=is_now,
            volume=volume,
        )

    def _reading(self, row: int, minutes: float, before: Floats) -> None:
        reading = self.rotation.readings[row]
        used, probability = self.walk.used_readings.get(row, (False, 0.0))
        self.readings[row] = ReadingResult(
            turn=reading.turn,
            tank=reading.tank,
            percent=reading.percent,
            minutes=minutes,
            expected=self._spread(before, TANKS.index(reading.tank)),
            used=used,
            probability=probability,
        )

    def _water_c(self, turn: int) -> float:
        if turn >= len(self.rotation.turns):
            return _DEFAULT_WATER_C
        station = self.places.get(self.rotation.turns[turn].station)
        return station.water_c if station is not None else _DEFAULT_WATER_C

    def _curve(self, tank: Tank) -> TankCurve:
        place = TANKS.index(tank)
        capacity, margin = float(self.course.capacity[place]), float(self.course.margin[place])
        states = np.concatenate([state[place] for state in self.states], axis=1)
        levels = levels_of(states, place, capacity)
        return TankCurve(
            tank=tank,
            capacity_l=capacity,
            limit_l=margin if tank == "fresh" else capacity - margin,
            # A leg delayed past the next one's departure would run the clock back: the curve waits instead.
            minutes=np.maximum.accumulate(np.concatenate(self.times)),
            levels=levels[:MEAN],
            mean=levels[MEAN],
            over_limit=states[LIMIT],
            exhausted=states[OUT],
        )

    def finish(self) -> AircraftProjection:
        self._point(self.course.end)
        return AircraftProjection(
            rotation=self.rotation,
            fresh=self._curve("fresh"),
            waste=self._curve("waste"),
            legs=tuple(self.legs),
            services=tuple(self.services[row] for row in sorted(self.services)),
            readings=tuple(self.readings[row] for row in sorted(self.readings)),
            day_factor=self.walk.day_factor,
        )


def levels_of(states: Floats, tank: int, capacity: float) -> Floats:
    """(6, ...) level quantiles and mean in litres from states (8, ...) of room."""
    if tank == 0:
        return states[: MEAN + 1]
    return np.concatenate([capacity - states[MEAN - 1 :: -1], capacity - states[MEAN : MEAN + 1]])


def _volume(before: Spread, after: Spread, service: Service) -> Spread:
    """Volume moved by a service: what was in a drained tank, what a fill brings, else the difference."""
    if service.tank == "waste" and is_whole(service):
        return before
    if after.p95 - after.p05 < 1e-6:
        target = after.mean
        ends = sorted((abs(target - before.p05), abs(target - before.p95)))
        inner = sorted((abs(target - before.p25), abs(target - before.p75)))
        return Spread(abs(target - before.mean), ends[0], inner[0], abs(target - before.p50), inner[1], ends[1])
    up = after.mean >= before.mean
    return _apart(before, after) if up else _apart(after, before)


def _apart(low: Spread, high: Spread) -> Spread:
    # The higher level is the same target or the untouched level: quantiles of the difference run against the lower.
    parts = [max(high.p95 - low.p95, 0.0), max(high.p75 - low.p75, 0.0), max(high.p50 - low.p50, 0.0)]
    parts += [max(high.p25 - low.p25, 0.0), max(high.p05 - low.p05, 0.0)]
    p05, p25, p50, p75, p95 = sorted(parts)
    return Spread(max(high.mean - low.mean, 0.0), p05, p25, p50, p75, p95)
