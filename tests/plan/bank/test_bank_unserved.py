"""What is left out has a reason, and the way out that is named works."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from legtide.plan.bank.answer import BankPlan
from legtide.plan.bank.checker import violations
from legtide.plan.bank.problem import Pin, Problem, Vehicle
from legtide.plan.bank.solver import solve
from legtide.plan.stop import AfterIterations
from support.banks import random_bank

SEEDS = range(6)


def solved(seed: int) -> tuple[Problem, BankPlan]:
    bank = random_bank(14, seed)
    return bank, solve(bank, AfterIterations(60), seed).plan


def changed(bank: Problem, name: str, **changes: object) -> Problem:
    rows = tuple(replace(r, **changes) if r.id == name else r for r in bank.requests)  # type: ignore[arg-type]
    return replace(bank, requests=rows)


def test_delays_that_are_named_make_room_for_the_service_beside_all_others() -> None:
    tried = 0
    for seed in SEEDS:
        bank, plan = solved(seed)
        for row in plan.unserved:
            if row.delay_min is None:
                continue
            tried += 1
            later = bank.request(row.request).latest_end_min + row.delay_min
            wider = changed(bank, row.request, latest_end_min=later)
            again = solve(wider, AfterIterations(0), start=plan).plan
            assert again.assignment(row.request) is not None
            assert len(again.assignments) == len(plan.assignments) + 1
            assert violations(wider, again) == ()
    assert tried >= 10


def test_another_truck_for_the_minutes_named_serves_it_beside_all_others() -> None:
    tried = 0
    for seed in SEEDS:
        bank, plan = solved(seed)
        for row in plan.unserved:
            if row.another_truck_min is None:
                continue
            request = bank.request(row.request)
            # Only the one request is new to the plan: the others are left as they are.
            known = tuple(r for r in bank.requests if r is request or plan.assignment(r.id) is not None)
            served = []
            for like in [v for v in bank.vehicles if v.tank == request.tank]:
                wider = replace(bank, requests=known, vehicles=(*bank.vehicles, _like(like, 0.0, 1000.0)))
                again = solve(wider, AfterIterations(0), start=plan).plan
                assert not again.unserved and violations(wider, again) == ()
                found = again.assignment(request.id)
                if found is not None and found.truck == "extra":
                    drive = bank.travel_min[bank.places.index("base")][bank.places.index(request.place)]
                    begin = found.start_min - drive - 0.5
                    lent = _like(like, begin, begin + row.another_truck_min + 1.0)
                    short = replace(wider, vehicles=(*bank.vehicles, lent))
                    served.append(not solve(short, AfterIterations(0), start=plan).plan.unserved)
            tried += any(served)
    assert tried >= 10


def _like(vehicle: Vehicle, begin: float, end: float) -> Vehicle:
    """One more truck of the kind, ready at its base."""
    aboard = vehicle.capacity_l if vehicle.tank == "fresh" else 0.0
    return replace(vehicle, id="extra", available_min=begin, shift_end_min=end, aboard_l=aboard)


def reason_of(bank: Problem, name: str) -> str:
    plan = solve(bank, AfterIterations(0)).plan
    return next(row.reason for row in plan.unserved if row.request == name)


@pytest.fixture
def bank() -> Problem:
    return random_bank(6, 2, trucks="enough", windows="loose")


def test_a_window_shorter_than_the_service_is_named_as_such(bank: Problem) -> None:
    name = bank.requests[0].id
    short = changed(bank, name, latest_end_min=bank.requests[0].earliest_min + 2.0)
    assert reason_of(short, name) == "window_too_short"


def test_a_truck_that_comes_on_shift_too_late_is_named_as_out_of_reach(bank: Problem) -> None:
    late = tuple(replace(v, available_min=v.shift_end_min - 1.0) for v in bank.vehicles)
    assert reason_of(replace(bank, vehicles=late), bank.requests[0].id) == "out_of_reach"


def test_more_litres_than_any_truck_carries_are_named_as_too_large(bank: Problem) -> None:
    request = bank.requests[0]
    options = tuple(replace(option, litres=9000.0) for option in request.options)
    assert reason_of(changed(bank, request.id, options=options), request.id) == "too_large"


def test_a_pin_outside_its_window_is_named_and_not_bent(bank: Problem) -> None:
    request = bank.requests[0]
    truck = next(v.id for v in bank.vehicles if v.tank == request.tank)
    early = changed(bank, request.id, pin=Pin(truck, request.earliest_min - 10.0))
    assert reason_of(early, request.id) == "pin_broken"


def test_a_pin_is_kept_to_the_second(bank: Problem) -> None:
    request = bank.requests[0]
    truck = next(v.id for v in bank.vehicles if v.tank == request.tank)
    at = request.earliest_min + 11.37
    plan = solve(changed(bank, request.id, pin=Pin(truck, at)), AfterIterations(100)).plan
    row = plan.assignment(request.id)
    assert row is not None and (row.truck, row.start_min) == (truck, at)


def test_a_station_without_a_truck_is_told_for_how_long_it_needs_one(bank: Problem) -> None:
    request = bank.requests[0]
    others = tuple(v for v in bank.vehicles if v.tank != request.tank)
    plan = solve(replace(bank, vehicles=others), AfterIterations(0)).plan
    row = next(row for row in plan.unserved if row.request == request.id)
    assert row.reason == "no_truck"
    shortest = min(option.connect_min + option.pump_min for option in request.options)
    assert f"truck for {math.ceil(shortest)} min" in row.text
