"""A day's station as a bank's problem: places, trucks, windows, durations and values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from legtide.day.document import Day, Service, Station
from legtide.day.rotations import pump_minutes, service_start, stations
from legtide.engine.driving import ELSEWHERE, base_of, driving
from legtide.engine.types import Projection, to_minutes
from legtide.plan.bank.problem import Option, Pin, Problem, Request, Vehicle, Weights
from legtide.plan.station.needs import Need, Way, station_needs

_BEFORE_MIN, _AFTER_MIN = 60.0, 120.0
"""Where a truck has no shift, it works from an hour before the first window to two hours after the last."""


@dataclass(frozen=True, slots=True)
class StationProblem:
    """A bank's problem and the needs that its requests stand for."""

    station: str
    problem: Problem
    needs: dict[str, Need]
    """Request id -> need."""


def station_problem(
    day: Day, projection: Projection, station: str, *, now: datetime | None = None, propose: bool = True
) -> StationProblem:
    """What a day asks of a station's trucks.

    Done services and those under way at `now` are facts, pinned ones stay. `propose` lets the plan add services that
    the day does not have wherever they avoid more risk than they cost. Raises KeyError for a station that the day
    does not list.
    """
    place = stations(day)[station]
    return bank_of(day, place, station_needs(day, projection, station, propose), now)


def bank_of(day: Day, place: Station, needs: Sequence[Need], now: datetime | None = None) -> StationProblem:
    """The bank's problem for some needs at a station."""
    vehicles = _vehicles(place, needs)
    names, ways = _places(place, needs), driving(place)
    rows = [_request(day, place, need, vehicles, now) for need in needs]
    price = day.policy.price_delay_per_min.value
    problem = Problem(
        tuple(row for row in rows if row is not None),
        vehicles,
        names,
        ways.table(names),
        (*ways.points["fresh"], *ways.points["waste"]),
        Weights(delay_per_min=price or None, truck_per_min=day.policy.price_truck_per_min.value),
        now_min=None if now is None else to_minutes(now),
    )
    return StationProblem(place.code, problem, {need.id: need for need in needs})


def _places(station: Station, needs: Sequence[Need]) -> tuple[str, ...]:
    listed = [row.id for row in station.places]
    stands = [_stand(need) for need in needs]
    bases = [base_of(station, truck) for truck in station.trucks]
    return tuple(dict.fromkeys([*listed, *bases, *stands]))


def _stand(need: Need) -> str:
    """The aircraft's stand; one that is not known is a place of its own."""
    turn = need.rotation.turns[need.service.turn]
    return turn.stand or f"{ELSEWHERE}: {need.rotation.registration} {turn.number}"


def _vehicles(station: Station, needs: Sequence[Need]) -> tuple[Vehicle, ...]:
    first = min((need.window[0] for need in needs), default=0.0) - _BEFORE_MIN
    last = max((need.window[1] for need in needs), default=0.0) + _AFTER_MIN
    out = []
    for truck in station.trucks:
        base = base_of(station, truck)
        aboard = truck.aboard_l
        if aboard is None:
            aboard = truck.capacity_l if truck.tank == "fresh" else 0.0
        out.append(
            Vehicle(
                truck.id,
                truck.tank,
                base,
                first if truck.shift is None else to_minutes(truck.shift.start),
                last if truck.shift is None else to_minutes(truck.shift.end),
                truck.capacity_l,
                min(aboard, truck.capacity_l),
                truck.flow_l_per_min,
                truck.setup_min,
                tuple((to_minutes(span.start), to_minutes(span.end)) for span in truck.breaks),
                end_place=base,
            )
        )
    return tuple(out)


def option_of(need: Need, way: Way) -> Option:
    """The option that stands for a way to do a service."""
    fit = need.rotation.fit
    pump = pump_minutes(fit, need.service, way.litres)
    return Option(way.litres, fit.connect_min.value, pump, way.value, need.price, way.name)


def _request(
    day: Day, station: Station, need: Need, vehicles: Sequence[Vehicle], now: datetime | None
) -> Request | None:
    """The request for a need; none for a service that no truck has to do any more."""
    row = need.service
    options = tuple(option_of(need, way) for way in need.ways)
    earliest, latest = need.window
    truck = next((v for v in vehicles if v.id == row.truck and v.tank == row.tank), None)
    start = service_start(need.rotation, row, day.policy.margin_after_on_blocks_min.value)
    pin = None
    if row.state == "done":
        if truck is None or start is None:
            return None
        pin = Pin(truck.id, to_minutes(start), started=True)
    elif truck is not None and row.start is not None:
        under_way = now is not None and row.start < now
        if under_way or row.pinned:
            pin = Pin(truck.id, to_minutes(row.start), started=under_way)
    if pin is None and row.pinned and row.start is not None:
        earliest, latest = _held(need, vehicles, row)
    return Request(
        need.id, need.rotation.registration, row.tank, _stand(need), options, earliest, latest, pin, row.turn
    )


def _held(need: Need, vehicles: Sequence[Vehicle], row: Service) -> tuple[float, float]:
    """Window of a service that is pinned in time but not to a truck: it starts then, with any truck."""
    start = to_minutes(row.start) if row.start is not None else need.window[0]
    option = option_of(need, need.ways[0])
    minutes = [vehicle.service_min(option) for vehicle in vehicles if vehicle.tank == row.tank]
    return max(start, need.window[0]), min(start + max(minutes, default=0.0) + 0.25, need.window[1])
