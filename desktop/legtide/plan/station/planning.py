"""One press for a station: problem, plan, and the day with the plan in it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from legtide.day.document import Day
from legtide.engine.projection import project
from legtide.engine.types import Projection, to_minutes
from legtide.plan.bank.answer import Assignment, BankPlan, BankResult, Figures
from legtide.plan.bank.exact import ExactHelper
from legtide.plan.bank.replan import Change, changes, reference_to, replan
from legtide.plan.bank.solver import PATIENT, Progress, solve
from legtide.plan.station.bridge import StationProblem, station_problem
from legtide.plan.station.moves import Move
from legtide.plan.station.needs import Need
from legtide.plan.station.settling import settled
from legtide.plan.stop import AfterIterations, Stop


@dataclass(frozen=True, slots=True)
class StationPlan:
    """A station's plan, the problem that it answers, and the day with it."""

    station: StationProblem
    result: BankResult
    day: Day
    changes: tuple[Change, ...] = ()
    """What a re-plan changed; empty for a plan from scratch."""
    moves: tuple[Move, ...] = ()
    """Services that the trucks are too short for, planned at other turns here or elsewhere."""


def plan_station(
    day: Day,
    station: str,
    *,
    projection: Projection | None = None,
    now: datetime | None = None,
    propose: bool = True,
    stop: Stop = PATIENT,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    exact: ExactHelper | None = None,
) -> StationPlan:
    """Plans a station's trucks. The projection is made anew where none is given.

    Raises KeyError for a station that the day does not list.
    """
    projection = projection or project(day)
    found = station_problem(day, projection, station, now=now, propose=propose)
    result = solve(found.problem, stop, seed, None, on_progress, exact=exact)
    return StationPlan(*settled(day, projection, found, result, seed))


def replan_station(
    day: Day,
    station: str,
    *,
    projection: Projection | None = None,
    now: datetime | None = None,
    stop: Stop | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
) -> StationPlan:
    """Mends the plan that the day holds (its services' trucks and starts) after the day has changed.

    Nothing is proposed that the day does not have; services without a truck are put in where they fit.
    """
    projection = projection or project(day)
    found = station_problem(day, projection, station, now=now, propose=False)
    old = plan_in_day(found)
    answer = replan(found.problem, old, stop or AfterIterations(400), seed, on_progress)
    found, result, after = settled(day, projection, found, answer.result, seed, reference_to(old))
    return StationPlan(found, result, after, changes(found.problem, old, result.plan))


def plan_in_day(station: StationProblem) -> BankPlan:
    """The assignments that the day's services hold, whether they still work or not: a plan to start from."""
    trucks = {vehicle.id: vehicle for vehicle in station.problem.vehicles}
    rows = []
    for request in station.problem.requests:
        need = station.needs[request.id]
        truck = trucks.get(need.service.truck or "")
        if truck is not None and truck.tank == request.tank and need.service.start is not None:
            option = _option_in_day(need)
            start = to_minutes(need.service.start)
            end = start + truck.service_min(request.options[option])
            rows.append(Assignment(request.id, option, truck.id, start, end))
    rows.sort(key=lambda row: (row.start_min, row.truck, row.request))
    return BankPlan(tuple(rows), (), (), Figures(0.0, 0.0, 0.0, 0.0), 0.0)


def _option_in_day(need: Need) -> int:
    targets = [way.target_percent for way in need.ways]
    return targets.index(need.service.target) if need.service.target in targets else 0
