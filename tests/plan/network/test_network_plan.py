"""One plan for rotations and trucks: against all plans of small networks, and against each station by itself."""

from __future__ import annotations

from functools import cache

import pytest

from legtide.day.document import Day, Service
from legtide.day.edits import change_station, replace_services
from legtide.day.rotations import rotations, stations
from legtide.engine.projection import project
from legtide.files.day_file import load
from legtide.plan.bank.checker import violations
from legtide.plan.network import NetworkPlan, plan_network, relieved
from legtide.plan.network.rows import network_rows
from legtide.plan.rotation.choices import Choices
from legtide.plan.rotation.proposal import propose
from legtide.plan.station import StationPlan, plan_station, station_conflicts, station_rows
from legtide.plan.stop import AfterIterations
from legtide.shipped import demo_days
from support.bank_rules import broken_rules
from support.networks import burden_of_day, least_burden, small_network, worked

FEW = AfterIterations(40)
WHOLE = (100.0,)


@cache
def network(seed: int, aircraft: int, legs: int) -> Day:
    return small_network(seed, aircraft, legs)


@cache
def planned(seed: int, aircraft: int, legs: int) -> NetworkPlan:
    return plan_network(network(seed, aircraft, legs), fills=WHOLE)


def trucks_keep_their_rules(plan: NetworkPlan | StationPlan) -> None:
    for row in plan.stations if isinstance(plan, NetworkPlan) else (plan,):
        assert violations(row.station.problem, row.result.plan) == ()
        assert broken_rules(row.station.problem, row.result.plan) == []
    for station in plan.day.stations:
        assert station_conflicts(plan.day, project(plan.day), station.code) == ()


def each_station_for_itself(day: Day) -> Day:
    """One station after the other, each with what the ones before have planned."""
    for station in day.stations:
        if station.trucks:
            day = plan_station(day, station.code, stop=FEW).day
    return day


SMALL = [(0, 2, 4), (2, 2, 4), (3, 2, 4)]
MORE = [(seed, aircraft, 3 if aircraft == 4 else 4) for seed in range(12) for aircraft in (2, 3, 4)]


@pytest.mark.parametrize("case", [*SMALL, *(pytest.param(case, marks=pytest.mark.long) for case in MORE)])
def test_no_other_set_of_services_that_the_trucks_can_work_is_better(case: tuple[int, int, int]) -> None:
    """Best of all sets of whole services, each checked by trying every order of the trucks."""
    plan = planned(*case)
    assert burden_of_day(worked(plan.day)) == pytest.approx(least_burden(network(*case)), rel=1e-6)
    assert plan.bound <= plan.cost + 1e-6


def test_every_service_of_a_plan_has_a_truck_that_can_work_it() -> None:
    for case in SMALL:
        plan = planned(*case)
        trucks_keep_their_rules(plan)
        assert worked(plan.day) == plan.day


def compare_with_each_station_for_itself(seeds: range) -> int:
    """How often the common plan is better; it is never worse."""
    better = 0
    for seed in seeds:
        day = small_network(seed, 2 + seed % 3, 3)
        alone, together = each_station_for_itself(day), plan_network(day).day
        sides = [burden_of_day(worked(row)) for row in (alone, together)]
        assert sides[1] <= sides[0] + 0.01, f"network {seed}"
        better += sides[1] < sides[0] - 0.01
    return better


def test_it_is_never_worse_than_each_station_planned_for_itself() -> None:
    assert compare_with_each_station_for_itself(range(0, 6, 3)) > 0


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_it_is_never_worse_on_a_hundred_networks() -> None:
    assert compare_with_each_station_for_itself(range(100)) > 20


def test_where_trucks_suffice_it_is_the_rotations_own_plan() -> None:
    day = small_network(2, 2, 4, drive=1.0)
    plan = plan_network(day)
    assert plan.status == "optimal" and plan.moves == ()
    assert plan.cost == pytest.approx(propose(day).costs.total, abs=1e-9) == pytest.approx(plan.bound, abs=1e-9)


def test_the_same_day_gives_the_same_plan() -> None:
    day = small_network(0, 2, 4)
    first, second = plan_network(day, fills=WHOLE), plan_network(small_network(0, 2, 4), fills=WHOLE)
    assert network_rows(first) == network_rows(second)
    assert first.day.services == second.day.services


def test_told_to_stop_it_still_gives_a_plan_that_trucks_can_work() -> None:
    plan = plan_network(network(3, 3, 3), cancelled=lambda: True)
    trucks_keep_their_rules(plan)
    assert worked(plan.day) == plan.day


def test_it_tells_how_it_comes_along() -> None:
    heard = []
    plan_network(network(0, 2, 4), on_progress=heard.append)
    assert [row.rounds for row in heard] == list(range(1, len(heard) + 1))
    assert any(row.state.left for row in heard) and any(not row.state.left for row in heard)


# a case by hand ---------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def short_here() -> Day:
    """Two aircraft that want all services at BAKE, whose only toilet truck is away; ABLE is served by a handler."""
    day = small_network(2, 2, 3, trucks=("BAKE",))
    water = tuple(truck for truck in stations(day)["BAKE"].trucks if truck.tank == "fresh")
    return change_station(day, "BAKE", trucks=water)


def test_what_this_station_cannot_do_is_planned_at_the_other(short_here: Day) -> None:
    plan = plan_network(short_here)
    drains = [row for row in plan.services if row.tank == "waste"]
    assert drains and {row.station for row in drains} == {"ABLE"}
    assert all(row.truck for row in plan.services if row.station == "BAKE")
    moved = [move for move in plan.moves if move.tank == "waste" and move.instead]
    assert moved and "the station has no toilet truck" in moved[0].reason
    assert "instead" in str(moved[0]) and "ABLE" in str(moved[0])
    assert plan.status == "feasible" and plan.bound < plan.cost


def test_one_stations_plan_proposes_to_serve_elsewhere_what_it_cannot(short_here: Day) -> None:
    alone = plan_station(short_here, "BAKE", stop=FEW)
    assert {row.reason for row in alone.result.plan.unserved} == {"no_truck"}
    plan = relieved(alone)
    trucks_keep_their_rules(plan)
    assert plan.moves and all(row.station == "ABLE" for move in plan.moves for row in move.instead)
    assert burden_of_day(worked(plan.day)) < burden_of_day(worked(alone.day))
    rows = station_rows(plan)
    assert {row["station"] for row in rows["services"]} == {"ABLE", "BAKE"}
    named = {(row["registration"], row["turn"], row["tank"]) for row in rows["services"]}
    day = {(row.aircraft, row.turn, row.tank) for row in plan.day.services}
    assert named == day


def test_a_station_that_serves_everything_moves_nothing() -> None:
    plan = plan_station(small_network(2, 2, 4, drive=1.0), "ABLE", stop=FEW)
    assert relieved(plan) is plan


def test_other_stations_keep_their_services_and_trucks(short_here: Day) -> None:
    both = change_station(short_here, "ABLE", trucks=stations(small_network(2, 2, 3))["ABLE"].trucks)
    first = plan_station(both, "ABLE", stop=FEW).day
    before = {row.id: row for row in first.services}
    after = {row.id: row for row in relieved(plan_station(first, "BAKE", stop=FEW)).day.services}
    known = rotations(first)
    for key, row in before.items():
        if known[row.aircraft].turns[row.turn].station == "ABLE":
            assert after[key] == row


def test_a_plan_of_the_network_leaves_a_station_nothing_to_change(short_here: Day) -> None:
    plan = plan_network(short_here)
    again = plan_station(plan.day, "BAKE", stop=FEW, propose=False)
    assert again.result.plan.unserved == ()
    assert {(row.aircraft, row.turn, row.tank) for row in again.day.services} == {
        (row.aircraft, row.turn, row.tank) for row in plan.day.services
    }


def test_a_stations_own_plan_has_nothing_to_add_to_that_of_the_network() -> None:
    plan = plan_network(load(demo_days() / "bank.day.json").day)
    assert plan.status == "optimal"
    for station in plan.stations:
        again = plan_station(plan.day, station.station.station, stop=FEW)
        assert all(need.service.id for need in again.station.needs.values())
        assert again.result.plan.unserved == ()


def test_done_and_pinned_services_stay(short_here: Day) -> None:
    first = plan_network(short_here).day
    kept = replace_services(
        first, [row.model_copy(update={"pinned": True}) if row.tank == "fresh" else row for row in first.services]
    )
    again = {row.id: row for row in plan_network(kept).day.services}
    for row in kept.services:
        if row.pinned:
            assert again[row.id] == row


# one rotation's choices -------------------------------------------------------------------------------------


def test_a_service_that_is_shut_is_not_chosen_and_costs_no_less(short_here: Day) -> None:
    choices = Choices(short_here, rotations(short_here)["QX-0"])
    best = choices.best()
    for spot, row in best.chosen.items():
        other = choices.best({spot: row.target_percent})
        assert other.chosen.get(spot) is None or other.chosen[spot].target_percent < row.target_percent
        assert other.burden >= best.burden - 1e-9
    assert choices.least_burden <= best.burden + 1e-9 and choices.least_cost <= best.plan.cost + 1e-9


def test_what_is_asked_for_stays_until_it_is_shut(short_here: Day) -> None:
    asked = {(1, "fresh"): 100.0, (2, "waste"): 0.0}
    rows = tuple(Service(id=f"a{n}", aircraft="QX-0", turn=t, tank=k) for n, (t, k) in enumerate(asked))
    day = replace_services(short_here, rows)
    choices = Choices(day, rotations(day)["QX-0"], asked=asked)  # type: ignore[arg-type]
    assert set(choices.best().chosen) == set(asked)
    other = choices.best({(2, "waste"): 0.0})
    assert (2, "waste") not in other.chosen and (1, "fresh") in other.chosen
    assert {tank for turn, tank in other.chosen.keys() - asked.keys()} <= {"waste"}
