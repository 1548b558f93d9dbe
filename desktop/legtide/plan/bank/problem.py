"""What a station's bank asks of its trucks: frozen records in minutes and litres.

All times are minutes on one clock of the caller's choice (minutes since 1970-01-01 00:00 UTC for a day file).
The windows of the requests already hold the policy's margins. The solver works in whole ticks of 15 s inside:
starts are rounded up and ends down, so that a plan in ticks is a plan in minutes.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from legtide.day.document import Tank
from legtide.day.rotations import minutes_at_aircraft
from legtide.engine.driving import ReloadPoint, closed

Ranking = Literal["strict", "priced"]


@dataclass(frozen=True, slots=True)
class Option:
    """One way to do a service: the whole of it, or a shorter one."""

    litres: float
    """What leaves a water truck's tank, or enters a toilet truck's."""
    connect_min: float
    """Minutes for connecting and disconnecting."""
    pump_min: float
    """Minutes of filling or draining at the aircraft's own pace; a slower truck takes longer."""
    value: float
    """Risk avoided on all later legs, in price units."""
    cost: float = 0.0
    """Price of the service, in price units."""
    name: str = "full"


@dataclass(frozen=True, slots=True)
class Pin:
    """An assignment that stays: a service pinned by the user, or one that has started."""

    truck: str
    start_min: float
    option: int = 0
    started: bool = False
    """Under way or done: a fact, to which no rule is applied any more."""


@dataclass(frozen=True, slots=True)
class Request:
    """One service that would be of use at one turn."""

    id: str
    aircraft: str
    tank: Tank
    place: str
    options: tuple[Option, ...]
    earliest_min: float
    latest_end_min: float
    pin: Pin | None = None
    turn: int = 0

    @property
    def group(self) -> tuple[str, int]:
        """The aircraft on the ground: its two services must not overlap."""
        return (self.aircraft, self.turn)

    @property
    def best_value(self) -> float:
        """Value of its best option."""
        return max((option.value for option in self.options), default=0.0)


@dataclass(frozen=True, slots=True)
class Vehicle:
    """One truck with its crew, for one tank only."""

    id: str
    tank: Tank
    start_place: str
    available_min: float
    shift_end_min: float
    capacity_l: float
    aboard_l: float
    """Litres aboard at the start: water left to give, or waste already taken."""
    flow_l_per_min: float | None = None
    """Flow of its own pump; none: never the slower one."""
    setup_min: float = 0.0
    breaks: tuple[tuple[float, float], ...] = ()
    """Spans in which it neither drives nor serves nor reloads."""
    end_place: str | None = None
    """Where it has to be when the shift ends; none: anywhere."""

    def service_min(self, option: Option) -> float:
        """Minutes at the aircraft for a service with this truck."""
        return minutes_at_aircraft(self, option.connect_min, option.pump_min, option.litres)

    @property
    def used_l(self) -> float:
        """Litres of the tank that are used up at the start: water gone, or waste aboard."""
        return self.capacity_l - self.aboard_l if self.tank == "fresh" else self.aboard_l


@dataclass(frozen=True, slots=True)
class Weights:
    """How plans are compared.

    `strict`: first the risk avoided (less the price of delays where delays have a price), then the services'
    cost, then truck minutes. `priced`: the sum of all of them at their prices.
    """

    delay_per_min: float | None = None
    """Price of a minute of departure delay; none: no departure is delayed."""
    max_delay_min: float = 30.0
    """Longest delay considered where delays have a price."""
    truck_per_min: float = 1.0
    ranking: Ranking = "strict"


@dataclass(frozen=True, slots=True)
class Problem:
    """A station's bank: requests, trucks, places and the order of plans."""

    requests: tuple[Request, ...]
    vehicles: tuple[Vehicle, ...]
    places: tuple[str, ...]
    travel_min: tuple[tuple[float, ...], ...]
    """Driving minutes, rows and columns as `places`, no detour shorter than the direct way (see `closed`)."""
    reload_points: tuple[ReloadPoint, ...] = ()
    weights: Weights = field(default_factory=Weights)
    handover_min: float = 0.0
    """Least time between the two services of one aircraft."""
    now_min: float | None = None
    """Nothing that has not started can start, and no truck can leave, before this moment."""

    def request(self, request_id: str) -> Request:
        """The request of that id. Raises KeyError."""
        for request in self.requests:
            if request.id == request_id:
                return request
        raise KeyError(request_id)

    def vehicle(self, vehicle_id: str) -> Vehicle:
        """The truck of that id. Raises KeyError."""
        for vehicle in self.vehicles:
            if vehicle.id == vehicle_id:
                return vehicle
        raise KeyError(vehicle_id)


def shortest_min(problem: Problem, request: Request) -> float:
    """Minutes of the shortest way to do a request with any truck of its kind; infinite where there is none."""
    times = (
        vehicle.service_min(option)
        for vehicle in problem.vehicles
        if vehicle.tank == request.tank
        for option in request.options
    )
    return min(times, default=math.inf)


def water_first(problem: Problem, fresh: Request, waste: Request) -> bool:
    """Whether the water service of an aircraft has to come before its toilet service.

    It has to wherever the windows leave room for that order with the shortest services; else the toilet service
    comes first (common practice, no source: water first keeps the fresh panel clear of toilet work).
    A pinned service counts with its pinned time.
    """
    fresh_start, _ = _span(problem, fresh)
    _, waste_end = _span(problem, waste)
    room = _pinned_min(problem, fresh) + problem.handover_min + _pinned_min(problem, waste)
    return fresh_start + room <= waste_end + 1e-9


def _pinned_min(problem: Problem, request: Request) -> float:
    if request.pin is None:
        return shortest_min(problem, request)
    return problem.vehicle(request.pin.truck).service_min(request.options[request.pin.option])


def _span(problem: Problem, request: Request) -> tuple[float, float]:
    """Earliest start and latest end of a request, a pin and the present moment counted in."""
    if request.pin is not None:
        return request.pin.start_min, request.pin.start_min + _pinned_min(problem, request)
    now = -math.inf if problem.now_min is None else problem.now_min
    return max(request.earliest_min, now), request.latest_end_min


def faults(problem: Problem) -> tuple[str, ...]:
    """All that is wrong with a problem, each with its place; empty for a sound one."""
    return tuple(
        text for part in (_travel_faults, _vehicle_faults, _request_faults, _reload_faults) for text in part(problem)
    )


def _finite(*numbers: float) -> bool:
    return all(math.isfinite(number) for number in numbers)


def _travel_faults(problem: Problem) -> Iterator[str]:
    size = len(problem.places)
    if len(set(problem.places)) != size:
        yield "places: a place is listed twice"
    rows = problem.travel_min
    if len(rows) != size or any(len(row) != size for row in rows):
        yield f"travel_min: {size} places need {size} rows of {size} minutes"
        return
    if not all(_finite(*row) and min(row, default=0.0) >= 0.0 for row in rows):
        yield "travel_min: every time has to be finite and not negative"
        return
    if any(rows[i][i] != 0.0 for i in range(size)):
        yield "travel_min: a place is not at no distance from itself"
    if any(abs(a - b) > 1e-6 for x, y in zip(closed(rows), rows, strict=True) for a, b in zip(x, y, strict=True)):
        yield "travel_min: a detour is shorter than the direct way (close the table first)"


def _vehicle_faults(problem: Problem) -> Iterator[str]:
    places = set(problem.places)
    for name, count in Counter(vehicle.id for vehicle in problem.vehicles).items():
        if count > 1:
            yield f"vehicle {name}: listed twice"
    for vehicle in problem.vehicles:
        where = f"vehicle {vehicle.id}"
        if vehicle.start_place not in places or vehicle.end_place not in {None, *places}:
            yield f"{where}: its place is not listed"
        if not _finite(vehicle.available_min, vehicle.shift_end_min, vehicle.capacity_l, vehicle.setup_min):
            yield f"{where}: a figure is not finite"
        elif vehicle.capacity_l <= 0.0 or not 0.0 <= vehicle.aboard_l <= vehicle.capacity_l:
            yield f"{where}: litres aboard are not between none and its capacity"
        if vehicle.flow_l_per_min is not None and not vehicle.flow_l_per_min > 0.0:
            yield f"{where}: its flow has to be above zero"
        if any(not (_finite(*span) and span[0] < span[1]) for span in vehicle.breaks):
            yield f"{where}: a break ends before it starts"


def _request_faults(problem: Problem) -> Iterator[str]:
    places, trucks = set(problem.places), {vehicle.id: vehicle for vehicle in problem.vehicles}
    for name, count in Counter(request.id for request in problem.requests).items():
        if count > 1:
            yield f"request {name}: listed twice"
    for (aircraft, turn, tank), count in Counter((*r.group, r.tank) for r in problem.requests).items():
        if count > 1:
            yield f"aircraft {aircraft}, turn {turn}: two {tank} services"
    for request in problem.requests:
        where = f"request {request.id}"
        if request.place not in places:
            yield f"{where}: its place {request.place} is not listed"
        if not request.options:
            yield f"{where}: no way to do it is given"
        if not _finite(request.earliest_min, request.latest_end_min):
            yield f"{where}: its window is not finite"
        for option in request.options:
            figures = (option.litres, option.connect_min, option.pump_min, option.value, option.cost)
            if not _finite(*figures) or min(figures[:3]) < 0.0:
                yield f"{where}: a figure of option {option.name} is negative or not finite"
        pin = request.pin
        if pin is None:
            continue
        if pin.truck not in trucks or trucks[pin.truck].tank != request.tank:
            yield f"{where}: pinned to truck {pin.truck}, which is no {request.tank} truck of the station"
        if not 0 <= pin.option < len(request.options):
            yield f"{where}: pinned to an option that it does not have"


def _reload_faults(problem: Problem) -> Iterator[str]:
    for point in problem.reload_points:
        if point.place not in problem.places:
            yield f"reload point {point.place}: its place is not listed"
        if not (point.flow_l_per_min > 0.0 and point.handling_min >= 0.0):
            yield f"reload point {point.place}: flow and handling time have to be above zero"
