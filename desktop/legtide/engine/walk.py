"""Walks one course and gives the states along it: inside every stretch, and after every service and reading.

A tank whose level was known at its last event, with nothing read so far, takes its states from the closed-form table
of the batch. From the first reading, service that may fail, or partial fill that meets a level which may be above its
target, a belief is carried along and gives the states of the tanks that are no longer certain.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import TANKS, Policy, Service
from legtide.engine import mixture
from legtide.engine.closed import STATE, certain, project_closed
from legtide.engine.course import Course, Step, gauge_works, happens, is_whole, reading_room, target_room
from legtide.engine.readings import Span, condition, spread_over
from legtide.engine.types import POINTS_PER_LEG, DayFactor, Floats
from legtide.engine.usage import POINTS, Rates, Stretches, coefficients


@dataclass(slots=True, eq=False)
class Walk:
    """States along a course: each (2, 8), tank and state, or (2, 8, T) inside a stretch."""

    opening: Floats
    inside: list[Floats]
    """(2, 8, T) for each stretch, in the order of the steps."""
    after: dict[int, Floats]
    """Step number -> state after a service or readings (only where something changed)."""
    used_readings: dict[int, tuple[bool, float]] = field(default_factory=dict)
    """Reading number -> whether it was used, and its probability."""
    day_factor: DayFactor = field(default_factory=lambda: DayFactor(1.0, 1.0, 1.0))


# closed forms for many courses ----------------------------------------------------------------------------


def batch(courses: list[Course], policy: Policy, rates: Rates) -> list[Floats]:
    """Closed-form states (2, 8, m, T) for each course, every service that happens taken as a reset to its target."""
    if not courses:
        return []
    stretches = _joined([course.stretches for course in courses])
    count = np.array([len(course.stretches) for course in courses], dtype=np.intp)
    first = np.concatenate([[0], np.cumsum(count)[:-1]]).astype(np.intp)
    flags, rooms = zip(*(_resets(course, policy) for course in courses), strict=True)
    margins = np.repeat(np.stack([course.margin for course in courses], axis=1), count, axis=1)
    flag, room = np.concatenate(flags, axis=1), np.concatenate(rooms, axis=1)
    table = project_closed(stretches, rates, flag, room, margins, first, count)
    return [table[:, :, start : start + size] for start, size in zip(first, count, strict=True)]


def _resets(course: Course, policy: Policy) -> tuple[NDArray[np.bool_], Floats]:
    """(2, m) before which stretch a tank is reset, and to which room."""
    m = len(course.stretches)
    flags, rooms = np.zeros((2, m), dtype=bool), np.zeros((2, m))
    flags[:, :1], rooms[:, :1] = True, course.start_room[:, None]
    done = 0
    for step in course.steps:
        if step.kind == "stretch":
            done += 1
        elif step.kind == "service" and done < m:
            service = course.rotation.services[step.rows[0]]
            if happens(service, policy) > 0.0:
                tank = TANKS.index(service.tank)
                flags[tank, done] = True
                rooms[tank, done] = target_room(course.rotation.fit, service)
    return flags, rooms


def _joined(rows: list[Stretches]) -> Stretches:
    names = Stretches.__dataclass_fields__
    return Stretches(**{name: np.concatenate([getattr(row, name) for row in rows]) for name in names})


# one course -----------------------------------------------------------------------------------------------


def walk(course: Course, policy: Policy, rates: Rates, table: Floats) -> Walk:
    """The states along a course, given its part of the batch's table (2, 8, m, T)."""
    walker = _Walker(course, policy, rates, table)
    for number, step in enumerate(course.steps):
        walker.take(number, step)
    return walker.finish()


def belief_after(course: Course, policy: Policy, rates: Rates, steps: int) -> tuple[mixture.Belief, bool]:
    """What is known after the first `steps` steps of a course, and whether a reading was used in it."""
    if steps == 0 and not course.uncertain_start:
        return mixture.Belief.start(rates.day_factor_cv, course.start_room), False
    walker = _Walker(course, policy, rates, batch([course], policy, rates)[0])
    for number, step in enumerate(course.steps[:steps]):
        walker.take(number, step)
    return walker.standing()


class _Walker:
    def __init__(self, course: Course, policy: Policy, rates: Rates, table: Floats) -> None:
        self.course, self.policy, self.rates, self.table = course, policy, rates, table
        self.belief: mixture.Belief | None = None
        self.learned = False
        self.used: Floats | None = None
        self.waiting: list[int] = []  # stretches flown since the last event, not yet looked at
        self.state = certain(course.start_room, course.margin).T
        self.flown: list[int | tuple[int, float]] = []  # stretches and resets (tank, room), for when a belief begins
        if course.uncertain_start:
            self.belief = self._start_from_gauges(self._begin())
            self.state = np.stack([self._now(tank) for tank in (0, 1)])
        self.out = Walk(self.state, [], {})

    # steps

    def take(self, number: int, step: Step) -> None:
        if step.kind == "stretch":
            self.fly(step.rows[0])
        elif step.kind == "service":
            self.serve(number, self.course.rotation.services[step.rows[0]])
        else:
            self.read(number, step.rows)

    def fly(self, row: int) -> None:
        if self.belief is None:
            self.flown.append(row)
            inside = self.table[:, :, row]
            self.out.inside.append(inside)
            self.state = inside[:, :, -1]
        else:
            self.waiting.append(row)

    def serve(self, number: int, service: Service) -> None:
        probability = happens(service, self.policy)
        if probability <= 0.0:
            return
        self._look()
        course, tank = self.course, TANKS.index(service.tank)
        room = target_room(course.rotation.fit, service)
        whole = is_whole(service)
        if self.belief is None:
            if probability >= 1.0 and (whole or _clear_of(self.state[tank], room)):
                self.flown.append((tank, room))
                self._becomes(number, tank, certain(room, float(course.margin[tank])))
                return
            self.belief = self._begin()
        capacity = float(course.capacity[tank])
        self.belief = mixture.serve(self.belief, tank, room, probability, whole, capacity)
        self._becomes(number, tank, self._now(tank))

    def read(self, number: int, rows: tuple[int, ...]) -> None:
        self._look()
        rotation = self.course.rotation
        spans: list[Span | None] = [None, None]
        for row in rows:
            reading = rotation.readings[row]
            if gauge_works(rotation, reading.tank):
                spans[TANKS.index(reading.tank)] = reading_room(rotation.fit, reading.tank, reading.percent)
            else:
                self.out.used_readings[row] = (False, 0.0)
        if spans == [None, None]:
            return
        before = self.belief if self.belief is not None else self._begin()
        after, probability = condition(before, (spans[0], spans[1]), self.rates, self.course.capacity)
        for row in rows:
            self.out.used_readings.setdefault(row, (after is not before, probability))
        if after is before:
            return
        self.belief, self.learned = after, True
        self.state = np.stack([self._now(tank) for tank in (0, 1)])
        self.out.after[number] = self.state

    def finish(self) -> Walk:
        self._look()
        if self.belief is not None and self.learned:
            self.out.day_factor = self.belief.day_factor()
        else:
            self.out.day_factor = mixture.Belief.start(self.rates.day_factor_cv, self.course.start_room).day_factor()
        return self.out

    def standing(self) -> tuple[mixture.Belief, bool]:
        """What is known at this moment, and whether a reading was used."""
        self._look()
        return (self.belief if self.belief is not None else self._begin()), self.learned

    # the work

    def _becomes(self, number: int, tank: int, state: Floats) -> None:
        self.state = self.state.copy()
        self.state[tank] = state
        self.out.after[number] = self.state

    def _now(self, tank: int) -> Floats:
        assert self.belief is not None  # noqa: S101  only asked for once a belief has begun
        return mixture.now(self.belief, tank, float(self.course.margin[tank]), float(self.course.capacity[tank]))

    def _coefficients(self) -> Floats:
        if self.used is None:
            self.used = coefficients(self.course.stretches, self.rates, POINTS)
        return self.used

    def _begin(self) -> mixture.Belief:
        """The belief at this moment, from all that happened so far: known levels, nothing read."""
        belief = mixture.Belief.start(self.rates.day_factor_cv, self.course.start_room)
        for event in self.flown:
            if isinstance(event, tuple):
                belief = mixture.reset(belief, *event)
            else:
                belief = belief.used(self._coefficients()[:, :, event, -1])
        return belief

    def _look(self) -> None:
        """Works out the stretches flown since the last event, all at once."""
        if self.belief is None or not self.waiting:
            return
        used = self._coefficients()[:, :, self.waiting]  # (9, 2, n, T)
        ends = np.cumsum(used[..., -1], axis=-1)
        used = used + (ends - used[..., -1])[..., None]
        out = np.empty((2, STATE, len(self.waiting), POINTS_PER_LEG))
        for tank in (0, 1):
            if not self.learned and self.belief.is_known(tank):
                out[tank] = self.table[tank][:, self.waiting]
                continue
            margin, capacity = float(self.course.margin[tank]), float(self.course.capacity[tank])
            flat = used[:, tank].reshape(len(used), -1)
            out[tank] = mixture.states(self.belief, tank, flat, margin, capacity).reshape(out.shape[1:])
        self.out.inside.extend(out[:, :, place] for place in range(len(self.waiting)))
        self.belief = self.belief.used(ends[..., -1])
        self.state = out[:, :, -1, -1]
        self.waiting = []

    def _start_from_gauges(self, belief: mixture.Belief) -> mixture.Belief:
        """The start levels spread over what their gauges may hide; a waste tank just drained is known."""
        aircraft, fit = self.course.rotation.aircraft, self.course.rotation.fit
        waste = aircraft.waste_percent
        fresh_span: Span = reading_room(fit, "fresh", aircraft.fresh_percent)
        waste_span = None if waste is None else reading_room(fit, "waste", waste)
        return spread_over(belief, (fresh_span, waste_span), self.course.capacity)


def _clear_of(state: Floats, target: float) -> bool:
    """Whether the room is below a target but for a probability of about 1e-4, from its upper quantiles."""
    # A 1e-4 tail of a normal lies 3.72 sigma out; 95 % lies 1.645 out. The law of the room leans downward, so its
    # upper tail is shorter than the normal's: the straight line is on the safe side.
    reach = state[2] + (state[4] - state[2]) * (3.72 / 1.645)
    return bool(reach <= target)
