"""A problem in whole ticks, as the search works on it.

Facts (services that have started) are folded into the trucks' starting states and the windows of the other
service of the aircraft. What remains has one order per aircraft (`water_first`), so a plan is a set of routes
and the times follow from them.

Nomenclature: `r` a request's number, `v` a vehicle's, `o` an option's, `a` and `b` places'. A stop's window is
`earliest` (start) to `due` (end); `hard` is the latest end that a priced delay may reach.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from legtide.plan.bank.problem import Option, Pin, Problem, Request, Vehicle, water_first

TICK_MIN = 0.25
"""Length of a tick in minutes."""
_EPS = 1e-6
_QUANTUM = 0.01
"""Prices are compared in hundredths of a price unit."""


def up(minutes: float) -> int:
    """Minutes in ticks, rounded up."""
    return math.ceil(minutes / TICK_MIN - _EPS)


def down(minutes: float) -> int:
    """Minutes in ticks, rounded down."""
    return math.floor(minutes / TICK_MIN + _EPS)


@dataclass(frozen=True, slots=True)
class Reference:
    """A plan to stay close to: what it costs to change it, in price units."""

    truck: dict[str, str]
    """Request id -> truck."""
    start_min: dict[str, float]
    """Request id -> start."""
    option: dict[str, int]
    """Request id -> option."""
    keep: float = 40.0
    """Bonus for a request that stays as it was; penalty for one that comes anew or to another truck."""
    moved_per_min: float = 1.0
    """Penalty for a minute by which a start moves."""
    tolerance_min: float = 5.0
    """Moves up to this length are free."""


@dataclass(frozen=True, slots=True)
class Truck:
    """A vehicle in ticks, after its facts."""

    start: int
    end: int
    place: int
    home: int
    """Place at the end of the shift; -1 for none."""
    capacity: int
    used: int
    tank: int
    breaks: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Point:
    """A fill or dump point in ticks."""

    place: int
    handling: int
    per_litre: float
    """Ticks for a tenth of a litre."""

    def ticks(self, used: int) -> int:
        """Ticks there with so many tenths of a litre used up."""
        return self.handling + math.ceil(used * self.per_litre - _EPS)


class Core:
    """A problem compiled for the search; never changed after it is built."""

    def __init__(self, problem: Problem, reference: Reference | None = None) -> None:
        self.problem = problem
        self.origin = _origin(problem)
        self.place = {name: i for i, name in enumerate(problem.places)}
        self.travel = _in_ticks(problem.travel_min)
        self.gap = up(problem.handover_min)
        self.facts = tuple(r for r in problem.requests if r.pin is not None and r.pin.started)
        self.trucks = [self._truck(vehicle) for vehicle in problem.vehicles]
        self.points: list[list[Point]] = [
            [
                Point(self.place[p.place], up(p.handling_min), 0.1 / p.flow_l_per_min / TICK_MIN)
                for p in problem.reload_points
                if p.tank == tank
            ]
            for tank in ("fresh", "waste")
        ]
        self.requests = tuple(r for r in problem.requests if r.pin is None or not r.pin.started)
        self.broken = frozenset(r.id for r in self.requests if r.pin is not None and self._is_broken(r, r.pin))
        self._windows()
        self._pairs()
        self._vehicles_of()
        self._weights(reference)

    # building -------------------------------------------------------------------------------------------

    def at(self, minutes: float) -> int:
        """A moment rounded up to a tick of this problem."""
        return up(minutes - self.origin)

    def by(self, minutes: float) -> int:
        """A moment rounded down to a tick of this problem."""
        return down(minutes - self.origin)

    def minutes(self, tick: int) -> float:
        """A tick as a moment of the problem's clock."""
        return self.origin + tick * TICK_MIN

    def _truck(self, vehicle: Vehicle) -> Truck:
        done = sorted(
            ((r.pin.start_min, r, r.pin) for r in self.facts if r.pin and r.pin.truck == vehicle.id),
            key=lambda row: (row[0], row[1].id),
        )
        free, place, used = vehicle.available_min, vehicle.start_place, vehicle.used_l
        for start, request, pin in done:
            option = request.options[pin.option]
            free, place = max(free, start + vehicle.service_min(option)), request.place
            # What has happened was possible: a tank that could not have held it was reloaded on the way.
            used = used + option.litres if used + option.litres <= vehicle.capacity_l else option.litres
        if self.problem.now_min is not None:
            free = max(free, self.problem.now_min)
        return Truck(
            self.at(free),
            self.by(vehicle.shift_end_min),
            self.place[place],
            -1 if vehicle.end_place is None else self.place[vehicle.end_place],
            math.floor(vehicle.capacity_l * 10 + _EPS),
            math.ceil(used * 10 - _EPS),
            0 if vehicle.tank == "fresh" else 1,
            _merged([(self.by(a), self.at(b)) for a, b in vehicle.breaks]),
        )

    def _is_broken(self, request: Request, pin: Pin) -> bool:
        """Whether a pin breaks the window of its own request."""
        now = -math.inf if self.problem.now_min is None else self.problem.now_min
        minutes = self.problem.vehicle(pin.truck).service_min(request.options[pin.option])
        early = pin.start_min < max(request.earliest_min, now) - _EPS
        return early or pin.start_min + minutes > request.latest_end_min + _EPS

    def _windows(self) -> None:
        problem = self.problem
        late = up(problem.weights.max_delay_min) if problem.weights.delay_per_min is not None else 0
        now = -math.inf if problem.now_min is None else problem.now_min
        self.earliest: list[int] = []
        self.due: list[int] = []
        self.hard: list[int] = []
        for request in self.requests:
            pin = request.pin
            if pin is None:
                self.earliest.append(self.at(max(request.earliest_min, now)))
                self.due.append(self.by(request.latest_end_min))
                self.hard.append(self.due[-1] + late)
            else:
                end = pin.start_min + problem.vehicle(pin.truck).service_min(request.options[pin.option])
                self.earliest.append(self.by(pin.start_min))
                self.due.append(self.at(end))
                self.hard.append(self.due[-1])

    def _pairs(self) -> None:
        """`first[r]`: the request that has to end before r starts; `second[r]`: the one that waits for r."""
        count = len(self.requests)
        self.first, self.second, self.mate = [-1] * count, [-1] * count, [-1] * count
        number = {(r.group, r.tank): i for i, r in enumerate(self.requests)}
        for group in {r.group for r in self.requests}:
            water, toilet = number.get((group, "fresh"), -1), number.get((group, "waste"), -1)
            if water >= 0 and toilet >= 0:
                before, after = water, toilet
                if not water_first(self.problem, self.requests[water], self.requests[toilet]):
                    before, after = toilet, water
                self.second[before], self.first[after] = after, before
                self.mate[before], self.mate[after] = after, before
        for fact in self.facts:
            other = number.get((fact.group, "waste" if fact.tank == "fresh" else "fresh"), -1)
            if other >= 0:
                self._clear_of_fact(other, fact)

    def _clear_of_fact(self, r: int, fact: Request) -> None:
        """Narrows the window of r so that it keeps clear of the aircraft's service that has started."""
        pin, request = fact.pin, self.requests[r]
        if pin is None:
            return
        end = pin.start_min + self.problem.vehicle(pin.truck).service_min(fact.options[pin.option])
        if fact.tank == "waste" and water_first(self.problem, request, fact):
            self.hard[r] = min(self.hard[r], self.by(pin.start_min - self.problem.handover_min))
        else:
            self.earliest[r] = max(self.earliest[r], self.at(end + self.problem.handover_min))

    def _vehicles_of(self) -> None:
        problem, vehicles = self.problem, self.problem.vehicles
        self.location = [self.place[r.place] for r in self.requests]
        self.litres = [[math.ceil(o.litres * 10 - _EPS) for o in r.options] for r in self.requests]
        self.duration = [[[self._ticks(r, v, o) for o in r.options] for r in self.requests] for v in vehicles]
        self.allowed: list[list[int]] = []
        self.choices: list[list[int]] = []
        for request in self.requests:
            pin = request.pin
            if request.id in self.broken:
                self.allowed.append([])
            elif pin is not None:
                self.allowed.append([i for i, v in enumerate(vehicles) if v.id == pin.truck])
            else:
                self.allowed.append([i for i, v in enumerate(vehicles) if v.tank == request.tank])
            self.choices.append(list(range(len(request.options))) if pin is None else [pin.option])
        self.pinned = [r.pin is not None for r in self.requests]
        names = {v.id for v in vehicles if any(r.pin and r.pin.truck == v.id for r in problem.requests)}
        seen: dict[object, int] = {}
        self.twin = [
            v
            if vehicle.id in names
            else seen.setdefault((self.trucks[v], vehicle.flow_l_per_min, vehicle.setup_min), v)
            for v, vehicle in enumerate(vehicles)
        ]
        """The first vehicle that is just like this one: of several that are idle only one has to be tried."""

    def _ticks(self, request: Request, vehicle: Vehicle, option: Option) -> int:
        pin = request.pin
        if pin is None:
            return up(vehicle.service_min(option))
        return self.at(pin.start_min + vehicle.service_min(option)) - self.by(pin.start_min)

    def _weights(self, reference: Reference | None) -> None:
        weights = self.problem.weights
        if weights.ranking == "strict":
            self.tick_weight = 1
            cost_unit = sum(max(0, truck.end - truck.start) for truck in self.trucks) + 1
            costs = sum(max((o.cost for o in r.options), default=0.0) for r in self.requests)
            self.value_unit = cost_unit * (round(costs / _QUANTUM) + 1)
        else:
            # A ten-thousandth of the quantum keeps the price of a tick exact to that share.
            cost_unit = self.value_unit = 10_000
            self.tick_weight = round(weights.truck_per_min * TICK_MIN / _QUANTUM * cost_unit)
        self.gain = [
            [round(o.value / _QUANTUM) * self.value_unit - round(o.cost / _QUANTUM) * cost_unit for o in r.options]
            for r in self.requests
        ]
        self.delay_weight = self._priced(weights.delay_per_min or 0.0)
        count = len(self.requests)
        self.reference_truck, self.reference_start, self.reference_option = [-1] * count, [0] * count, [0] * count
        self.keep_weight = self.move_weight = self.tolerance = 0
        self.has_reference = reference is not None
        self.timed = reference is not None or weights.delay_per_min is not None
        """Whether the worth of a stop depends on its time."""
        if reference is None:
            return
        self.keep_weight = round(reference.keep / _QUANTUM) * self.value_unit
        self.move_weight = self._priced(reference.moved_per_min)
        self.tolerance = down(reference.tolerance_min)
        numbers = {vehicle.id: v for v, vehicle in enumerate(self.problem.vehicles)}
        for r, request in enumerate(self.requests):
            if request.id in reference.truck:
                self.reference_truck[r] = numbers.get(reference.truck[request.id], -1)
                self.reference_start[r] = self.at(reference.start_min[request.id])
                self.reference_option[r] = reference.option[request.id]

    def _priced(self, price_per_min: float) -> int:
        return round(price_per_min * TICK_MIN / _QUANTUM * self.value_unit)

    # the clock of a truck -------------------------------------------------------------------------------

    def arrive(self, v: int, t: int, a: int, b: int, reload: bool, used: int) -> int:
        """Earliest arrival at b when leaving a from t on, by way of a reload where asked; breaks are kept."""
        breaks = self.trucks[v].breaks
        if not breaks:
            return t + self.leg_ticks(v, a, b, reload, used)
        if not reload:
            drive = self.travel[a][b]
            return clear(breaks, t, drive) + drive
        return min((self._via(v, t, a, b, point, used) for point in self.points[self.trucks[v].tank]), default=_NEVER)

    def _via(self, v: int, t: int, a: int, b: int, point: Point, used: int) -> int:
        breaks = self.trucks[v].breaks
        for ticks in (self.travel[a][point.place], point.ticks(used), self.travel[point.place][b]):
            t = clear(breaks, t, ticks) + ticks
        return t

    def best_point(self, v: int, t: int, a: int, b: int, used: int) -> Point:
        """The point by which `arrive` goes."""
        return min(self.points[self.trucks[v].tank], key=lambda point: self._via(v, t, a, b, point, used))

    def leave(self, v: int, by: int, a: int, b: int, reload: bool, used: int) -> int:
        """Latest moment to leave a so as to be at b by a moment."""
        breaks = self.trucks[v].breaks
        if not breaks:
            return by - self.leg_ticks(v, a, b, reload, used)
        if not reload:
            drive = self.travel[a][b]
            return latest_clear(breaks, by - drive, drive)
        best = -_NEVER
        for point in self.points[self.trucks[v].tank]:
            t = by
            for ticks in (self.travel[point.place][b], point.ticks(used), self.travel[a][point.place]):
                t = latest_clear(breaks, t - ticks, ticks)
            best = max(best, t)
        return best

    def leg_ticks(self, v: int, a: int, b: int, reload: bool, used: int) -> int:
        """Busy ticks from a to b, breaks left out."""
        if not reload:
            return self.travel[a][b]
        best = _NEVER
        for point in self.points[self.trucks[v].tank]:
            ticks = self.travel[a][point.place] + point.ticks(used) + self.travel[point.place][b]
            if ticks < best:
                best = ticks
        return best


_NEVER = 1 << 40


def clear(breaks: Sequence[tuple[int, int]], t: int, ticks: int) -> int:
    """Earliest start from t on of something that lasts so many ticks and meets no break."""
    for start, end in breaks:
        if t < end and t + ticks > start:
            t = end
    return t


def latest_clear(breaks: Sequence[tuple[int, int]], t: int, ticks: int) -> int:
    """Latest start up to t of something that lasts so many ticks and meets no break."""
    for start, end in reversed(breaks):
        if t < end and t + ticks > start:
            t = start - ticks
    return t


def _merged(spans: list[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    out: list[tuple[int, int]] = []
    for start, end in sorted(spans):
        if out and start <= out[-1][1]:
            out[-1] = (out[-1][0], max(end, out[-1][1]))
        else:
            out.append((start, end))
    return tuple(out)


@lru_cache(maxsize=32)
def _in_ticks(travel_min: tuple[tuple[float, ...], ...]) -> list[list[int]]:
    """Driving times in ticks, closed again after rounding; shared by all problems of a station, never changed."""
    travel = [[up(minutes) for minutes in row] for row in travel_min]
    _close(travel)
    return travel


def _close(travel: list[list[int]]) -> None:
    """Takes every detour that rounding up has left shorter than the direct way."""
    size = range(len(travel))
    for k in size:
        via = travel[k]
        for row in travel:
            first = row[k]
            for j in size:
                if first + via[j] < row[j]:
                    row[j] = first + via[j]


def _origin(problem: Problem) -> float:
    moments = [vehicle.available_min for vehicle in problem.vehicles]
    moments += [request.earliest_min for request in problem.requests]
    moments += [request.pin.start_min for request in problem.requests if request.pin is not None]
    return float(math.floor(min(moments, default=0.0)))
