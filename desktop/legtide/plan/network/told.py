"""A station's plan found by the network's search, told as a station's plan: figures, bound, reasons."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from legtide.day.document import Day
from legtide.day.rotations import stations
from legtide.engine.projection import project
from legtide.language import tr
from legtide.plan.bank.answer import BankPlan, BankResult, Unserved, gap_of
from legtide.plan.bank.bound import bound_of
from legtide.plan.bank.report import figures_of, worth_of
from legtide.plan.bank.unserved import explain_beside
from legtide.plan.network.banks import Bank
from legtide.plan.station.bridge import StationProblem, bank_of
from legtide.plan.station.needs import Need, station_needs


def as_told(day: Day, bank: Bank, left: Iterable[Need], now: datetime | None) -> tuple[StationProblem, BankResult]:
    """The plan with each service at the risk that it avoids, all others of the day being done.

    `left` are needs that the day no longer has, or has without a truck: they are named as unserved.
    """
    code, left = bank.station.station, tuple(left)
    out = {need.id for need in left}
    kept = [need for need in station_needs(day, project(day), code, propose=False) if need.id not in out]
    found = bank_of(day, stations(day)[code], [*kept, *left], now)
    figures = figures_of(found.problem, bank.plan.assignments, bank.plan.runs)
    served = {row.request for row in bank.plan.assignments}
    unserved = tuple(
        explain_beside(found.problem, bank.plan, request.id)
        for request in found.problem.requests
        if request.id not in served
    )
    plan = replace(bank.plan, unserved=unserved, figures=figures, worth=worth_of(found.problem, figures))
    bound = sum(request.best_value for request in found.problem.requests)
    if unserved:
        bound = min(bound, bound_of(found.problem, plan.worth))
    gap = gap_of(plan.worth, bound)
    return found, BankResult(plan, bound, gap, "optimal" if gap == 0.0 else "feasible", 0, 0.0, "planned together")


def beside(day: Day, found: StationProblem, plan: BankPlan, need: Need, now: datetime | None) -> Unserved:
    """Why a station's trucks cannot serve one more need beside what they do."""
    others = [row for row in found.needs.values() if row.id != need.id]
    asked = bank_of(day, stations(day)[found.station], [*others, need], now)
    kept = tuple(row for row in plan.assignments if row.request != need.id)
    left = explain_beside(asked.problem, replace(plan, assignments=kept), need.id)
    if left.reason != "not_worth":
        return left
    return replace(left, text=tr("all aircraft together are better off this way"))
