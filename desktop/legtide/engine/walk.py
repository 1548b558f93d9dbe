"""Walks one course and gives the states along it: before and after every step.

Two ways to the same record: `walk_closed` cuts it out of a batch in closed form, `walk_believing` carries a belief
through readings, partial fills and services that may not happen.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import TANKS, Policy
from legtide.engine import mixture
from legtide.engine.closed import STATE, certain, project_closed
from legtide.engine.course import Course, gauge_works, happens, is_whole, reading_room, target_room
from legtide.engine.readings import Span, condition, spread_over
from legtide.engine.types import POINTS_PER_LEG, DayFactor, Floats
from legtide.engine.usage import POINTS, Rates, Stretches, coefficients

_NO_FILL_BELOW = 1e-4
"""A partial fill is a reset while the level is above its target with less than this probability."""


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


def needs_belief(course: Course, policy: Policy) -> bool:
    """Whether closed forms do not reach: a usable reading, a service that may fail, an uncertain start."""
    rotation = course.rotation
    if course.uncertain_start or any(gauge_works(rotation, row.tank) for row in rotation.readings):
        return True
    return any(0.0 < happens(service, policy) < 1.0 for service in rotation.services)


# closed forms ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Resets:
    """Where a course's tanks are reset: before which stretch, to which room. Columns as `closed.project_closed`."""

    flags: NDArray[np.bool_]
    rooms: Floats


def resets_of(course: Course, policy: Policy) -> Resets:
    """Every service that happens taken as a reset to its target (partial fills are checked afterwards)."""
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
    return Resets(flags, rooms)


def joined(rows: list[Stretches]) -> Stretches:
    """Stretches of several courses one after the other."""
    names = Stretches.__dataclass_fields__
    return Stretches(**{name: np.concatenate([getattr(row, name) for row in rows]) for name in names})


def batch(courses: list[Course], policy: Policy, rates: Rates) -> list[Floats]:
    """Closed-form states (2, 8, m, T) for each course, services taken as resets."""
    courses_resets = [resets_of(course, policy) for course in courses]
    stretches = joined([course.stretches for course in courses])
    count = np.array([len(course.stretches) for course in courses], dtype=np.intp)
    first = np.concatenate([[0], np.cumsum(count)[:-1]]).astype(np.intp)
    margins = np.repeat(np.stack([course.margin for course in courses], axis=1), count, axis=1)
    table = project_closed(
        stretches,
        rates,
        np.concatenate([r.flags for r in courses_resets], axis=1),
        np.concatenate([r.rooms for r in courses_resets], axis=1),
        margins,
        first,
        count,
    )
    return [table[:, :, start : start + size] for start, size in zip(first, count, strict=True)]


def walk_closed(course: Course, policy: Policy, table: Floats) -> Walk | None:
    """The walk from a batch's table; None where a partial fill meets a level that may be above its target."""
    opening = certain(course.start_room, course.margin).T
    walk = Walk(opening, [], {})
    state = opening
    rotation = course.rotation
    for number, step in enumerate(course.steps):
        if step.kind == "stretch":
            inside = table[:, :, step.rows[0]]
            walk.inside.append(inside)
            state = inside[:, :, -1]
        elif step.kind == "service":
            service = rotation.services[step.rows[0]]
            if happens(service, policy) <= 0.0:
                continue
            tank = TANKS.index(service.tank)
            room = target_room(rotation.fit, service)
            # The 95 % room with a wide berth stands in for P(room > target) < 1e-4: see `_clear_of`.
            if not is_whole(service) and not _clear_of(state[tank], room):
                return None
            state = state.copy()
            state[tank] = certain(room, float(course.margin[tank]))
            walk.after[number] = state
    return walk


def _clear_of(state: Floats, target: float) -> bool:
    """Whether the room is below a target but for a probability of about 1e-4, from its upper quantiles."""
    # A 1e-4 tail of a normal lies 3.72 sigma out; 95 % lies 1.64 out. The law of the room leans downward, so its
    # upper tail is shorter than the normal's: the straight line is on the safe side.
    reach = state[2] + (state[4] - state[2]) * (3.72 / 1.645)
    return bool(reach <= target)


# beliefs --------------------------------------------------------------------------------------------------


def walk_believing(course: Course, policy: Policy, rates: Rates) -> Walk:
    """The walk with a belief that readings sharpen and partial or uncertain services spread."""
    used = coefficients(course.stretches, rates, POINTS)
    belief = mixture.Belief.start(rates.day_factor_cv, course.start_room)
    if course.uncertain_start:
        belief = _start_from_gauges(belief, course)
    walk = Walk(mixture.now(belief, course.margin, course.capacity), [], {})
    rotation = course.rotation
    for number, step in enumerate(course.steps):
        if step.kind == "stretch":
            row = step.rows[0]
            walk.inside.append(_inside(belief, used[:, :, row], course))
            belief = belief.used(used[:, :, row, -1])
            continue
        if step.kind == "service":
            service = rotation.services[step.rows[0]]
            probability = happens(service, policy)
            if probability <= 0.0:
                continue
            tank = TANKS.index(service.tank)
            room = target_room(rotation.fit, service)
            capacity = float(course.capacity[tank])
            belief = mixture.serve(belief, tank, room, probability, is_whole(service), capacity)
        else:
            belief = _read(belief, step.rows, course, rates, walk)
        walk.after[number] = mixture.now(belief, course.margin, course.capacity)
    walk.day_factor = belief.day_factor()
    return walk


def _inside(belief: mixture.Belief, used: Floats, course: Course) -> Floats:
    out = np.empty((2, STATE, POINTS_PER_LEG))
    for tank in (0, 1):
        margin, capacity = float(course.margin[tank]), float(course.capacity[tank])
        out[tank] = mixture.states(belief, tank, used[:, tank], margin, capacity)
    return out


def _read(belief: mixture.Belief, rows: tuple[int, ...], course: Course, rates: Rates, walk: Walk) -> mixture.Belief:
    spans: list[Span | None] = [None, None]
    for row in rows:
        reading = course.rotation.readings[row]
        if gauge_works(course.rotation, reading.tank):
            spans[TANKS.index(reading.tank)] = reading_room(course.rotation.fit, reading.tank, reading.percent)
        else:
            walk.used_readings[row] = (False, 0.0)
    if spans == [None, None]:
        return belief
    after, probability = condition(belief, (spans[0], spans[1]), rates, course.capacity)
    for row in rows:
        walk.used_readings.setdefault(row, (after is not belief, probability))
    return after


def _start_from_gauges(belief: mixture.Belief, course: Course) -> mixture.Belief:
    """The start levels spread over what their gauges may hide; a waste tank just drained is known."""
    aircraft, fit = course.rotation.aircraft, course.rotation.fit
    waste = aircraft.waste_percent
    fresh_span = reading_room(fit, "fresh", aircraft.fresh_percent)
    waste_span = None if waste is None else reading_room(fit, "waste", waste)
    return spread_over(belief, (fresh_span, waste_span), course.capacity)
