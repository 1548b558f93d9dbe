"""The solver as its callers meet it: first answers, determinism, stopping, greedy baselines, faults."""

from __future__ import annotations

import pickle
from dataclasses import replace
from itertools import count
from typing import TypeVar

import pytest

from legtide.engine.driving import closed
from legtide.plan.bank.checker import violations
from legtide.plan.bank.network import StationTask, solve_network, solve_station
from legtide.plan.bank.problem import Option, Problem, Request, Vehicle, Weights, faults
from legtide.plan.bank.rolling import LARGE, rolled_plan
from legtide.plan.bank.solver import Progress, solve
from legtide.plan.stop import (
    AfterIterations,
    AnyOf,
    Cancelled,
    GapBelow,
    NoGainIterations,
    NoGainSeconds,
    SearchState,
)
from support.banks import random_bank

T = TypeVar("T")


def greedy_value(bank: Problem, *, by_deadline: bool) -> float:
    """A dispatcher's rule written apart: requests in order, each to the truck that starts it first, nothing moved."""
    trucks = {v.id: (v.available_min, v.start_place, v.used_l) for v in bank.vehicles}
    points = {p.tank: p for p in bank.reload_points}
    number = {name: i for i, name in enumerate(bank.places)}
    busy: dict[str, tuple[float, float, str]] = {}
    order = sorted(bank.requests, key=lambda r: (r.latest_end_min if by_deadline else -r.best_value, r.id))
    total = 0.0
    for request in order:
        best = None
        for truck in bank.vehicles:
            if truck.tank != request.tank:
                continue
            free, place, used = trucks[truck.id]
            option = request.options[0]
            way = bank.travel_min[number[place]][number[request.place]]
            if used + option.litres > truck.capacity_l:
                point = points[truck.tank]
                at = number[point.place]
                way = (
                    bank.travel_min[number[place]][at]
                    + point.minutes(used)
                    + bank.travel_min[at][number[request.place]]
                )
                used = 0.0
            start = max(free + way + 1.5, request.earliest_min + 0.25)
            minutes = truck.service_min(option)
            for a, b, tank in (busy[x] for x in busy if bank.request(x).group == request.group):
                if tank == "fresh":
                    start = max(start, b + bank.handover_min + 0.25)
                elif start + minutes + bank.handover_min > a:
                    start = float("inf")
            home = bank.travel_min[number[request.place]][number[truck.start_place]]
            end = start + minutes
            if end <= request.latest_end_min - 0.25 and end + home + 1.0 <= truck.shift_end_min:
                best = min(best or (end, truck.id, used), (end, truck.id, used))
        if best is not None:
            end, name, used = best
            trucks[name] = (end + 0.25, request.place, used + request.options[0].litres)
            busy[request.id] = (end - 1.0, end, request.tank)
            total += request.options[0].value
    return total


@pytest.mark.parametrize("seed", range(0, 200, 20))
def test_plans_are_never_below_the_dispatchers_rules(seed: int) -> None:
    for number in range(seed, seed + 20):
        bank = random_bank(5 + number % 26, number, windows=("tight", "loose")[number % 2])
        value = solve(bank, AfterIterations(40)).plan.figures.value
        assert value >= greedy_value(bank, by_deadline=True) - 1e-6
        assert value >= greedy_value(bank, by_deadline=False) - 1e-6


def test_the_same_problem_and_seed_give_the_same_plan() -> None:
    bank = random_bank(20, 4)
    one, two = (solve(bank, AfterIterations(200), seed=3) for _ in range(2))
    assert one.plan == two.plan and one.bound == two.bound


def test_the_order_of_requests_and_trucks_in_the_problem_hardly_matters() -> None:
    bank = random_bank(12, 4)
    turned = replace(bank, requests=bank.requests[::-1], vehicles=bank.vehicles[::-1])
    one, two = solve(bank, AfterIterations(800)), solve(turned, AfterIterations(800))
    assert one.plan.worth == pytest.approx(two.plan.worth, rel=0.01)


def test_more_steps_never_give_a_worse_plan() -> None:
    bank = random_bank(20, 2)
    worth = [solve(bank, AfterIterations(steps)).plan.worth for steps in (0, 40, 200, 600)]
    assert worth == sorted(worth) and worth[-1] > worth[0]


def test_a_plan_to_start_from_is_never_lost() -> None:
    bank = random_bank(20, 2)
    good = solve(bank, AfterIterations(400))
    again = solve(bank, AfterIterations(0), start=good.plan)
    assert again.plan.worth >= good.plan.worth - 1e-9


def test_cancelling_ends_the_search_with_the_plan_so_far() -> None:
    asked = count()
    result = solve(random_bank(20, 1), AnyOf(Cancelled(lambda: next(asked) >= 3), AfterIterations(10_000)))
    assert result.stopped_by == "cancelled" and result.iterations == 60
    assert result.plan.assignments


def test_progress_starts_with_a_complete_plan_and_rises() -> None:
    bank, seen = random_bank(20, 1), list[Progress]()
    result = solve(bank, AfterIterations(400), on_progress=seen.append)
    assert seen[0].state.iterations == 0 and violations(bank, seen[0].plan) == ()
    worth = [progress.plan.worth for progress in seen] + [result.plan.worth]
    assert worth == sorted(worth)
    assert all(progress.state.bound >= result.plan.worth - 1e-6 for progress in seen)


def test_a_bank_that_can_be_served_whole_is_proven_so_at_once() -> None:
    result = solve(random_bank(10, 1, windows="loose", trucks="enough"))
    assert result.status == "optimal" and not result.plan.unserved and result.iterations < 100


def test_the_bound_holds_on_a_bank_that_lasts_for_days() -> None:
    """The same bank twice, five days apart: what can be served doubles, and no plan is worth more than the bound."""
    once = random_bank(10, 3)
    once = replace(once, requests=tuple(replace(row, options=row.options[:1]) for row in once.requests))
    apart = 5 * 24 * 60.0
    again = tuple(
        replace(
            row,
            id=f"{row.id} again",
            aircraft=f"{row.aircraft} again",
            earliest_min=row.earliest_min + apart,
            latest_end_min=row.latest_end_min + apart,
        )
        for row in once.requests
    )
    rested = tuple(replace(truck, shift_end_min=truck.shift_end_min + apart) for truck in once.vehicles)
    stop = AfterIterations(60)
    one, two = solve(once, stop), solve(replace(once, requests=once.requests + again, vehicles=rested), stop)
    assert two.plan.worth > 1.5 * one.plan.worth
    assert two.plan.worth <= two.bound + 1e-6 <= 2.2 * one.bound


def state(**changes: float) -> SearchState:
    values = {"iterations": 100, "seconds": 20.0, "worth": 90.0, "bound": 100.0, "gap": 0.1}
    values |= {"iterations_at_gain": 40, "seconds_at_gain": 10.0}
    return SearchState(**{**values, **changes})  # type: ignore[arg-type]


def test_stop_rules_say_why_they_stop() -> None:
    assert GapBelow(0.2)(state()) == "gap of 10.00 %" and GapBelow(0.05)(state()) is None
    assert NoGainIterations(60)(state()) is not None and NoGainIterations(61)(state()) is None
    assert NoGainSeconds(3.0, 0.5)(state()) is not None and NoGainSeconds(3.0, 0.6)(state()) is None
    assert AnyOf(AfterIterations(101), GapBelow(0.2))(state()) == "gap of 10.00 %"


def test_every_fault_of_a_problem_is_named() -> None:
    option = Option(100.0, 3.0, 2.0, 50.0)
    bank = Problem(
        (
            Request("a", "X", "fresh", "nowhere", (option,), 0.0, 30.0),
            Request("a", "X", "fresh", "s", (), 0.0, float("nan")),
        ),
        (Vehicle("v", "fresh", "s", 0.0, 60.0, 100.0, 200.0, flow_l_per_min=0.0, breaks=((5.0, 4.0),)),),
        ("s", "t"),
        ((0.0, 1.0), (1.0, 2.0)),
    )
    found = "\n".join(faults(bank))
    for words in ("listed twice", "nowhere", "no way to do it", "not finite", "aboard", "flow", "break", "itself"):
        assert words in found
    with pytest.raises(ValueError, match="listed twice"):
        solve(bank)


def test_a_detour_shorter_than_the_direct_way_is_a_fault_until_the_table_is_closed() -> None:
    bank = random_bank(4, 1)
    rows = [list(row) for row in bank.travel_min]
    rows[0][3] = 60.0
    rough = replace(bank, travel_min=tuple(map(tuple, rows)))
    assert any("detour" in text for text in faults(rough))
    assert not faults(replace(rough, travel_min=closed(rough.travel_min)))


def test_without_trucks_or_requests_there_is_an_empty_plan() -> None:
    bank = random_bank(6, 1)
    nobody = solve(replace(bank, vehicles=()), AfterIterations(20))
    assert {row.reason for row in nobody.plan.unserved} == {"no_truck"} and nobody.gap == 0.0
    nothing = solve(replace(bank, requests=()), AfterIterations(20))
    assert nothing.plan.assignments == () and nothing.status == "optimal"


def test_a_priced_bank_leaves_what_is_not_worth_its_price() -> None:
    bank = random_bank(10, 1, windows="loose", trucks="enough", weights=Weights(ranking="priced"))
    dear = replace(
        bank,
        requests=tuple(replace(r, options=tuple(replace(o, cost=1e5) for o in r.options)) for r in bank.requests),
    )
    result = solve(dear, AfterIterations(20))
    assert not result.plan.assignments and {row.reason for row in result.plan.unserved} == {"not_worth"}


def test_a_large_bank_is_planned_piece_by_piece_first() -> None:
    bank = random_bank(110, 3)
    assert len(bank.requests) > LARGE
    result = solve(bank, AfterIterations(0))
    assert violations(bank, result.plan) == ()
    pieces = rolled_plan(bank)
    assert (
        result.plan.figures.value
        >= sum(bank.request(row.request).options[row.option].value for row in pieces.assignments) - 1e-6
    )


def _sent(thing: T) -> T:
    """As another process gets it."""
    return pickle.loads(pickle.dumps(thing))  # type: ignore[no-any-return]  # noqa: S301 (made one line above)


def test_stations_of_a_network_are_solved_alike_one_by_one_and_as_sent_elsewhere() -> None:
    tasks = [StationTask(f"ST{n}", random_bank(8, n), AfterIterations(60), n) for n in range(3)]
    alone = solve_network(tasks)
    sent = solve_network(tasks, lambda work, rows: [_sent(work)(_sent(row)) for row in rows])
    assert {name: result.plan for name, result in alone.items()} == {name: r.plan for name, r in sent.items()}
    assert solve_station(tasks[1])[1].plan == alone["ST1"].plan
