"""What a tank lives on during a leg: its last service or the start, and the use since, as the closed form has it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legtide.day.document import TANKS, Day, Service, Tank
from legtide.day.rotations import Rotation
from legtide.engine.course import happens, lay_out, target_room
from legtide.engine.laws import ShiftedLognormal, day_factor_moments, moments
from legtide.engine.types import Floats
from legtide.engine.usage import Rates, coefficients


@dataclass(frozen=True, slots=True, eq=False)
class Segment:
    """One tank from its last service (or the start of the day) to the end of a leg."""

    service: Service | None
    room: float
    """Room in litres at its beginning, where that is known."""
    margin: float
    capacity: float
    used: Floats
    """(9,) coefficients of the use since."""
    legs: tuple[int, ...]
    mean: float
    variance: float
    third: float
    """Moments of the use, the day factor integrated out."""

    @property
    def law(self) -> ShiftedLognormal:
        """The law of the use."""
        return ShiftedLognormal.of(*(np.array(value) for value in (self.mean, self.variance, self.third)))

    @property
    def risk(self) -> float:
        """P(use >= room - margin), if nothing was read and the room was known."""
        return float(self.law.at_least(np.array(self.room - self.margin)))


def segment(day: Day, rotation: Rotation, leg: int, tank: Tank) -> Segment:
    """What a tank lives on at the end of a leg."""
    rates, place = Rates.of(day.usage), TANKS.index(tank)
    course = lay_out(rotation, day.policy)
    ends = coefficients(course.stretches, rates, np.ones(1))[:, place, :, 0]
    service, room = None, float(course.start_room[place])
    rows: list[int] = []
    for step in course.steps:
        if step.kind == "service":
            row = rotation.services[step.rows[0]]
            if row.tank == tank and happens(row, day.policy) > 0.0:
                service, room, rows = row, target_room(rotation.fit, row), []
        elif step.kind == "stretch":
            rows.append(step.rows[0])
            if course.leg_of[step.rows[0]] == leg:
                break
    used = ends[:, rows].sum(axis=1)
    mean, variance, third = (float(value) for value in moments(used, day_factor_moments(rates.day_factor_cv)))
    flown = tuple(course.leg_of[row] for row in rows if course.leg_of[row] >= 0)
    margin, capacity = float(course.margin[place]), float(course.capacity[place])
    return Segment(service, room, margin, capacity, used, flown, mean, variance, third)
