"""The optional exact solver beside the search, and a general routing solver as second opinion."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from typing import Any

import pytest

from legtide.plan.bank.checker import violations
from legtide.plan.bank.exact import ExactHelper, exact_available, routes_from, rows_of
from legtide.plan.bank.first import first_routes
from legtide.plan.bank.problem import Problem
from legtide.plan.bank.solver import solve
from legtide.plan.bank.ticks import Core
from legtide.plan.stop import AfterIterations, AfterSeconds, AnyOf, GapBelow
from support.banks import random_bank

needs_exact = pytest.mark.skipif(not exact_available(), reason="the extra `exact` is not installed")


@needs_exact
@pytest.mark.parametrize("seed", [2, 4])
def test_small_banks_are_proven_and_the_search_was_right(seed: int) -> None:
    bank = random_bank(7, seed)
    alone = solve(bank, AfterIterations(1500))
    helper = ExactHelper(20.0)
    try:
        proven = solve(bank, AnyOf(GapBelow(0.0), AfterSeconds(60.0)), exact=helper)
    finally:
        helper.close()
    assert proven.status == "optimal" and violations(bank, proven.plan) == ()
    assert alone.plan.worth >= proven.plan.worth * (1.0 - 1e-3)
    assert proven.bound <= alone.bound + 0.01


@needs_exact
def test_the_helper_can_be_closed_while_it_works_and_asked_again() -> None:
    bank = random_bank(20, 2)
    core = Core(bank)
    helper = ExactHelper(500.0)
    try:
        helper.ask(bank, first_routes(core))
        helper.close()
        assert helper.poll() == []
        small = random_bank(6, 2)
        helper.ask(small, first_routes(Core(small)))
        findings = []
        for _ in range(120):
            findings += helper.poll(0.5)
            if findings and findings[-1].done:
                break
        assert findings[-1].done
    finally:
        helper.close()


def test_the_large_library_is_not_imported_by_planning() -> None:
    code = "import sys, legtide.plan.bank.solver, legtide.plan.station; print('ortools' in sys.modules)"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "False"


def test_routes_as_numbers_come_back_as_they_were() -> None:
    core = Core(random_bank(12, 7))
    routes = first_routes(core)
    again = routes_from(core, rows_of(routes))
    assert again is not None and again.score() == routes.score() and again.start == routes.start
    late = rows_of(routes)
    late[0] = late[0][::-1]
    assert routes_from(core, late) is None


def one_kind(seed: int) -> Problem:
    """Water services only, one way to do each, tanks that hold all: what a general solver knows as well."""
    bank = random_bank(24, seed)
    trucks = tuple(replace(v, capacity_l=9e4, aboard_l=9e4) for v in bank.vehicles if v.tank == "fresh")
    rows = tuple(replace(r, options=r.options[:1]) for r in bank.requests if r.tank == "fresh")
    return replace(bank, requests=rows, vehicles=trucks)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_general_routing_solver_does_no_better_on_one_kind(seed: int) -> None:
    """PyVRP (N. A. Wouda, L. Lan, W. Kool, INFORMS J. Comput. 36 (2024) 943-955), prizes for values, 15 s ticks."""
    pyvrp = pytest.importorskip("pyvrp")
    bank = one_kind(seed)
    ours = solve(bank, AfterIterations(1500)).plan.figures.value
    other = _value_by_pyvrp(pyvrp, Core(bank))
    assert ours >= 0.995 * other
    assert other >= 0.97 * ours, "the two do not solve the same bank"


def _value_by_pyvrp(pyvrp: Any, core: Core) -> float:
    """Value served by PyVRP in 2,000 iterations: prizes in hundredths far above the ticks driven."""
    scale = 100
    model = pyvrp.Model()
    places = [model.add_location(0, 0) for _ in core.problem.places]
    for row, a in zip(core.travel, places, strict=True):
        for ticks, b in zip(row, places, strict=True):
            model.add_edge(a, b, distance=ticks, duration=ticks)
    base = model.add_depot(places[0])
    for truck in core.trucks:
        model.add_vehicle_type(1, start_depot=base, end_depot=base, tw_early=truck.start, tw_late=truck.end)
    for r, request in enumerate(core.requests):
        ticks = min(core.duration[v][r][0] for v in core.allowed[r])
        model.add_client(
            places[core.location[r]],
            service_duration=ticks,
            tw_early=core.earliest[r],
            tw_late=core.due[r] - ticks,
            prize=round(scale * request.options[0].value),
            required=False,
        )
    found = model.solve(pyvrp.stop.MaxIterations(2000), seed=1, display=False)
    assert found.is_feasible()
    return float(found.best.prizes()) / scale
