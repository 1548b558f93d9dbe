"""Small invented networks, and their best plans by trying every set of services and every order of the trucks."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from itertools import chain, combinations, product

import numpy as np

from legtide.day.document import TANKS, Day, Figure, Fit, Place, Service, Span, Station, Tank, Truck
from legtide.day.edits import number_services, rebuilt, replace_services
from legtide.day.rotations import rotations, stations
from legtide.engine.projection import project, project_rotations
from legtide.engine.types import AircraftProjection
from legtide.plan.rotation.proposal import account
from legtide.plan.station.bridge import bank_of
from legtide.plan.station.needs import planned_needs
from support.days import MORNING, rotation_day
from support.small_banks import best_value_by_enumeration

BEYOND = 1e6
"""Price of a unit of risk beyond the limit: above everything else."""
Pattern = tuple[Service, ...]


def small_network(
    seed: int, aircraft: int = 3, legs: int = 4, *, trucks: tuple[str, ...] = ("ABLE", "BAKE"), drive: float = 12.0
) -> Day:
    """Rotations between ABLE and BAKE that turn nearly at once, with one slow truck of each kind at some stations."""
    rng = np.random.default_rng(seed)
    hours = [int(minutes) / 60.0 for minutes in rng.integers(84, 156, legs)]
    # A fill takes as long for few litres as for many: what is done at one turn changes no time at another.
    fit = Fit(id="f", fill_flow_l_per_min=Figure(value=1e4), connect_min=Figure(value=7.0))
    day = rotation_day(hours, legs, 0.9, aircraft=aircraft, ground_min=float(rng.integers(32, 46)), fit=fit)
    apart = [timedelta(minutes=int(rng.integers(0, 12))) for _ in range(aircraft)]
    rows = tuple(
        rebuilt(leg, std=leg.std + apart[n], sta=leg.sta + apart[n], stand=f"S{n}")
        for leg in day.legs
        for n in [int(leg.aircraft.removeprefix("QX-"))]
    )
    return rebuilt(
        day, legs=rows, stations=tuple(_station(code, code in trucks, aircraft, drive) for code in ("ABLE", "BAKE"))
    )


def _station(code: str, has_trucks: bool, aircraft: int, drive: float) -> Station:
    shift = Span(start=MORNING - timedelta(hours=6), end=MORNING + timedelta(hours=30))
    trucks = tuple(
        Truck(id=f"{code}-{name}", tank=tank, capacity_l=9000.0, shift=shift, start_place="B")
        for tank, name in (("fresh", "W"), ("waste", "T"))
    )
    places = (*(Place(id=f"S{n}") for n in range(aircraft)), Place(id="B", kind="base"))
    return Station(code=code, places=places, default_travel_min=drive, trucks=trucks if has_trucks else ())


def burden(day: Day, projection: AircraftProjection) -> float:
    """What one aircraft comes to: services, fuel and risk, and risk beyond the limit above all."""
    limit = day.policy.risk_limit.value
    risks = [r for leg in projection.legs for r in (leg.risk_fresh_below_reserve, leg.risk_waste_over_limit)]
    beyond = sum(max(0.0, risk - limit) for risk in risks)
    return account(day, projection, 0, stations(day)).costs.total + BEYOND * beyond


def worked(day: Day) -> Day:
    """The day without the services that nobody does: planned ones without a truck where there are trucks."""
    known, places = rotations(day), stations(day)
    return replace_services(
        day,
        [
            row
            for row in day.services
            if row.truck is not None or not places[known[row.aircraft].turns[row.turn].station].trucks
        ],
    )


def burden_of_day(day: Day) -> float:
    """All aircraft together."""
    return sum(burden(day, found) for found in project(day).aircraft.values())


def least_burden(day: Day) -> float:
    """The least that any plan of whole services comes to that the trucks can work."""
    choices = [_patterns(day, name) for name in rotations(day)]
    feasible: dict[tuple[str, tuple[tuple[str, int, Tank], ...]], bool] = {}
    for total, picks in _by_total(choices):
        rows = tuple(chain.from_iterable(picks))
        if all(_can_work(day, station, rows, feasible) for station in day.stations if station.trucks):
            return total
    raise AssertionError("no services at all can always be worked")


def _patterns(day: Day, name: str) -> list[tuple[float, Pattern]]:
    """Sets of services worth having: none with another that has less of them and costs no more."""
    rotation = rotations(day)[name]
    spots = [(turn, tank) for turn in range(len(rotation.legs)) for tank in TANKS]
    sets = list(chain.from_iterable(combinations(spots, n) for n in range(len(spots) + 1)))
    rows = [tuple(Service(aircraft=name, turn=turn, tank=tank) for turn, tank in chosen) for chosen in sets]
    found = project_rotations(day, [replace(rotation, services=services) for services in rows])
    kept: list[tuple[float, Pattern, frozenset[tuple[int, Tank]]]] = []
    for chosen, services, projection in zip(sets, rows, found, strict=True):
        cost = burden(day, projection)
        if not any(less <= cost and spots_of < set(chosen) for less, _, spots_of in kept):
            kept.append((cost, services, frozenset(chosen)))
    return sorted(((cost, services) for cost, services, _ in kept), key=lambda row: row[0])


def _by_total(choices: list[list[tuple[float, Pattern]]]) -> Iterator[tuple[float, list[Pattern]]]:
    """All combinations, the cheapest first."""
    start = (0,) * len(choices)
    waiting = [(sum(rows[0][0] for rows in choices), start)]
    seen = {start}
    while waiting:
        total, at = heapq.heappop(waiting)
        yield total, [rows[i][1] for rows, i in zip(choices, at, strict=True)]
        for place, rows in enumerate(choices):
            following = (*at[:place], at[place] + 1, *at[place + 1 :])
            if following[place] < len(rows) and following not in seen:
                seen.add(following)
                heapq.heappush(
                    waiting, (sum(row[i][0] for row, i in zip(choices, following, strict=True)), following)
                )


def _can_work(
    day: Day,
    station: Station,
    rows: tuple[Service, ...],
    known: dict[tuple[str, tuple[tuple[str, int, Tank], ...]], bool],
) -> bool:
    turns = {name: rotation.turns for name, rotation in rotations(day).items()}
    here = tuple(row for row in rows if turns[row.aircraft][row.turn].station == station.code)
    key = (station.code, tuple((row.aircraft, row.turn, row.tank) for row in here))
    if key not in known:
        known[key] = all(_served(day, station, list(part), rows) for part in _apart(day, here))
    return known[key]


def _apart(day: Day, rows: tuple[Service, ...]) -> list[list[Service]]:
    """Services in groups that lie so far apart in time that the trucks are back at their base between them."""
    turns = {name: rotation.turns for name, rotation in rotations(day).items()}
    groups: dict[int, list[Service]] = {}
    for row in rows:
        groups.setdefault(row.turn, []).append(row)
    ends = {n: max(turns[row.aircraft][n].end or MORNING for row in group) for n, group in groups.items()}
    for n, m in product(groups, groups):
        if n < m:
            first = min(turns[row.aircraft][m].start or MORNING + timedelta(days=9) for row in groups[m])
            assert first - ends[n] > timedelta(minutes=45), "groups would share a truck"
    return list(groups.values())


def _served(day: Day, station: Station, part: list[Service], rows: tuple[Service, ...]) -> bool:
    trial = number_services(rebuilt(day, services=rows))
    wanted = {(row.aircraft, row.turn, row.tank) for row in part}
    needs = [
        need
        for need in planned_needs(trial, project(trial), station.code)
        if (need.service.aircraft, need.service.turn, need.service.tank) in wanted
    ]
    problem = bank_of(trial, station, needs).problem
    vehicles = tuple(replace(vehicle, end_place=None) for vehicle in problem.vehicles)
    return (
        best_value_by_enumeration(replace(problem, vehicles=vehicles))
        >= sum(request.best_value for request in problem.requests) - 1e-6
    )
