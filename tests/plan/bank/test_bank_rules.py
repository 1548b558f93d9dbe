"""Every plan keeps every rule, as two checkers that were written apart see it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from legtide.plan.bank.answer import BankPlan
from legtide.plan.bank.checker import violations
from legtide.plan.bank.problem import Problem, Weights, faults
from legtide.plan.bank.solver import solve
from legtide.plan.stop import AfterIterations
from support.bank_rules import broken_rules
from support.banks import random_bank


def spiced_bank(seed: int) -> Problem:
    weights = Weights(delay_per_min=(None, 3.0)[seed % 2], ranking=("strict", "priced")[seed // 2 % 2])
    windows = ("tight", "loose")[seed % 2]
    return random_bank(4 + seed % 12, seed, spice=seed % 3 != 0, weights=weights, windows=windows)


@pytest.mark.parametrize("seed", range(0, 300, 10))
def test_plans_of_random_banks_keep_every_rule_and_the_bound(seed: int) -> None:
    for bank in map(spiced_bank, range(seed, seed + 10)):
        assert not faults(bank)
        result = solve(bank, AfterIterations(20), seed)
        assert violations(bank, result.plan) == ()
        assert broken_rules(bank, result.plan) == []
        assert result.plan.worth <= result.bound + 1e-6


@pytest.fixture(scope="module")
def solved() -> tuple[Problem, BankPlan]:
    bank = random_bank(12, 5)
    return bank, solve(bank, AfterIterations(60)).plan


def tampered(plan: BankPlan, row: int, **changes: object) -> BankPlan:
    rows = list(plan.assignments)
    rows[row] = replace(rows[row], **changes)  # type: ignore[arg-type]
    return replace(plan, assignments=tuple(rows))


def test_the_checker_sees_a_service_that_starts_too_early(solved: tuple[Problem, BankPlan]) -> None:
    bank, plan = solved
    row = plan.assignments[3]
    bad = tampered(plan, 3, start_min=row.start_min - 60.0, end_min=row.end_min - 60.0)
    assert any("before its window" in text for text in violations(bank, bad))


def test_the_checker_sees_the_wrong_kind_of_truck(solved: tuple[Problem, BankPlan]) -> None:
    bank, plan = solved
    wrong = next(v.id for v in bank.vehicles if v.tank != bank.request(plan.assignments[0].request).tank)
    assert any("handles" in text for text in violations(bank, tampered(plan, 0, truck=wrong)))


def test_the_checker_sees_a_tank_that_runs_out(solved: tuple[Problem, BankPlan]) -> None:
    bank, plan = solved
    dry = tuple(replace(v, aboard_l=0.0 if v.tank == "fresh" else v.capacity_l) for v in bank.vehicles)
    assert any("would use" in text for text in violations(replace(bank, vehicles=dry), plan))


def test_the_checker_sees_an_early_end_of_the_shift(solved: tuple[Problem, BankPlan]) -> None:
    bank, plan = solved
    short = tuple(replace(v, shift_end_min=plan.assignments[-1].start_min) for v in bank.vehicles)
    assert any("shift ends" in text for text in violations(replace(bank, vehicles=short), plan))


def test_the_checker_sees_a_break_worked_through(solved: tuple[Problem, BankPlan]) -> None:
    bank, plan = solved
    row = plan.assignments[0]
    trucks = tuple(
        replace(v, breaks=((row.start_min, row.end_min),)) if v.id == row.truck else v for v in bank.vehicles
    )
    assert any("has its break" in text for text in violations(replace(bank, vehicles=trucks), plan))


def test_the_checker_sees_two_services_at_one_aircraft_at_once(solved: tuple[Problem, BankPlan]) -> None:
    bank, plan = solved
    rows = {row.request: row for row in plan.assignments}
    pair = next((a, b) for a in rows for b in rows if a.replace("fresh", "waste") == b and a != b)
    water, toilet = rows[pair[0]], rows[pair[1]]
    at = plan.assignments.index(toilet)
    length = toilet.end_min - toilet.start_min
    bad = tampered(plan, at, start_min=water.start_min, end_min=water.start_min + length)
    assert any("does not come before" in text for text in violations(bank, bad))


def test_the_checker_sees_a_request_that_is_lost(solved: tuple[Problem, BankPlan]) -> None:
    bank, plan = solved
    assert any("stands 0 times" in text for text in violations(bank, replace(plan, assignments=plan.assignments[1:])))


def test_the_checker_sees_drives_that_the_truck_cannot_make(solved: tuple[Problem, BankPlan]) -> None:
    bank, plan = solved
    far = tuple(tuple(0.0 if a == b else 9.0 for b in bank.places) for a in bank.places)
    found = violations(replace(bank, travel_min=far), plan)
    assert any("cannot be there" in text for text in found) and any("drive is too short" in text for text in found)


def test_the_checker_sees_figures_that_are_not_the_plans(solved: tuple[Problem, BankPlan]) -> None:
    bank, plan = solved
    bad = replace(plan, figures=replace(plan.figures, value=plan.figures.value + 1.0))
    assert violations(bank, bad) == ("figures: they are not those of the assignments",)
