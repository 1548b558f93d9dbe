"""A station's plan as plain rows: the JSON of `legtide plan --station`."""

from __future__ import annotations

from typing import Any

from legtide.engine.projection import project
from legtide.engine.types import to_datetime, utc_text
from legtide.plan.bank.problem import Problem, Request
from legtide.plan.rotation.report import service_entry
from legtide.plan.station.elsewhere import elsewhere
from legtide.plan.station.needs import Need
from legtide.plan.station.planning import StationPlan

_CENT = 0.01
"""Costs nearer than this are the same: values are rounded to it in the search."""


def _utc(minutes: float) -> str:
    return utc_text(to_datetime(minutes))


def _named(need: Need, station: str) -> dict[str, Any]:
    return {
        "registration": need.rotation.registration,
        "turn": need.service.turn,
        "station": station,
        "tank": need.service.tank,
    }


def station_rows(plan: StationPlan) -> dict[str, Any]:
    """The document that `legtide plan DAY --station STN --json` prints.

    `cost` is the services' price and the truck minutes at theirs, plus the risk that is left unavoided; no plan of
    the station costs less than `bound`. Drives are not in the bound, so that a plan in which trucks drive is told
    as `optimal` only where driving has no price; that no plan avoids more risk is the solver's own gap.
    """
    code, bank, result = plan.station.station, plan.result.plan, plan.result
    needs = plan.station.needs
    served = []
    for row in bank.assignments:
        need = needs[row.request]
        served.append(
            {
                **_named(need, code),
                "target_percent": need.ways[row.option].target_percent,
                "start": _utc(row.start_min),
                "end": _utc(row.end_min),
                "truck": row.truck,
            }
        )
    served += [service_entry(row) for move in plan.moves for row in move.instead if row.start is not None]
    others = elsewhere(plan)
    unserved = [
        {**_named(needs[row.request], code), "reason": "; ".join([row.text, *map(str, others[row.request][:1])])}
        for row in bank.unserved
    ]
    problem = plan.station.problem
    at_stake = sum(request.best_value for request in problem.requests)
    cost = at_stake - result.plan.worth + bank.figures.cost + problem.weights.truck_per_min * bank.figures.truck_min
    bound = min(cost, max(at_stake - result.bound, sum(_least(problem, request) for request in problem.requests)))
    return {
        "format": "legtide-plan",
        "version": 1,
        "status": "optimal" if cost - bound <= _CENT else "feasible",
        "cost": round(cost, 4),
        "bound": round(max(0.0, bound), 4),
        "worst_risk": _worst_risk(plan),
        "services": served,
        "unserved": unserved,
    }


def _least(problem: Problem, request: Request) -> float:
    """What a request costs at least: the risk that is left, or a service with the truck that is quickest at it."""
    trucks = [row for row in problem.vehicles if row.tank == request.tank]
    ways = [request.best_value]
    for option in request.options if trucks else ():
        minutes = min(truck.service_min(option) for truck in trucks)
        price = option.cost + problem.weights.truck_per_min * minutes
        ways.append(request.best_value - option.value + price)
    return min(ways)


def _worst_risk(plan: StationPlan) -> float:
    """Largest risk of any leg of the aircraft that turn at the station, with the plan in the day."""
    wanted = {need.rotation.registration for need in plan.station.needs.values()}
    legs = [leg for name, row in project(plan.day).aircraft.items() if name in wanted for leg in row.legs]
    return max((max(leg.risk_fresh_below_reserve, leg.risk_waste_over_limit) for leg in legs), default=0.0)
