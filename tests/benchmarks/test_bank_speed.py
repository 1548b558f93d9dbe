"""Speed and quality of the truck planner; run with `-m benchmark -s` (about five minutes).

For banks of 10 to 80 turns with loose, tight and scarce trucks: seconds to the first answer, to 1 % below the best
value seen, to proof (where the extra `exact` is installed, at most 30 s); value lost by the dispatchers' rules and by
the first answer; assignments of other aircraft that change after a slip of 20 minutes. Then what one plan for small
networks gains over each station planned for itself, and the seconds for the demo's bank with few trucks.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import pytest

from legtide.day.document import Day
from legtide.day.edits import change_station
from legtide.engine.projection import project
from legtide.files.day_file import load
from legtide.plan.bank.answer import BankPlan
from legtide.plan.bank.exact import ExactHelper, exact_available
from legtide.plan.bank.first import by_due, by_value, dispatch, first_routes, pinned_routes
from legtide.plan.bank.problem import Problem
from legtide.plan.bank.replan import replan, started_by
from legtide.plan.bank.report import plan_of
from legtide.plan.bank.routes import Routes
from legtide.plan.bank.solver import Progress, solve
from legtide.plan.bank.ticks import Core
from legtide.plan.network import plan_network
from legtide.plan.station import plan_station
from legtide.plan.stop import AfterIterations, AfterSeconds, AnyOf, GapBelow
from legtide.shipped import demo_days
from support.banks import random_bank
from support.networks import burden_of_day, small_network, worked

pytestmark = [pytest.mark.benchmark, pytest.mark.timeout(1800)]

BANKS = [(turns, windows, trucks) for turns in (10, 20, 40, 80) for windows, trucks in
         (("loose", "enough"), ("tight", "enough"), ("tight", "scarce"))]  # fmt: skip
SEARCH_S = 12.0
PROOF_S = 30.0
NETWORKS = range(30)
COLUMNS = "bank", "requests", "first s", "within 1 % s", "proof s", "gap %", "EDF -%", "risk -%", "first -%", "slip"


@dataclass
class Trace:
    """Values of the best plan over time."""

    points: list[tuple[float, float]]

    def hear(self, progress: Progress) -> None:
        self.points.append((progress.state.seconds, progress.plan.figures.value))

    def reached(self, value: float) -> float:
        return next(seconds for seconds, found in self.points if found >= value)


def lost(best: float, value: float) -> str:
    return f"{100.0 * (1.0 - value / best):.1f}"


def greedy(bank: Problem, rule: Callable[[Routes], None]) -> float:
    routes = pinned_routes(Core(bank))
    rule(routes)
    return plan_of(routes).figures.value


def proof_s(bank: Problem) -> str:
    if not exact_available():
        return "-"
    helper = ExactHelper(600.0)
    helper.start()
    try:
        result = solve(bank, AnyOf(GapBelow(0.0), AfterSeconds(PROOF_S)), exact=helper)
    finally:
        helper.close()
    return f"{result.seconds:.1f}" if result.gap == 0.0 else f"> {PROOF_S:.0f}"


def changed_by_a_slip(bank: Problem, old: BankPlan) -> str:
    now = 70.0
    later = [row for row in old.assignments if row.start_min > now + 5.0]
    if not later:
        return "-"
    aircraft = bank.request(later[0].request).aircraft
    fixed = started_by(bank, old, now)
    rows = tuple(
        replace(r, earliest_min=r.earliest_min + 20.0, latest_end_min=r.latest_end_min + 20.0)
        if r.aircraft == aircraft and r.pin is None
        else r
        for r in fixed.requests
    )
    late = replace(fixed, requests=rows)
    changes = replan(late, old, AfterIterations(300)).changes
    others = [change for change in changes if late.request(change.request).aircraft != aircraft]
    return f"{len(others)} of {len(old.assignments)}"


def measured(turns: int, windows: str, trucks: str) -> tuple[str, ...]:
    bank = random_bank(turns, 1, windows=windows, trucks=trucks)
    begun = time.perf_counter()
    first = plan_of(first_routes(Core(bank))).figures.value
    first_s = time.perf_counter() - begun
    trace = Trace([])
    result = solve(bank, AnyOf(AfterSeconds(SEARCH_S), GapBelow(0.0)), on_progress=trace.hear)
    best = result.plan.figures.value
    trace.points.append((result.seconds, best))
    return (
        f"{turns} {windows}, {trucks}",
        str(len(bank.requests)),
        f"{first_s:.3f}",
        f"{trace.reached(0.99 * best):.2f}",
        proof_s(bank) if turns <= 20 else "-",
        f"{100.0 * result.gap:.1f}",
        lost(best, min(greedy(bank, dispatch), greedy(bank, by_due))),
        lost(best, greedy(bank, by_value)),
        lost(best, first),
        changed_by_a_slip(bank, result.plan),
    )


def test_print_the_table_of_the_truck_planner() -> None:
    rows = [COLUMNS, *(measured(*bank) for bank in BANKS)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(COLUMNS))]
    print()
    for row in rows:
        print("  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)))
    assert len(rows) == len(BANKS) + 1


def each_station_for_itself(day: Day) -> Day:
    for station in day.stations:
        if station.trucks:
            day = plan_station(day, station.code, stop=AfterIterations(40)).day
    return day


def beyond(day: Day) -> float:
    """Risk beyond the limit, added up over all legs, with the services that trucks really do."""
    limit = day.policy.risk_limit.value
    return sum(
        max(0.0, risk - limit)
        for found in project(worked(day)).aircraft.values()
        for leg in found.legs
        for risk in (leg.risk_fresh_below_reserve, leg.risk_waste_over_limit)
    )


def test_print_what_one_plan_for_a_network_gains() -> None:
    better, sums = 0, [0.0, 0.0]
    for seed in NETWORKS:
        day = small_network(seed, 2 + seed % 3, 3)
        alone, together = each_station_for_itself(day), plan_network(day).day
        better += burden_of_day(worked(together)) < burden_of_day(worked(alone)) - 0.01
        sums = [total + beyond(row) for total, row in zip(sums, (alone, together), strict=True)]
    print(f"\nnetworks better planned together: {better} of {len(NETWORKS)}")
    print(f"risk beyond the limit, all networks: {sums[0]:.2f} each station for itself, {sums[1]:.2f} together")
    assert sums[1] <= sums[0]


@pytest.mark.parametrize("kept", [6, 2])
def test_print_the_seconds_of_the_demo_banks_network(kept: int) -> None:
    day = load(demo_days() / "bank.day.json").day
    home = next(station for station in day.stations if station.trucks)
    first = [next(truck for truck in home.trucks if truck.tank == tank) for tank in ("fresh", "waste")]
    day = change_station(day, home.code, trucks=home.trucks if kept == 6 else tuple(first))
    begun = time.perf_counter()
    plan = plan_network(day)
    print(f"\n{kept} trucks: {time.perf_counter() - begun:.1f} s, {plan.status}, {len(plan.moves)} moved")
    assert plan.bound <= plan.cost + 1e-6
