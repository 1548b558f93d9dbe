"""From a day to a station's plan and back into the day."""

from __future__ import annotations

from datetime import timedelta

import pytest

from legtide.day.document import Day, Service
from legtide.day.edits import change_leg, change_service, change_station, rebuilt, replace_services, set_figure
from legtide.engine.projection import project
from legtide.engine.types import to_minutes
from legtide.plan.bank.checker import violations
from legtide.plan.station import (
    StationPlan,
    elsewhere,
    plan_station,
    replan_station,
    run_rows,
    runs_at,
    station_conflicts,
    station_problem,
    station_rows,
)
from legtide.plan.stop import AfterIterations
from support.bank_rules import broken_rules
from support.station_days import station_day

FEW = AfterIterations(60)


@pytest.fixture(scope="module")
def day() -> Day:
    return station_day(5)


@pytest.fixture(scope="module")
def planned(day: Day) -> StationPlan:
    return plan_station(day, "BAKE", stop=FEW)


def test_the_plan_of_a_day_keeps_every_rule(planned: StationPlan) -> None:
    assert violations(planned.station.problem, planned.result.plan) == ()
    assert broken_rules(planned.station.problem, planned.result.plan) == []
    assert planned.result.plan.assignments


def test_the_day_gets_truck_start_and_target_of_every_service(planned: StationPlan) -> None:
    rows = {(row.aircraft, row.turn, row.tank): row for row in planned.day.services}
    assert len(rows) == len(planned.result.plan.assignments)
    for assignment in planned.result.plan.assignments:
        need = planned.station.needs[assignment.request]
        row = rows[need.rotation.registration, need.service.turn, need.service.tank]
        assert row.truck == assignment.truck and row.start is not None
        assert to_minutes(row.start) == pytest.approx(assignment.start_min, abs=1 / 60)
        assert row.target == need.ways[assignment.option].target_percent


def test_the_plan_avoids_the_risk_that_it_says(day: Day, planned: StationPlan) -> None:
    """Summed over the aircraft, risk before less risk after is at least the marginal values of what is served."""

    def total(which: Day) -> float:
        return sum(
            leg.risk_fresh_below_reserve + leg.risk_waste_over_limit
            for row in project(which).aircraft.values()
            for leg in row.legs
        )

    avoided = day.policy.price_breach.value * (total(day) - total(planned.day))
    assert avoided >= planned.result.plan.figures.value - 1e-6
    assert planned.result.plan.figures.value > 0.0


def test_the_value_of_one_service_is_the_price_of_the_risk_that_is_there_without_it(planned: StationPlan) -> None:
    found = station_problem(planned.day, project(planned.day), "BAKE", propose=False)
    need = max(found.needs.values(), key=lambda need: need.ways[0].value)
    bare = replace_services(planned.day, [row for row in planned.day.services if row.id != need.service.id])
    name, tank = need.rotation.registration, need.service.tank
    risks = [
        sum(
            leg.risk_fresh_below_reserve if tank == "fresh" else leg.risk_waste_over_limit
            for leg in project(which).aircraft[name].legs
        )
        for which in (bare, planned.day)
    ]
    expected = planned.day.policy.price_breach.value * (risks[0] - risks[1])
    assert need.ways[0].value == pytest.approx(expected, rel=1e-9)


def test_windows_hold_the_policys_margins_and_the_stations_hours(day: Day) -> None:
    found = station_problem(day, project(day), "BAKE")
    policy = day.policy
    for need in found.needs.values():
        turn = need.rotation.turns[need.service.turn]
        assert turn.start is not None and turn.station == "BAKE"
        assert need.window[0] == pytest.approx(to_minutes(turn.start) + policy.margin_after_on_blocks_min.value)
        if turn.end is not None:
            assert need.window[1] == pytest.approx(to_minutes(turn.end) - policy.margin_before_off_blocks_min.value)


def test_durations_follow_from_the_litres_and_the_slower_flow(day: Day) -> None:
    slow = change_station(
        day,
        "BAKE",
        trucks=tuple(rebuilt(t, flow_l_per_min=10.0, setup_min=1.5) for t in rotations_station(day).trucks),
    )
    found = station_problem(slow, project(slow), "BAKE")
    need = next(need for need in found.needs.values() if need.service.tank == "fresh")
    request = found.problem.request(need.id)
    fit = need.rotation.fit
    option = request.options[0]
    assert option.pump_min == pytest.approx(option.litres / fit.fill_flow_l_per_min.value)
    truck = next(v for v in found.problem.vehicles if v.tank == "fresh")
    assert truck.service_min(option) == pytest.approx(1.5 + fit.connect_min.value + option.litres / 10.0)


def rotations_station(day: Day):  # type: ignore[no-untyped-def]
    return next(station for station in day.stations if station.code == "BAKE")


def test_done_services_are_facts_and_pinned_ones_stay(planned: StationPlan) -> None:
    rows = sorted(planned.day.services, key=lambda row: row.start or row.turn)
    first, later = rows[0], rows[-1]
    day = replace_services(
        planned.day,
        [
            rebuilt(row, state="done") if row is first else rebuilt(row, pinned=True) if row is later else row
            for row in planned.day.services
        ],
    )
    again = plan_station(day, "BAKE", stop=FEW)
    kept = {row.id: row for row in again.day.services}
    assert (kept[first.id].truck, kept[first.id].start) == (first.truck, first.start)
    assert (kept[later.id].truck, kept[later.id].start) == (later.truck, later.start)
    assert violations(again.station.problem, again.result.plan) == ()


def test_nothing_that_has_started_moves_and_nothing_new_starts_in_the_past(planned: StationPlan) -> None:
    starts = sorted(row.start for row in planned.day.services if row.start is not None)
    now = starts[len(starts) // 2] + timedelta(seconds=30)
    again = plan_station(planned.day, "BAKE", stop=FEW, now=now)
    before = {row.id: row for row in planned.day.services}
    for row in again.day.services:
        if row.id in before and before[row.id].start < now:
            assert row == before[row.id]
        else:
            assert row.start is None or row.start >= now - timedelta(seconds=1)


def test_a_slipped_leg_is_replanned_with_few_changes(planned: StationPlan) -> None:
    leg = planned.day.legs[0]
    late = change_leg(planned.day, leg.id, etd=leg.std + timedelta(minutes=20))
    again = replan_station(late, "BAKE")
    assert violations(again.station.problem, again.result.plan) == ()
    others = [change for change in again.changes if not change.request.startswith(leg.aircraft)]
    assert len(others) <= len(planned.day.services) // 4


def test_nothing_changes_when_nothing_has_happened(planned: StationPlan) -> None:
    same = replan_station(planned.day, "BAKE", stop=AfterIterations(0))
    assert same.changes == ()
    assert same.day.services == planned.day.services


def test_a_station_without_trucks_leaves_all_unserved_and_the_day_without_trucks(planned: StationPlan) -> None:
    bare = change_station(planned.day, "BAKE", trucks=())
    again = plan_station(bare, "BAKE", stop=FEW, propose=False)
    assert {row.reason for row in again.result.plan.unserved} == {"no_truck"}
    assert all(row.truck is None for row in again.day.services)


def test_an_unapproved_point_is_asked_for_no_water(day: Day) -> None:
    dry = change_station(day, "BAKE", approved_water=False)
    found = station_problem(dry, project(dry), "BAKE")
    assert {need.service.tank for need in found.needs.values()} == {"waste"}


def test_an_aircraft_that_another_station_serves_asks_less_of_this_one(day: Day) -> None:
    name = "QX-0"
    fills = tuple(Service(aircraft=name, turn=turn, tank="fresh") for turn in (2, 4))
    helped = replace_services(day, fills)

    def asked(which: Day) -> float:
        found = station_problem(which, project(which), "BAKE")
        return sum(
            need.ways[0].value
            for need in found.needs.values()
            if need.rotation.registration == name and need.service.tank == "fresh"
        )

    assert asked(helped) < 0.5 * asked(day)


def test_an_unserved_service_can_be_made_up_for_elsewhere(day: Day) -> None:
    bare = change_station(day, "BAKE", trucks=tuple(t for t in rotations_station(day).trucks if t.tank == "waste"))
    plan = plan_station(bare, "BAKE", stop=FEW)
    others = elsewhere(plan)
    assert others and any(row.station == "ABLE" and row.share >= 0.5 for rows in others.values() for row in rows)
    reasons = [row["reason"] for row in station_rows(plan)["unserved"]]
    assert any("a service at ABLE" in reason for reason in reasons)


def test_a_price_for_delays_allows_them(day: Day) -> None:
    priced = set_figure(day, "policy", "price_delay_per_min", 7.5)
    found = station_problem(priced, project(priced), "BAKE")
    assert found.problem.weights.delay_per_min == 7.5
    assert station_problem(day, project(day), "BAKE").problem.weights.delay_per_min is None


def test_rows_for_other_programs_follow_the_contract(planned: StationPlan) -> None:
    rows = station_rows(planned)
    assert list(rows) == [
        "format", "version", "status", "cost", "bound", "worst_risk", "services", "unserved",
    ]  # fmt: skip
    assert rows["format"] == "legtide-plan" and rows["status"] in ("optimal", "feasible")
    assert 0.0 <= rows["bound"] <= rows["cost"]
    for row in rows["services"]:
        assert list(row) == ["registration", "turn", "station", "tank", "target_percent", "start", "end", "truck"]
        assert row["start"].endswith("Z") and row["start"] < row["end"] and row["station"] == "BAKE"
    assert rows == station_rows(plan_station(station_day(5), "BAKE", stop=FEW))


def test_run_rows_tell_each_trucks_day_in_order(planned: StationPlan) -> None:
    rows = run_rows(runs_at(planned.day, "BAKE"))
    for truck in {row["truck"] for row in rows}:
        starts = [row["start"] for row in rows if row["truck"] == truck]
        assert starts == sorted(starts)
    services = [row for row in rows if row["what"] == "service"]
    assert len(services) == len(planned.result.plan.assignments)
    assert all(row["registration"] and row["litres"] for row in services)


def test_a_station_that_is_not_listed_is_an_error(day: Day) -> None:
    with pytest.raises(KeyError):
        station_problem(day, project(day), "NOWHERE")


def test_a_days_own_plan_has_no_conflicts(planned: StationPlan) -> None:
    assert station_conflicts(planned.day, project(planned.day), "BAKE") == ()


def test_a_service_dragged_onto_another_is_named_with_truck_and_time(planned: StationPlan) -> None:
    fills = sorted((row for row in planned.day.services if row.tank == "fresh"), key=lambda row: str(row.start))
    first, second = fills[0], fills[1]
    assert first.start is not None and first.truck == second.truck
    moved = change_service(planned.day, second.id, start=first.start + timedelta(minutes=1))
    found = station_conflicts(moved, project(moved), "BAKE")
    assert second.id in {row.service_id for row in found}
    text = next(row.text for row in found if row.service_id == second.id)
    assert f"Truck {second.truck} cannot serve {second.aircraft} at" in text


def test_a_truck_for_the_other_tank_is_a_conflict(planned: StationPlan) -> None:
    fill = next(row for row in planned.day.services if row.tank == "fresh")
    wrong = change_service(planned.day, fill.id, truck="T0")
    assert [row.service_id for row in station_conflicts(wrong, project(wrong), "BAKE")] == [fill.id]


def test_a_slip_shows_broken_services_at_once(planned: StationPlan) -> None:
    leg = planned.day.legs[0]
    late = change_leg(planned.day, leg.id, etd=leg.std + timedelta(minutes=60))
    broken = {row.service_id for row in station_conflicts(late, project(late), "BAKE")}
    first_turn = {row.id for row in planned.day.services if row.aircraft == leg.aircraft and row.turn == 1}
    assert broken & first_turn
