"""A slip re-plans with few changes, and what has started stays."""

from __future__ import annotations

from dataclasses import replace

import pytest

from legtide.plan.bank.answer import BankPlan
from legtide.plan.bank.checker import violations
from legtide.plan.bank.problem import Problem
from legtide.plan.bank.replan import Replan, replan, started_by
from legtide.plan.bank.solver import solve
from legtide.plan.stop import AfterIterations
from support.bank_rules import broken_rules
from support.banks import random_bank

NOW = 70.0


def slipped(bank: Problem, aircraft: str, minutes: float) -> Problem:
    rows = tuple(
        replace(r, earliest_min=r.earliest_min + minutes, latest_end_min=r.latest_end_min + minutes)
        if r.aircraft == aircraft and r.pin is None
        else r
        for r in bank.requests
    )
    return replace(bank, requests=rows)


def after_a_slip(seed: int, minutes: float = 20.0) -> tuple[BankPlan, Problem, str, Replan]:
    bank = random_bank(20, seed)
    old = solve(bank, AfterIterations(300)).plan
    aircraft = next(bank.request(row.request).aircraft for row in old.assignments if row.start_min > NOW + 5.0)
    late = slipped(started_by(bank, old, NOW), aircraft, minutes)
    return old, late, aircraft, replan(late, old)


@pytest.mark.parametrize("seed", range(6))
def test_a_slip_of_twenty_minutes_changes_few_other_assignments(seed: int) -> None:
    old, late, aircraft, new = after_a_slip(seed)
    assert violations(late, new.result.plan) == () and broken_rules(late, new.result.plan) == []
    others = [change for change in new.changes if late.request(change.request).aircraft != aircraft]
    scratch = solve(late, AfterIterations(400), seed=seed + 1).plan
    assert len(others) <= max(4, len(old.assignments) // 2)
    assert len([c for c in others if c.kind == "truck"]) <= 2
    assert new.result.plan.figures.value >= 0.9 * scratch.figures.value


@pytest.mark.parametrize("seed", range(6))
def test_what_has_started_is_not_touched(seed: int) -> None:
    old, _, _, new = after_a_slip(seed)
    started = [row for row in old.assignments if row.start_min < NOW]
    assert started
    for row in started:
        kept = new.result.plan.assignment(row.request)
        assert kept is not None and (kept.truck, kept.start_min, kept.option) == (
            row.truck,
            row.start_min,
            row.option,
        )
    free = [row for row in new.result.plan.assignments if row.request not in {s.request for s in started}]
    assert all(row.start_min >= NOW for row in free)


def test_nothing_changes_when_nothing_has_happened() -> None:
    bank = random_bank(20, 3)
    old = solve(bank, AfterIterations(600)).plan
    assert replan(bank, old, AfterIterations(0)).changes == ()


def test_each_change_says_what_and_why() -> None:
    old, late, aircraft, new = after_a_slip(1, minutes=45.0)
    assert new.changes
    before = {row.request: row for row in old.assignments}
    for change in new.changes:
        assert change.before == before.get(change.request)
        assert change.after == new.result.plan.assignment(change.request)
        assert change.why
    slips = [c.why for c in new.changes if late.request(c.request).aircraft == aircraft]
    assert any("window" in why for why in slips)


def test_a_reference_is_held_to_the_tick_where_it_can_be() -> None:
    bank = random_bank(10, 4, windows="loose", trucks="enough")
    old = solve(bank, AfterIterations(50)).plan
    later = replace(old, assignments=tuple(
        replace(row, start_min=row.start_min + 2.0, end_min=row.end_min + 2.0) if row.truck == "waste 0" else row
        for row in old.assignments
    ))  # fmt: skip
    new = replan(bank, later, AfterIterations(0))
    assert new.changes == ()


def test_a_stop_is_not_held_where_that_pushes_those_after_it() -> None:
    """Forty turns with time and trucks enough, one of them 20 minutes late: hardly another service moves."""
    bank = random_bank(40, 1, windows="loose", trucks="enough")
    old = solve(bank, AfterIterations(400)).plan
    aircraft = next(bank.request(row.request).aircraft for row in old.assignments if row.start_min > NOW + 5.0)
    late = slipped(started_by(bank, old, NOW), aircraft, 20.0)
    mended = replan(late, old, AfterIterations(300))
    assert violations(late, mended.result.plan) == ()
    assert sum(late.request(row.request).aircraft != aircraft for row in mended.changes) <= 6
