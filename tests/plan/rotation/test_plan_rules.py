"""What a plan may and may not do: windows, hours, what stays, the past, and what it says when nothing works."""

from __future__ import annotations

from datetime import timedelta

import pytest

from legtide.day.document import Aircraft, Day, Figure, GroundTime, Inoperative, Offer, Policy, Reading, Span, Station
from legtide.day.edits import change_leg, change_station
from legtide.plan.rotation import (
    PlanError,
    RotationPlan,
    apply_proposal,
    compare,
    plan_document,
    plan_rotation,
    propose,
)
from support.days import MORNING, rotation_day
from support.rotation_days import with_services


def turns(plan: RotationPlan, tank: str) -> list[int]:
    return [row.turn for row in plan.services if row.tank == tank]


# what stays -----------------------------------------------------------------------------------------------


def test_pinned_services_stay_and_the_rest_is_planned_around_them() -> None:
    day = with_services(rotation_day(1.5, 6), (1, "fresh", 100.0), pinned=True)
    plan = plan_rotation(day, "QX-0")
    kept = next(row for row in plan.services if row.turn == 1 and row.tank == "fresh")
    assert kept.fixed
    assert kept.service_id == "f1"
    free = plan_rotation(rotation_day(1.5, 6), "QX-0")
    assert plan.cost >= free.cost


def test_other_planned_services_are_dropped_or_kept_under_their_names() -> None:
    day = with_services(rotation_day(1.5, 6), (1, "fresh", 100.0), (2, "fresh", 50.0), (4, "waste", 0.0))
    plan = plan_rotation(day, "QX-0")
    after = apply_proposal(day, propose(day))
    assert 1 not in turns(plan, "fresh")
    assert {row.id for row in after.services} >= {"f2", "w4"}
    assert next(row for row in after.services if row.id == "f2").target == 100.0


def test_services_done_lie_in_the_past_and_are_not_priced_again() -> None:
    day = with_services(rotation_day(1.5, 6), (3, "fresh", 100.0), state="done")
    plan = plan_rotation(day, "QX-0")
    assert plan.first_turn == 3
    assert [leg.index for leg in plan.legs] == [3, 4, 5]
    done = next(row for row in plan.services if row.fixed)
    assert done.price == 0.0


@pytest.mark.parametrize("state", ["skipped", "missed"])
def test_a_service_that_does_not_happen_counts_for_nothing_and_its_turn_is_not_asked_again(state: str) -> None:
    free = plan_rotation(rotation_day(1.5, 6), "QX-0")
    turn = turns(free, "fresh")[0]
    day = with_services(rotation_day(1.5, 6), (turn, "fresh", 100.0), state=state)
    plan = plan_rotation(day, "QX-0")
    assert turn not in turns(plan, "fresh")
    assert plan.cost > free.cost
    assert next(row for row in apply_proposal(day, propose(day)).services if row.id == f"f{turn}").state == state


def test_a_pinned_fill_below_the_level_is_no_drain() -> None:
    """A fill to 25 % finds more than that and does nothing: the plan must not count on 25 %."""
    plain = rotation_day(1.0, 3, 0.6)
    day = with_services(plain, (1, "fresh", 25.0), pinned=True)
    plan, free = plan_rotation(day, "QX-0"), plan_rotation(plain, "QX-0")
    assert [leg.fresh for leg in plan.legs] == pytest.approx([leg.fresh for leg in free.legs], abs=1e-3)


def test_no_fill_is_planned_that_would_find_more_water_than_its_target() -> None:
    """With fuel dear and service cheap a careless optimum would "fill" downwards to shed weight."""
    policy = Policy(price_fuel_per_kg=Figure(value=500.0), price_fresh_service=Figure(value=0.0))
    plan = plan_rotation(rotation_day(1.0, 4, 0.5, policy=policy), "QX-0")
    assert all(row.turn >= 2 for row in plan.services if row.tank == "fresh" and row.target_percent < 75.0)


# now and readings -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("minutes", [0, 100, 300, 500, 700])
def test_nothing_is_planned_before_now(minutes: int) -> None:
    day, now = rotation_day(1.5, 8), MORNING + timedelta(minutes=minutes)
    plan = plan_rotation(day, "QX-0", now=now)
    lead = timedelta(minutes=day.policy.call_lead_min.value)
    assert all(row.start is not None and row.start >= now + lead for row in plan.services)
    assert all(day.legs[leg.index].std > now for leg in plan.legs)


def test_a_service_planned_already_needs_no_lead_time() -> None:
    day = rotation_day(1.5, 6, policy=Policy(call_lead_min=Figure(value=120.0)))
    arrival = day.legs[2].sta
    now = arrival + timedelta(minutes=2)
    assert 3 not in turns(plan_rotation(day, "QX-0", now=now), "fresh")
    asked = with_services(day, (3, "fresh", 100.0), start=arrival + timedelta(minutes=10))
    assert 3 in turns(plan_rotation(asked, "QX-0", now=now), "fresh")


def test_a_service_under_way_stays() -> None:
    day = rotation_day(1.5, 6)
    start = day.legs[0].sta + timedelta(minutes=5)
    begun = with_services(day, (1, "fresh", 100.0), start=start)
    plan = plan_rotation(begun, "QX-0", now=start + timedelta(minutes=3))
    assert next(row for row in plan.services if row.turn == 1 and row.tank == "fresh").fixed


def test_an_actual_departure_puts_its_turn_into_the_past() -> None:
    day = change_leg(rotation_day(1.5, 6), "0-1", atd=MORNING + timedelta(minutes=140))
    assert plan_rotation(day, "QX-0").first_turn == 2


def test_services_come_after_the_reading_of_their_turn() -> None:
    day = rotation_day(1.5, 6)
    read_at = day.legs[1].sta + timedelta(minutes=12)
    reading = Reading(aircraft="QX-0", turn=2, tank="fresh", percent=20.0, time=read_at)
    plan = plan_rotation(day.model_copy(update={"readings": (reading,)}), "QX-0")
    first = next(row for row in plan.services if row.tank == "fresh")
    assert first.turn == 2
    assert first.start is not None
    assert first.start >= read_at


# windows, hours, prices -----------------------------------------------------------------------------------


def test_the_two_services_of_a_turn_follow_one_another_inside_its_window() -> None:
    day = rotation_day(2.2, 4, 1.0, ground_min=30.0)
    plan = plan_rotation(day, "QX-0")
    for turn in range(1, 4):
        found = {row.tank: (row.start, row.end) for row in plan.services if row.turn == turn}
        (water_start, water_end), (toilet_start, toilet_end) = found["fresh"], found["waste"]
        assert water_start is not None
        assert water_end is not None
        assert toilet_start is not None
        assert toilet_end is not None
        assert day.legs[turn - 1].sta + timedelta(minutes=3) <= water_start
        assert water_end <= toilet_start
        assert toilet_end <= day.legs[turn].std - timedelta(minutes=5)


def test_where_one_service_fits_the_plan_takes_one_a_turn() -> None:
    """26 minutes leave 18: a drain takes 8 and a whole fill 10 min 40 s."""
    plan = plan_rotation(rotation_day(1.5, 8, 0.8, ground_min=26.0), "QX-0", fills=(100.0,))
    served = [row.turn for row in plan.services if row.turn > 0]
    assert len(served) == len(set(served))
    assert turns(plan, "fresh")
    assert turns(plan, "waste")


def test_a_smaller_fill_is_planned_where_only_that_fits() -> None:
    """19 minutes leave 11 for a fill: 4 to connect and 30 L/min: 200 L fit; 18 minutes leave 10: 150 L fit."""
    day = rotation_day([2.8, 2.4], load=0.8, ground_min=18.0)
    plan = plan_rotation(day, "QX-0")
    assert [row.target_percent for row in plan.services if row.tank == "fresh" and row.turn == 1] == [75.0]


def test_the_station_s_hours_bound_a_service() -> None:
    day = rotation_day(1.5, 5)
    opens = day.legs[1].sta + timedelta(minutes=20)
    hours = (Span(start=opens, end=opens + timedelta(hours=1)),)
    day = change_station(day, "ABLE", offers=(Offer(tank="fresh", hours=hours), Offer(tank="waste")))
    day = change_station(day, "BAKE", offers=(Offer(tank="waste"),))
    water = next(row for row in plan_rotation(day, "QX-0").services if row.tank == "fresh")
    assert water.turn == 2
    assert water.start == opens


def test_the_cheaper_of_two_offers_is_taken() -> None:
    day = rotation_day(1.5, 4)
    night = (Span(start=MORNING, end=MORNING + timedelta(days=1)),)
    offers = (Offer(tank="fresh", price=70.0), Offer(tank="fresh", hours=night, price=20.0), Offer(tank="waste"))
    plan = plan_rotation(change_station(day, "ABLE", offers=offers), "QX-0")
    assert [row.price for row in plan.services if row.station == "ABLE" and row.tank == "fresh"] == [20.0]


def test_water_that_is_not_approved_is_never_filled() -> None:
    day = change_station(rotation_day(1.5, 8), "ABLE", approved_water=False)
    plan = plan_rotation(day, "QX-0")
    assert {row.station for row in plan.services if row.tank == "fresh"} == {"BAKE"}


def test_water_is_filled_after_the_cold_stand_not_before() -> None:
    day = rotation_day(
        [3.5, 3.5], ground_min=300.0, stations=(Station(code="ABLE"), Station(code="BAKE", outside_air_c=-10.0))
    )
    cold = GroundTime(
        aircraft="QX-0", turn=1, kind="unheated",
        start=day.legs[0].sta + timedelta(minutes=30), end=day.legs[0].sta + timedelta(minutes=200),
    )  # fmt: skip
    water = next(
        row
        for row in plan_rotation(day.model_copy(update={"ground": (cold,)}), "QX-0").services
        if row.tank == "fresh" and row.turn == 1
    )
    assert water.start is not None
    assert water.start >= cold.end


def test_people_waiting_aboard_count_from_the_service_on() -> None:
    day = rotation_day([2.0, 2.4], ground_min=120.0, load=1.0)
    arrival = day.legs[0].sta
    wait = GroundTime(
        aircraft="QX-0", turn=1, kind="people_aboard",
        start=arrival + timedelta(minutes=40), end=arrival + timedelta(minutes=110),
    )  # fmt: skip
    waited = day.model_copy(update={"ground": (wait,)})
    plan = plan_rotation(waited, "QX-0")
    shown = compare(propose(waited))[0].after
    assert plan.worst_risk > plan_rotation(day, "QX-0").worst_risk
    assert shown.worst_risk == pytest.approx(plan.worst_risk, abs=1e-6)


# what binds -----------------------------------------------------------------------------------------------


def blocked_day(**changes: object) -> Day:
    return rotation_day([2.5, 2.5, 2.5, 1.0], load=0.9, **changes)  # type: ignore[arg-type]


def test_the_least_bad_plan_names_leg_station_and_the_missing_offer() -> None:
    day = change_station(blocked_day(), "BAKE", offers=(Offer(tank="waste"),))
    day = change_station(day, "ABLE", offers=(Offer(tank="waste"),))
    plan = plan_rotation(day, "QX-0")
    assert plan.status == "least_bad"
    assert plan.worst_risk > 0.9
    assert plan.binding.startswith("ZZ103 BAKE-ABLE")
    assert "fresh water is at best 97 % likely below 5 %" in plan.binding
    assert "ABLE: no water service is offered" in plan.binding
    assert {(row.turn, row.tank) for row in plan.obstacles} == {
        (0, "fresh"),
        (1, "fresh"),
        (2, "fresh"),
        (3, "fresh"),
    }


def test_a_window_that_is_too_short_is_named_with_its_minutes() -> None:
    plan = plan_rotation(blocked_day(ground_min=14.0), "QX-0")
    assert "a toilet service needs 8 min, the window 06:33-06:39 has 6" in plan.binding


def test_a_turn_that_leaves_time_for_one_service_only_is_named() -> None:
    plan = plan_rotation(rotation_day(3.0, 3, 1.0, ground_min=20.0), "QX-0", fills=(100.0,))
    assert "only one service fits into the turn" in plan.binding


def test_a_leg_longer_than_a_full_tank_is_named_as_such() -> None:
    plan = plan_rotation(rotation_day([9.0], load=1.0), "QX-0")
    assert plan.status == "least_bad"
    assert "does not last the leg" in plan.binding


def test_a_service_too_soon_to_be_asked_for_is_named() -> None:
    day = rotation_day([4.5, 4.5], ground_min=40.0)
    plan = plan_rotation(day, "QX-0", now=day.legs[0].sta + timedelta(minutes=10))
    assert "at the earliest" in plan.binding


def test_an_optimal_plan_says_nothing_of_bindings() -> None:
    plan = plan_rotation(rotation_day(1.5, 6), "QX-0")
    assert plan.status == "optimal"
    assert (plan.binding, plan.obstacles) == ("", ())


# edges ----------------------------------------------------------------------------------------------------


def test_an_aircraft_without_legs_needs_nothing() -> None:
    day = rotation_day(1.5, 2)
    day = day.model_copy(update={"aircraft": (*day.aircraft, Aircraft(registration="QX-9", fit="f"))})
    assert plan_rotation(day, "QX-9").services == ()


def test_an_unknown_aircraft_is_an_error_that_names_it() -> None:
    day = rotation_day(1.5, 2)
    with pytest.raises(PlanError, match="aircraft QX-7 is not in the day"):
        plan_rotation(day, "QX-7")
    stray = day.model_copy(update={"aircraft": (Aircraft(registration="QX-8", fit="none"),)})
    with pytest.raises(PlanError, match="QX-8 has a fit that the day does not list"):
        propose(stray, ["QX-8"])


def test_fill_levels_that_are_no_levels_are_refused() -> None:
    with pytest.raises(PlanError, match="fill levels"):
        plan_rotation(rotation_day(1.5, 2), "QX-0", fills=(0.0, 120.0))


def test_a_proposal_does_not_overwrite_later_edits() -> None:
    day = rotation_day(1.5, 6)
    proposal = propose(day)
    with pytest.raises(PlanError, match="plan again"):
        apply_proposal(with_services(day, (1, "fresh", 100.0)), proposal)


def test_a_lavatory_out_of_use_can_only_spare_services() -> None:
    day = rotation_day(1.5, 8)
    closed = Aircraft(registration="QX-0", fit="f", inoperative=(Inoperative(item="lavatory", count=2),))
    fewer = plan_rotation(day.model_copy(update={"aircraft": (closed,)}), "QX-0")
    assert fewer.cost <= plan_rotation(day, "QX-0").cost


def test_the_document_has_the_keys_that_others_read() -> None:
    proposal = propose(blocked_day(ground_min=14.0))
    made = plan_document(proposal)
    assert list(made) == ["format", "version", "status", "cost", "bound", "worst_risk", "services", "unserved"]
    assert (made["format"], made["version"], made["status"]) == ("legtide-plan", 1, "least_bad")
    assert made["cost"] == made["bound"] == proposal.costs.total
    assert list(made["unserved"][0]) == ["registration", "turn", "station", "tank", "reason"]
    full = plan_document(propose(rotation_day(1.5, 6)))
    assert list(full["services"][0]) == [
        "registration", "turn", "station", "tank", "target_percent", "start", "end", "truck"
    ]  # fmt: skip
    assert full["services"][0]["start"].endswith("Z")
    assert full["unserved"] == []
