"""What is known of both tanks when an aircraft arrives at each turn, before anything is read or done there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from legtide.day.document import TANKS, Policy, Service
from legtide.day.rotations import Rotation
from legtide.engine import mixture
from legtide.engine.course import Course, gauge_works, happens, is_whole, lay_out, reading_room, target_room
from legtide.engine.laws import COEFFICIENTS
from legtide.engine.mixture import Belief, law_of_room
from legtide.engine.readings import Span, condition, spread_over
from legtide.engine.types import Floats
from legtide.engine.usage import Rates, coefficients

_CLEAR = 1e-4
"""A partial fill that meets a level above its target with less than this probability is taken to reset it."""


@dataclass(frozen=True, slots=True, eq=False)
class Arrivals:
    """One rotation, turn by turn (N turns that are followed by a leg)."""

    course: Course
    beliefs: tuple[Belief, ...]
    ahead: Floats
    """(9, 2, N + 1) use from the start of the rotation up to each arrival: differences are the use between turns."""


def arrivals(rotation: Rotation, policy: Policy, rates: Rates) -> Arrivals:
    """The beliefs on arrival at each turn, as the day's services and readings before it have it."""
    course = lay_out(rotation, policy)
    ends = coefficients(course.stretches, rates, np.ones(1))[..., 0]
    sums, beliefs = [np.zeros((COEFFICIENTS, 2))], []
    total = sums[0]
    for row, belief in _turn_by_turn(course, policy, rates, ends):
        if row is None:
            beliefs.append(belief)
            continue
        total = total + ends[:, :, row]
        if course.leg_of[row] >= 0:
            sums.append(total)
    return Arrivals(course, tuple(beliefs[: len(rotation.legs)]), np.stack(sums, axis=-1))


def _turn_by_turn(course: Course, policy: Policy, rates: Rates, ends: Floats) -> Iterator[tuple[int | None, Belief]]:
    """Walks the course: the belief on each arrival (row none), and after each stretch (its row)."""
    belief = _start(course, rates)
    yield None, belief
    for step in course.steps:
        if step.kind == "stretch":
            row = step.rows[0]
            belief = belief.used(ends[:, :, row])
            yield row, belief
            if course.leg_of[row] >= 0:
                yield None, belief
        elif step.kind == "service":
            belief = served(belief, course, course.rotation.services[step.rows[0]], policy)
        else:
            spans = spans_of(course, step.rows)
            if spans != (None, None):
                belief = condition(belief, spans, rates, course.capacity)[0]


def _start(course: Course, rates: Rates) -> Belief:
    belief = Belief.start(rates.day_factor_cv, course.start_room)
    aircraft, fit = course.rotation.aircraft, course.rotation.fit
    if not course.uncertain_start:
        return belief
    waste = aircraft.waste_percent
    spans: tuple[Span | None, Span | None] = (
        reading_room(fit, "fresh", aircraft.fresh_percent),
        None if waste is None else reading_room(fit, "waste", waste),
    )
    return spread_over(belief, spans, course.capacity)


def served(belief: Belief, course: Course, service: Service, policy: Policy) -> Belief:
    """The belief after a service, as its state and the policy have it."""
    probability = happens(service, policy)
    if probability <= 0.0:
        return belief
    tank = TANKS.index(service.tank)
    room, whole = target_room(course.rotation.fit, service), is_whole(service)
    if probability >= 1.0 and not whole:
        below = law_of_room(belief, tank, np.zeros((COEFFICIENTS, 1))).below(np.full((1, 1), room))
        whole = bool(below[0, 0] >= 1.0 - _CLEAR)
    return mixture.serve(belief, tank, room, probability, whole, float(course.capacity[tank]))


def spans_of(course: Course, rows: tuple[int, ...]) -> tuple[Span | None, Span | None]:
    """What readings taken together say of each tank's room; none where the gauge does not work."""
    rotation = course.rotation
    spans: list[Span | None] = [None, None]
    for row in rows:
        reading = rotation.readings[row]
        if gauge_works(rotation, reading.tank):
            spans[TANKS.index(reading.tank)] = reading_room(rotation.fit, reading.tank, reading.percent)
    return spans[0], spans[1]
