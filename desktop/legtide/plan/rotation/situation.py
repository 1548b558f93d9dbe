"""Where one aircraft stands when its rotation is planned: what is past, what is fixed, what is open.

Past is what lies before the first open turn: the latest of the turns of readings, of services done, of actual times
and of `now`. Past legs carry no risk any more, and past services stay as they are; readings condition the level and
the day factor from which the plan starts. From there on

* services that are done, pinned or under way stay (fixed);
* other planned services may be kept, changed or dropped;
* skipped and missed services do not happen, and their turn is not asked for that service again;
* a planned service is taken to happen: the policy's probability that it does not is for the projection to show.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from legtide.day.document import TANKS, Day, Service, Station, Tank
from legtide.day.rotations import Rotation, off_blocks, rotations, service_minutes, service_start, stations
from legtide.engine.course import Course, happens, lay_out
from legtide.engine.mass import water_density_kg_per_l
from legtide.engine.mixture import Belief
from legtide.engine.types import to_minutes
from legtide.engine.usage import Rates
from legtide.engine.walk import belief_after
from legtide.language import tr
from legtide.plan.rotation.records import PlanError
from legtide.plan.rotation.slots import Interval, Openings, Pair, Span, openings, spans, window_minutes

_DEFAULT_WATER_C = 15.0


@dataclass(frozen=True, slots=True, eq=False)
class Situation:
    """One aircraft before its plan. Turns are counted from 0 = `first_turn` in everything that is a sequence."""

    day: Day
    rotation: Rotation
    rates: Rates
    course: Course
    places: dict[str, Station]
    first_turn: int
    belief: Belief
    learned: bool
    """Whether the belief holds a reading."""
    water_c: float
    """Temperature of the water aboard."""
    fixed: dict[tuple[int, Tank], tuple[Service, ...]]
    """Absolute turn and tank -> services that stay."""
    removable: tuple[Service, ...]
    refused: frozenset[tuple[int, Tank]]
    """Absolute turns at which a service was skipped or missed."""
    busy: tuple[tuple[Interval, ...], ...]
    """What takes its time at each turn."""
    earliest: tuple[tuple[float, float], ...]
    """Earliest start of a water and of a toilet service at each turn."""
    openings: tuple[Openings, ...]
    fills: tuple[float, ...]

    @property
    def legs(self) -> int:
        """Legs to plan."""
        return len(self.rotation.legs) - self.first_turn


def find_rotation(day: Day, registration: str) -> Rotation:
    """The rotation of an aircraft. Raises PlanError when the day has none."""
    rotation = rotations(day).get(registration)
    if rotation is None:
        known = any(row.registration == registration for row in day.aircraft)
        why = tr("has a fit that the day does not list") if known else tr("is not in the day")
        raise PlanError(tr("aircraft {aircraft} {why}").format(aircraft=registration, why=why))
    return rotation


def first_open_turn(rotation: Rotation, now: datetime | None) -> int:
    """The first turn at which something can still be planned."""
    count = len(rotation.legs)
    seen = [0]
    seen += [row.turn for row in rotation.readings if row.turn <= count]
    seen += [row.turn for row in rotation.services if row.state == "done" and row.turn <= count]
    for place, leg in enumerate(rotation.legs):
        if leg.atd is not None or leg.ata is not None or (now is not None and off_blocks(leg) <= now):
            seen.append(place + 1)
    return max(seen)


def past_steps(course: Course, first_turn: int) -> int:
    """Steps of the course that are past: all before the first open turn, and up to the last reading."""
    turn, past = 0, 0
    for number, step in enumerate(course.steps):
        if turn < first_turn or step.kind == "readings":
            past = number + 1
        if step.kind == "stretch" and course.leg_of[step.rows[0]] >= 0:
            turn += 1
    return past


def situation(day: Day, rotation: Rotation, fills: Sequence[float], now: datetime | None) -> Situation:
    """All that the plan of a rotation starts from."""
    return _Survey(day, rotation, tuple(fills), now).situation()


class _Survey:
    """Collects the situation of one rotation."""

    def __init__(self, day: Day, rotation: Rotation, fills: tuple[float, ...], now: datetime | None) -> None:
        self.day, self.rotation, self.fills = day, rotation, fills
        self.now = to_minutes(now) if now is not None else None
        self.rates = Rates.of(day.usage)
        self.places = dict(stations(day))
        self.course = lay_out(rotation, day.policy)
        self.first = first_open_turn(rotation, now)
        self.past = past_steps(self.course, self.first)
        self.count = len(rotation.legs) - self.first
        self.fixed: dict[tuple[int, Tank], tuple[Service, ...]] = {}
        self.removable: list[Service] = []
        self.refused: set[tuple[int, Tank]] = set()
        self.busy: list[list[Interval]] = [[] for _ in range(self.count)]
        self.reached = -np.inf  # moment of the last past step

    def situation(self) -> Situation:
        self._sort_services()
        belief, learned = belief_after(self.course, self.day.policy, self.rates, self.past)
        earliest = [self._earliest(turn) for turn in range(self.count)]
        return Situation(
            day=self.day,
            rotation=self.rotation,
            rates=self.rates,
            course=self.course,
            places=self.places,
            first_turn=self.first,
            belief=belief,
            learned=learned,
            water_c=self._water_aboard_c(),
            fixed=self.fixed,
            removable=tuple(self.removable),
            refused=frozenset(self.refused),
            busy=tuple(tuple(sorted(row)) for row in self.busy),
            earliest=tuple(earliest),
            openings=tuple(self._openings(turn, earliest[turn]) for turn in range(self.count)),
            fills=self.fills,
        )

    def _sort_services(self) -> None:
        for number, step in enumerate(self.course.steps):
            if number < self.past:
                self.reached = max(self.reached, step.minutes)
            if step.kind != "service":
                continue
            row = self.rotation.services[step.rows[0]]
            place = row.turn - self.first
            if not 0 <= place < self.count:
                continue
            if number < self.past:
                self._occupy(row)
            elif row.state in ("skipped", "missed"):
                self.refused.add((row.turn, row.tank))
            elif row.state == "done" or row.pinned or self._begun(row):
                key = (row.turn, row.tank)
                self.fixed[key] = (*self.fixed.get(key, ()), row)
                self._occupy(row)
            else:
                self.removable.append(row)

    def _interval(self, row: Service) -> Interval | None:
        start = service_start(self.rotation, row, self.day.policy.margin_after_on_blocks_min.value)
        if start is None:
            return None
        return to_minutes(start), to_minutes(start) + service_minutes(self.rotation.fit, row)

    def _occupy(self, row: Service) -> None:
        interval = self._interval(row)
        if interval is not None and happens(row, self.day.policy) > 0.0:
            self.busy[row.turn - self.first].append(interval)

    def _begun(self, row: Service) -> bool:
        interval = self._interval(row)
        return self.now is not None and interval is not None and interval[0] < self.now

    def _earliest(self, place: int) -> tuple[float, float]:
        """A new service has to be asked for; one that is planned already has been."""
        turn = place + self.first
        since = self.reached if place == 0 else -np.inf
        found = []
        for tank in TANKS:
            at = since
            if self.now is not None:
                asked = any(row.turn == turn and row.tank == tank for row in self.removable)
                at = max(at, self.now + (0.0 if asked else self.day.policy.call_lead_min.value))
            found.append(at)
        return max(found[0], self._thawed(turn)), found[1]

    def _thawed(self, turn: int) -> float:
        """When water may be filled: not into a tank that then stands without heat in the cold."""
        station = self.places.get(self.rotation.turns[turn].station)
        if station is None or station.outside_air_c is None:
            return -np.inf
        if station.outside_air_c >= self.day.policy.freeze_mild_c.value:
            return -np.inf
        ends = [to_minutes(row.end) for row in self.rotation.ground if row.turn == turn and row.kind == "unheated"]
        return max(ends, default=-np.inf)

    def _openings(self, place: int, earliest: tuple[float, float]) -> Openings:
        number = place + self.first
        turn = self.rotation.turns[number]
        station = self.places.get(turn.station)
        window = window_minutes(turn, self.day.policy)
        found: list[list[Span]] = []
        for tank, at in zip(TANKS, earliest, strict=True):
            shut = (number, tank) in self.fixed or (number, tank) in self.refused
            found.append([] if shut else spans(window, station, tank, self.day.policy, at))
        made = openings(found[0], found[1], turn, self.rotation.fit, self.fills, sorted(self.busy[place]))
        waits = any(row.turn == number and row.kind == "people_aboard" for row in self.rotation.ground)
        return _steady(made) if waits else made

    def _water_aboard_c(self) -> float:
        turn = 0
        for step in self.course.steps[: self.past]:
            if step.kind == "service":
                row = self.rotation.services[step.rows[0]]
                if row.tank == "fresh" and happens(row, self.day.policy) > 0.0:
                    turn = row.turn
        return water_c(self.places, self.rotation, turn)


def water_c(places: dict[str, Station], rotation: Rotation, turn: int) -> float:
    """Temperature of the water filled at a turn."""
    station = places.get(rotation.turns[turn].station) if turn < len(rotation.turns) else None
    return station.water_c if station is not None else _DEFAULT_WATER_C


def water_density(at: Situation, place: int) -> float:
    """kg/L of the water filled at a turn; of the water aboard for -1."""
    return water_density_kg_per_l(at.water_c if place < 0 else water_c(at.places, at.rotation, place + at.first_turn))


def _steady(found: Openings) -> Openings:
    """The same start for a service whatever else is planned: where people wait aboard, use goes on between starts."""
    pairs = [row for row in found.both if row is not None]
    open_fills = [slot for slot in found.fresh if slot is not None]
    if not open_fills:
        return found
    start = pairs[-1][0].start if pairs else open_fills[-1].start
    toilet = pairs[-1][1] if pairs else found.waste
    fresh = [None if slot is None else slot.moved(start) for slot in found.fresh]
    both: list[Pair | None] = []
    for slot, together in zip(fresh, found.both, strict=True):
        both.append((slot, toilet) if slot is not None and toilet is not None and together is not None else None)
    return Openings(tuple(fresh), toilet, tuple(both))
