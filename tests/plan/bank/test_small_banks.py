"""Small banks against trying every plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from legtide.plan.bank.problem import Problem, water_first
from legtide.plan.bank.solver import solve
from legtide.plan.stop import AfterIterations
from support.banks import random_bank
from support.small_banks import best_value_by_enumeration


def small_bank(seed: int) -> Problem:
    """Three to four turns that all want service at once, water before toilet, roomy tanks."""
    bank = random_bank(3 + seed % 2, seed, windows="tight", trucks="scarce")
    trucks = tuple(
        replace(truck, capacity_l=9000.0, aboard_l=9000.0 if truck.tank == "fresh" else 0.0)
        for truck in bank.vehicles
    )
    first = min(request.earliest_min for request in bank.requests)
    # Pulled together in time, so that the trucks cannot do it all.
    rows = tuple(
        replace(request, earliest_min=first + shift, latest_end_min=first + shift + 29.0)
        for request in bank.requests
        for shift in [(request.earliest_min - first) * 0.15]
    )
    bank = replace(bank, requests=rows, vehicles=trucks)
    pairs = [(a, b) for a in rows for b in rows if a.group == b.group and (a.tank, b.tank) == ("fresh", "waste")]
    assert all(water_first(bank, water, toilet) for water, toilet in pairs), "the enumeration knows that order only"
    return bank


@pytest.mark.parametrize("seed", range(24))
def test_the_best_of_all_plans_of_a_small_bank_is_found(seed: int) -> None:
    bank = small_bank(seed)
    found = solve(bank, AfterIterations(600), seed)
    best = best_value_by_enumeration(bank)
    assert found.plan.figures.value == pytest.approx(best, abs=1e-6)
    assert found.bound >= best - 1e-6


def test_the_small_banks_are_not_trivial() -> None:
    short = [seed for seed in range(24) if solve(small_bank(seed), AfterIterations(50)).plan.unserved]
    assert len(short) >= 12
