"""The course of one aircraft's day: stretches of use, services and readings in the order in which they happen."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Literal

import numpy as np

from legtide.day.document import TANKS, CabinService, Fit, GroundTime, Policy, Service, Tank
from legtide.day.rotations import Rotation, Turn, block_hours, off_blocks, on_blocks, service_start
from legtide.engine.types import Floats, to_minutes
from legtide.engine.usage import MOST_ROUNDS, Stretches, drink_rounds

OPEN_TURN_MIN = 60.0
"""How far the first and the last turn are shown where nothing bounds them, in minutes (display only)."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that happens: a stretch of use, a service, or readings taken together."""

    kind: Literal["stretch", "service", "readings"]
    minutes: float
    """When it happens (a stretch: when it starts), kept inside its turn for drawing."""
    rows: tuple[int, ...]
    """Stretch number, service number or reading numbers, in the order of the course or the rotation."""


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """One rotation as the engine walks it. m stretches; tanks in the order fresh, waste."""

    rotation: Rotation
    stretches: Stretches
    """(m,) columns."""
    starts: Floats
    ends: Floats
    """(m,) minutes."""
    leg_of: tuple[int, ...]
    """Leg number of each stretch, -1 for a wait on the ground."""
    steps: tuple[Step, ...]
    begin: float
    end: float
    """Minutes at which the curves begin and end."""
    capacity: Floats
    """(2,) litres."""
    start_room: Floats
    """(2,) litres of room left at the start: fresh level, waste capacity less level."""
    uncertain_start: bool
    """Whether the start percentages are readings."""
    margin: Floats
    """(2,) litres of room at which the limit is reached: the reserve; capacity less the usable limit."""


def working_lavatories(rotation: Rotation) -> int:
    """Lavatories less the inoperative ones, never below zero."""
    out_of_use = sum(item.count for item in rotation.aircraft.inoperative if item.item == "lavatory")
    return max(int(rotation.fit.lavatories.value) - out_of_use, 0)


def has_item(rotation: Rotation, item: str) -> bool:
    """Whether that item is inoperative."""
    return any(row.item == item for row in rotation.aircraft.inoperative)


def gauge_works(rotation: Rotation, tank: Tank) -> bool:
    """Whether the gauge of a tank can be read."""
    return not has_item(rotation, f"{tank}_gauge")


def target_room(fit: Fit, service: Service) -> float:
    """Room in litres that a service leaves: a fill's target level, or the space above a drained tank's pre-charge."""
    if service.tank == "fresh":
        return fit.fresh_capacity_l.value * service.target / 100.0
    level = max(fit.waste_capacity_l.value * service.target / 100.0, fit.pre_charge_l.value)
    return fit.waste_capacity_l.value - level


def is_whole(service: Service) -> bool:
    """Whether a service leaves a known level, whatever was there: a full fill, or a drain to the pre-charge."""
    return service.target >= 100.0 if service.tank == "fresh" else service.target <= 0.0


def happens(service: Service, policy: Policy) -> float:
    """Probability that a service takes place, from its state and the policy."""
    if service.state == "done":
        return 1.0
    return policy.service_happens_probability.value if service.state == "planned" else 0.0


@lru_cache(maxsize=8)
def _rounds(service: CabinService) -> Floats:
    return drink_rounds(service)


_NO_ROUNDS = np.full((MOST_ROUNDS, 2), np.nan)


class _Columns:
    """Rows of stretches while a course is laid out."""

    def __init__(self, rotation: Rotation) -> None:
        self.lavatories = working_lavatories(rotation)
        self.galley = not has_item(rotation, "galley_water")
        self.rows: list[tuple[float, float, bool, float]] = []  # persons, hours, aloft, galley share
        self.rounds: list[Floats] = []
        self.starts: list[float] = []
        self.ends: list[float] = []
        self.leg_of: list[int] = []

    def add(self, persons: int, start: float, hours: float, leg: int, service: CabinService) -> int:
        average = service == "average" and self.galley
        self.rows.append((float(persons), hours, leg >= 0, 1.0 if average else 0.0))
        self.rounds.append(_rounds(service) if self.galley else _NO_ROUNDS)
        self.starts.append(start)
        self.ends.append(start + hours * 60.0)
        self.leg_of.append(leg)
        return len(self.rows) - 1

    def stretches(self) -> Stretches:
        table = np.array(self.rows, dtype=np.float64).reshape(-1, 4)
        rounds = np.stack(self.rounds) if self.rounds else np.empty((0, MOST_ROUNDS, 2))
        return Stretches(
            table[:, 0],
            table[:, 1],
            table[:, 2] > 0.5,
            np.full(len(table), float(self.lavatories)),
            table[:, 3],
            rounds,
        )


def _kept(minutes: float, turn: Turn) -> float:
    """A time moved inside its turn, so that curves never run backwards."""
    if turn.start is not None:
        minutes = max(minutes, to_minutes(turn.start))
    if turn.end is not None:
        minutes = min(minutes, max(to_minutes(turn.end), to_minutes(turn.start) if turn.start else -np.inf))
    return minutes


def _turn_steps(rotation: Rotation, turn: Turn, policy: Policy, columns: _Columns, opening: float) -> list[Step]:
    """Readings, services and waits of one turn in time order (at one moment: reading, service, wait)."""
    margin = policy.margin_after_on_blocks_min.value
    found: list[tuple[float, int, int]] = []  # minutes, rank, row
    for row, reading in enumerate(rotation.readings):
        if reading.turn == turn.number:
            at = to_minutes(reading.time) if reading.time is not None else opening
            found.append((_kept(at, turn), 0, row))
    for row, service in enumerate(rotation.services):
        if service.turn == turn.number:
            start = service_start(rotation, service, margin)
            found.append((_kept(to_minutes(start) if start is not None else opening, turn), 1, row))
    waits = [row for row in rotation.ground if row.turn == turn.number and row.kind == "people_aboard"]
    for wait in waits:
        found.extend(_wait_pieces(rotation, turn, wait, [at for at, rank, _ in found if rank < 2], columns))
    steps: list[Step] = []
    for at, rank, row in sorted(found):
        last = steps[-1] if steps else None
        if rank == 0 and last is not None and last.kind == "readings" and _joins(rotation, last, row):
            steps[-1] = Step("readings", at, (*last.rows, row))
        else:
            steps.append(Step(("readings", "service", "stretch")[rank], at, (row,)))
    return steps


def _joins(rotation: Rotation, step: Step, row: int) -> bool:
    """Readings with nothing between them are taken together, one per tank."""
    return all(rotation.readings[other].tank != rotation.readings[row].tank for other in step.rows)


def _wait_pieces(
    rotation: Rotation, turn: Turn, wait: GroundTime, cuts: list[float], columns: _Columns
) -> list[tuple[float, int, int]]:
    """A wait with people aboard as stretches, cut where a service or a reading falls into it."""
    persons = wait.persons
    if persons is None:
        near = rotation.legs[min(turn.number, len(rotation.legs) - 1)]
        persons = near.passengers + near.crew
    start, end = _kept(to_minutes(wait.start), turn), _kept(to_minutes(wait.end), turn)
    edges = [start, *sorted(at for at in set(cuts) if start < at < end), end]
    return [
        (first, 2, columns.add(persons, first, (then - first) / 60.0, -1, "average"))
        for first, then in pairwise(edges)
        if then > first
    ]


def lay_out(rotation: Rotation, policy: Policy) -> Course:
    """The course of a rotation. A rotation without legs gives a course without steps."""
    fit, aircraft = rotation.fit, rotation.aircraft
    columns = _Columns(rotation)
    steps: list[Step] = []
    for turn in rotation.turns:
        anchor = turn.start or turn.end
        opening = to_minutes(anchor) - (0.0 if turn.start else OPEN_TURN_MIN) if anchor else 0.0
        steps.extend(_turn_steps(rotation, turn, policy, columns, opening))
        if turn.number < len(rotation.legs):
            leg = rotation.legs[turn.number]
            at = to_minutes(off_blocks(leg))
            row = columns.add(leg.passengers + leg.crew, at, block_hours(leg), turn.number, leg.cabin_service)
            steps.append(Step("stretch", at, (row,)))
    capacity = np.array([fit.capacity_l(tank) for tank in TANKS])
    begin, end = _bounds(rotation, steps)
    return Course(
        rotation=rotation,
        stretches=columns.stretches(),
        starts=np.array(columns.starts),
        ends=np.array(columns.ends),
        leg_of=tuple(columns.leg_of),
        steps=tuple(steps),
        begin=begin,
        end=end,
        capacity=capacity,
        start_room=_start_room(rotation, capacity),
        uncertain_start=aircraft.start_is == "reading",
        margin=np.array(
            [
                capacity[0] * policy.fresh_reserve_percent.value / 100.0,
                capacity[1] * (1.0 - policy.waste_limit_percent.value / 100.0),
            ]
        ),
    )


def _bounds(rotation: Rotation, steps: list[Step]) -> tuple[float, float]:
    if not rotation.legs:
        return 0.0, 0.0
    begin = to_minutes(off_blocks(rotation.legs[0])) - OPEN_TURN_MIN
    end = to_minutes(on_blocks(rotation.legs[-1])) + OPEN_TURN_MIN
    times = [step.minutes for step in steps]
    return min([begin, *times]), max([end, *times])


def _start_room(rotation: Rotation, capacity: Floats) -> Floats:
    aircraft = rotation.aircraft
    waste = aircraft.waste_percent
    waste_level = rotation.fit.pre_charge_l.value if waste is None else capacity[1] * waste / 100.0
    return np.array([capacity[0] * aircraft.fresh_percent / 100.0, capacity[1] - waste_level])


def gauge_span(fit: Fit, tank: Tank, percent: float) -> tuple[float, float, float]:
    """Levels (from, to) in litres that a reading stands for, and the gauge's error (standard deviation, litres).

    The ends of the scale reach beyond it: a reading of zero includes a dry tank.
    """
    gauge, capacity = fit.gauge(tank), fit.capacity_l(tank)
    half = gauge.step_percent / 2.0
    low, high = (percent - half, percent + half) if gauge.rounds == "nearest" else (percent, percent + 2 * half)
    return capacity * low / 100.0, capacity * high / 100.0, capacity * gauge.error_percent / 100.0


def reading_room(fit: Fit, tank: Tank, percent: float) -> tuple[float, float, float]:
    """The same as room left: (least, most, error) in litres."""
    low, high, error = gauge_span(fit, tank, percent)
    if tank == "fresh":
        return low, high, error
    capacity = fit.waste_capacity_l.value
    return capacity - high, capacity - low, error
