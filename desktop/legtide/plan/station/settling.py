"""A plan held against the day that comes of it.

What a fill takes depends on the services before it: a plan that leaves one out or makes it shorter leaves more to the
later ones than it reckoned with. Where trucks have no time or room for that, they are planned again with it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from legtide.day.document import Day
from legtide.engine.projection import project
from legtide.engine.types import Projection
from legtide.plan.bank.answer import BankPlan, BankResult
from legtide.plan.bank.problem import Request
from legtide.plan.bank.solver import solve
from legtide.plan.bank.ticks import Reference
from legtide.plan.station.apply import apply_station_plan
from legtide.plan.station.bridge import StationProblem, option_of
from legtide.plan.station.conflicts import station_troubles
from legtide.plan.station.needs import Need, litres_to_plan
from legtide.plan.stop import AfterIterations

_ROUNDS = 8
_STEPS = 40


def settled(
    day: Day,
    projection: Projection,
    found: StationProblem,
    result: BankResult,
    seed: int = 0,
    reference: Reference | None = None,
) -> tuple[StationProblem, BankResult, Day]:
    """A plan that its trucks can work in the day with it, the problem that it answers, and that day."""
    for _ in range(_ROUNDS):
        after = apply_station_plan(day, found, result.plan)
        seen = project(after, projection)
        if not station_troubles(after, seen, found.station):
            return found, result, after
        raised = _raised(found, result.plan, seen)
        if raised is found:
            return found, result, after
        found = raised
        result = solve(found.problem, AfterIterations(_STEPS), seed, result.plan, None, reference)
    return found, result, apply_station_plan(day, found, result.plan)


def _raised(found: StationProblem, plan: BankPlan, seen: Projection) -> StationProblem:
    """The problem with each chosen way at no less than the litres that the day with the plan has for it."""
    known = {
        (name, row.service.turn, row.service.tank): row for name, one in seen.aircraft.items() for row in one.services
    }
    more: dict[str, tuple[int, float]] = {}
    for row in plan.assignments:
        need = found.needs[row.request]
        result = known.get((need.rotation.registration, need.service.turn, need.service.tank))
        if result is not None and litres_to_plan(result) > need.ways[row.option].litres:
            more[row.request] = row.option, litres_to_plan(result)
    if not more:
        return found
    needs = {key: _with_litres(need, *more[key]) if key in more else need for key, need in found.needs.items()}
    requests = tuple(_request(row, needs, more) for row in found.problem.requests)
    return replace(found, problem=replace(found.problem, requests=requests), needs=needs)


def _with_litres(need: Need, option: int, litres: float) -> Need:
    ways = tuple(replace(way, litres=litres) if n == option else way for n, way in enumerate(need.ways))
    return replace(need, ways=ways)


def _request(request: Request, needs: Mapping[str, Need], more: Mapping[str, tuple[int, float]]) -> Request:
    if request.id not in more:
        return request
    need, (changed, _) = needs[request.id], more[request.id]
    options = tuple(
        option_of(need, need.ways[n]) if n == changed else option for n, option in enumerate(request.options)
    )
    return replace(request, options=options)
