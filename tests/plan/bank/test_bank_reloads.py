"""Reloads on the way: the best places against trying every choice, and what a reload takes."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product

import pytest

from legtide.plan.bank.exact import routes_from, rows_of
from legtide.plan.bank.first import first_routes
from legtide.plan.bank.reloads import place_reloads
from legtide.plan.bank.routes import Routes
from legtide.plan.bank.solver import solve
from legtide.plan.bank.ticks import Core
from legtide.plan.stop import AfterIterations
from support.banks import random_bank


def thirsty_core(seed: int) -> Core:
    """A bank whose trucks have to reload every few services."""
    bank = random_bank(9, seed, windows="loose", trucks="scarce")
    trucks = tuple(
        replace(v, capacity_l=1000.0, aboard_l=600.0 if v.tank == "fresh" else 300.0) for v in bank.vehicles
    )
    return Core(replace(bank, vehicles=trucks))


def busy_by_trying_all(routes: Routes, v: int) -> int:
    """Least busy ticks of a route over every choice of reloads that keeps the rules, other routes as they are."""
    core, best = routes.core, 1 << 40
    rows = rows_of(routes)
    for choice in product((0, 1), repeat=len(rows[v])):
        rows[v] = [(r, o, reload) for (r, o, _), reload in zip(rows[v], choice, strict=True)]
        trial = routes_from(core, rows)
        if trial is not None:
            best = min(best, trial.busy[v])
    return best


@pytest.mark.parametrize("seed", range(8))
def test_reloads_are_put_where_they_cost_least(seed: int) -> None:
    core = thirsty_core(seed)
    routes = first_routes(core)
    tried = 0
    for v in range(len(core.trucks)):
        if 0 < len(routes.stops[v]) <= 10 and any(routes.reload[r] for r in routes.stops[v]):
            place_reloads(routes, v)
            assert routes.busy[v] == busy_by_trying_all(routes, v)
            tried += 1
    assert tried >= 1


def test_a_reload_takes_its_handling_and_what_has_gone_over_the_flow() -> None:
    core = thirsty_core(1)
    plan = solve(core.problem, AfterIterations(40)).plan
    points = {point.place: point for point in core.problem.reload_points}
    seen = 0
    for run in plan.runs:
        truck = core.problem.vehicle(run.truck)
        used = truck.used_l
        for leg in run.legs:
            if leg.kind == "reload":
                minutes = points[leg.origin].minutes(used)
                assert minutes - 1e-6 <= leg.end_min - leg.start_min <= minutes + 0.5
                used, seen = 0.0, seen + 1
            elif leg.kind == "service":
                row = plan.assignment(leg.request)
                assert row is not None
                used += core.problem.request(leg.request).options[row.option].litres
    assert seen >= 2


@pytest.mark.parametrize("seed", range(6))
def test_times_kept_by_small_changes_are_those_of_a_fresh_start(seed: int) -> None:
    """Inserting, removing and undoing in random order leaves the same times as working them out anew."""
    core = Core(random_bank(12, seed, spice=seed % 2 == 0))
    routes = first_routes(core)
    rng = random.Random(f"changes-{seed}")
    for _ in range(30):
        served = [r for r, v in enumerate(routes.vehicle) if v >= 0 and not core.pinned[r]]
        if not served or not routes.remove(set(rng.sample(served, min(3, len(served))))):
            continue
        anew = routes_from(core, rows_of(routes))
        assert anew is not None
        on = [r for r, v in enumerate(routes.vehicle) if v >= 0]
        assert [routes.start[r] for r in on] == [anew.start[r] for r in on]
        assert [routes.latest[r] for r in on] == [anew.latest[r] for r in on]
        assert routes.busy == anew.busy and routes.score() == anew.score()
