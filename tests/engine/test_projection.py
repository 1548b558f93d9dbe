"""What must hold of every projection, and what each input does to it."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legtide.day import edits
from legtide.day.document import Aircraft, Day, Figure, Fit, Gauge, GroundTime, Inoperative, Policy, Reading, Service
from legtide.engine.projection import project
from legtide.engine.types import AircraftProjection, LegResult
from support.days import random_day, rotation_day

NAME = "QX-0"


def one(day: Day) -> AircraftProjection:
    return project(day).aircraft[NAME]


def risks(leg: LegResult) -> tuple[float, float, float, float]:
    return leg.risk_fresh_dry, leg.risk_fresh_below_reserve, leg.risk_waste_over_limit, leg.risk_waste_full


def with_aircraft(day: Day, **changes: object) -> Day:
    return edits.change_aircraft(day, NAME, **changes)


seeds = st.integers(0, 10_000)


@settings(deadline=None, max_examples=40)
@given(seed=seeds, happens=st.sampled_from([1.0, 0.8]), read=st.booleans())
def test_levels_stay_in_the_tank_and_quantiles_in_order(seed: int, happens: float, read: bool) -> None:
    rng = np.random.default_rng(seed)
    day = random_day(rng, policy=Policy(service_happens_probability=Figure(value=happens)))
    if read:
        percent = float(rng.choice([20.0, 40.0, 60.0, 80.0]))
        day = edits.add_reading(day, Reading(aircraft=NAME, turn=1, tank="fresh", percent=percent))
    for curve in (one(day).fresh, one(day).waste):
        assert curve.levels.min() >= 0.0
        assert curve.levels.max() <= curve.capacity_l
        assert np.all(np.diff(curve.levels, axis=0) >= -1e-9)
        assert np.all(np.diff(curve.minutes) >= 0.0)
        assert np.all((curve.over_limit >= 0.0) & (curve.over_limit <= 1.0))
        assert np.all(curve.exhausted <= curve.over_limit + 1e-9)


@settings(deadline=None, max_examples=30)
@given(seed=seeds, more=st.integers(1, 60))
def test_more_passengers_never_lower_a_risk(seed: int, more: int) -> None:
    day = random_day(np.random.default_rng(seed), partial=False)
    fuller = day
    for leg in day.legs:
        fuller = edits.change_leg(fuller, leg.id, passengers=leg.passengers + more)
    for before, after in zip(one(day).legs, one(fuller).legs, strict=True):
        assert all(b >= a - 1e-9 for a, b in zip(risks(before), risks(after), strict=True))


@settings(deadline=None, max_examples=30)
@given(seed=seeds, turn=st.integers(1, 8))
def test_an_added_drain_never_raises_a_waste_risk(seed: int, turn: int) -> None:
    day = random_day(np.random.default_rng(seed), partial=False)
    served, _ = edits.add_service(day, NAME, min(turn, len(day.legs) - 1), "waste")
    for before, after in zip(one(day).legs, one(served).legs, strict=True):
        assert after.risk_waste_over_limit <= before.risk_waste_over_limit + 1e-9
        assert after.risk_fresh_dry == before.risk_fresh_dry


def test_the_order_of_aircraft_changes_nothing_to_the_bit() -> None:
    day = rotation_day(1.3, 7, 0.85, aircraft=5)
    turned = day.model_copy(update={"aircraft": day.aircraft[::-1], "legs": day.legs[::-1]})
    first, second = project(day), project(turned)
    for name, projection in first.aircraft.items():
        assert np.array_equal(projection.fresh.levels, second.aircraft[name].fresh.levels)
        assert projection.legs == second.aircraft[name].legs


def test_one_aircraft_alone_gives_the_same_bits_as_among_many() -> None:
    many = project(rotation_day(1.3, 7, 0.85, aircraft=6)).aircraft["QX-0"]
    alone = one(rotation_day(1.3, 7, 0.85))
    assert np.array_equal(many.waste.levels, alone.waste.levels)


def test_only_what_changed_is_projected_again_and_undo_gives_the_same_bits() -> None:
    day = rotation_day(1.5, 6, 0.8, aircraft=3)
    before = project(day)
    changed, name = edits.add_service(day, "QX-1", 3, "fresh")
    after = project(changed, before)
    assert after.aircraft["QX-0"] is before.aircraft["QX-0"]
    assert after.aircraft["QX-1"] is not before.aircraft["QX-1"]
    undone = project(edits.delete_service(changed, name), after)
    assert undone.aircraft["QX-1"].legs == before.aircraft["QX-1"].legs


def test_a_skipped_or_missed_service_does_nothing_and_a_done_one_happens() -> None:
    day = rotation_day(1.5, 6, 0.8)
    plain = one(day).legs
    served, name = edits.add_service(day, NAME, 3, "fresh")
    assert one(edits.set_service_state(served, name, "skipped")).legs == plain
    assert one(edits.set_service_state(served, name, "missed")).legs == plain
    done = edits.set_service_state(served, name, "done")
    unsure = done.model_copy(update={"policy": Policy(service_happens_probability=Figure(value=0.5))})
    assert one(unsure).legs[3].fresh_departure.p05 == 200.0
    assert one(done).services[0].volume.mean == pytest.approx(200.0 - plain[2].fresh_arrival.mean)


def test_a_drained_tank_holds_its_pre_charge_and_gave_all_it_had() -> None:
    day, _ = edits.add_service(rotation_day(1.5, 6, 0.8), NAME, 4, "waste")
    projection = one(day)
    assert projection.legs[4].waste_departure.mean == pytest.approx(10.0)
    assert projection.services[0].volume.mean == pytest.approx(projection.legs[3].waste_arrival.mean)


def test_a_fill_below_the_present_level_takes_nothing_out() -> None:
    day, _ = edits.add_service(rotation_day(0.8, 3, 0.3), NAME, 1, "fresh", target_percent=40.0)
    assert one(day).legs[1].fresh_departure.mean == pytest.approx(one(day).legs[0].fresh_arrival.mean, abs=0.3)


def test_a_delay_moves_the_curve_and_a_longer_block_uses_more() -> None:
    day = rotation_day(1.5, 3, 0.8)
    late = edits.change_leg(day, "0-1", etd=day.legs[1].std + timedelta(minutes=30))
    assert one(late).legs[1].fresh_arrival == one(day).legs[1].fresh_arrival  # as long as before, only later
    longer = edits.change_leg(day, "0-1", eta=day.legs[1].sta + timedelta(minutes=45))
    assert one(longer).legs[1].fresh_arrival.mean < one(day).legs[1].fresh_arrival.mean - 5.0
    actual = edits.change_leg(longer, "0-1", ata=day.legs[1].sta)
    assert one(actual).legs[1].fresh_arrival == one(day).legs[1].fresh_arrival


def test_nothing_is_used_on_the_ground_but_by_people_who_wait_aboard() -> None:
    day = rotation_day(1.5, 2, 0.8, ground_min=200.0)
    turn_start, turn_end = day.legs[0].sta, day.legs[1].std
    assert one(day).legs[1].fresh_departure == one(day).legs[0].fresh_arrival
    wait = GroundTime(
        aircraft=NAME, turn=1, kind="people_aboard", start=turn_start + timedelta(minutes=30), end=turn_end
    )
    waiting = edits.add_rows(day, ground=[wait])
    used = one(waiting).legs[0].fresh_arrival.mean - one(waiting).legs[1].fresh_departure.mean
    hours, persons = 170 / 60, day.legs[1].passengers + 6
    assert used == pytest.approx(0.2021 * hours * persons, rel=0.02)
    assert "water-due" in {row.code for row in project(waiting).warnings}


def test_lavatories_out_of_use_limit_the_visits() -> None:
    day = rotation_day(2.0, 2, 1.0)
    one_left = with_aircraft(day, inoperative=(Inoperative(item="lavatory", count=2),))
    none_left = with_aircraft(day, inoperative=(Inoperative(item="lavatory", count=3),))
    full, short, closed = (one(d).legs[0].waste_arrival.mean for d in (day, one_left, none_left))
    # One lavatory takes 3600/155 visits an hour: 2 h at 0.497 L a visit, on top of the pre-charge.
    assert short == pytest.approx(10.0 + 2 * (3600 / 155) * 0.497, rel=0.01)
    assert full > short > closed == pytest.approx(10.0, abs=0.1)
    assert "lavatories-short" in {row.code for row in project(one_left).warnings}


def test_galley_water_out_of_use_leaves_the_basins() -> None:
    day = rotation_day(2.0, 1, 1.0)
    dry_galley = with_aircraft(day, inoperative=(Inoperative(item="galley_water"),))
    saved = one(dry_galley).legs[0].fresh_arrival.mean - one(day).legs[0].fresh_arrival.mean
    assert saved == pytest.approx(0.02 * 2.0 * 186, rel=0.01)


def test_a_start_that_was_read_is_as_wide_as_the_gauge_step() -> None:
    exact = with_aircraft(rotation_day(1.5, 2), fresh_percent=80.0, waste_percent=20.0)
    read = with_aircraft(exact, start_is="reading")
    known, spread = one(exact).legs[0].fresh_departure, one(read).legs[0].fresh_departure
    assert known.p05 == known.p95 == 160.0
    # A 10 % step of 200 L: uniform over 150-170 L, with an error of 2 L: 5-95 % of about 18 L.
    assert spread.p95 - spread.p05 == pytest.approx(18.0, abs=1.5)
    assert spread.mean == pytest.approx(160.0, abs=0.3)


# readings -------------------------------------------------------------------------------------------------


def read_day(*rows: tuple[int, str, float], **changes: object) -> Day:
    readings = tuple(Reading(aircraft=NAME, turn=t, tank=k, percent=p) for t, k, p in rows)  # type: ignore[arg-type]
    return rotation_day(1.5, 6, 0.8, readings=readings, **changes)  # type: ignore[arg-type]


def test_a_low_reading_raises_the_day_factor_and_moves_later_legs() -> None:
    plain, low = one(read_day()), one(read_day((2, "fresh", 30.0)))
    assert low.day_factor.mean > 1.1
    assert low.legs[3].fresh_arrival.mean < plain.legs[3].fresh_arrival.mean - 20.0
    assert low.legs[3].waste_arrival.mean > plain.legs[3].waste_arrival.mean + 5.0  # the tanks share the factor
    assert low.legs[1].fresh_arrival == plain.legs[1].fresh_arrival  # before the reading nothing changes


def test_a_reading_after_a_fill_says_little_about_the_use_before() -> None:
    fill = Service(
        id="s", aircraft=NAME, turn=2, tank="fresh", start=rotation_day().legs[1].sta + timedelta(minutes=5)
    )
    after = fill.start + timedelta(minutes=20)  # type: ignore[operator]
    full = Reading(aircraft=NAME, turn=2, tank="fresh", percent=100.0, time=after)
    day = rotation_day(1.5, 6, 0.8, services=(fill,), readings=(full,))
    assert one(day).readings[0].used
    assert one(day).day_factor.mean == pytest.approx(1.0, abs=0.01)
    low_before = Reading(aircraft=NAME, turn=2, tank="fresh", percent=30.0)
    both = one(edits.add_reading(day, low_before))
    assert both.day_factor.mean > 1.1
    assert both.legs[2].fresh_departure.p05 > 185.0


def test_contradictory_readings_are_cautioned_by_name_and_the_second_is_not_used() -> None:
    day = read_day((2, "fresh", 60.0), (2, "fresh", 20.0))
    projection = project(day)
    assert [row.used for row in projection.aircraft[NAME].readings] == [True, False]
    caution = next(row for row in projection.warnings if row.code == "reading-implausible")
    assert "20 %" in caution.message
    assert "60 %" in caution.message


def test_a_reading_of_zero_and_one_of_full_are_taken() -> None:
    dry = one(read_day((4, "fresh", 0.0)))
    assert dry.readings[0].used
    assert dry.legs[4].risk_fresh_dry > 0.5
    assert one(read_day((0, "fresh", 100.0))).readings[0].used


def test_an_inoperative_gauge_is_not_listened_to() -> None:
    day = with_aircraft(read_day((2, "fresh", 20.0)), inoperative=(Inoperative(item="fresh_gauge"),))
    assert one(day).legs == one(with_aircraft(read_day(), inoperative=day.aircraft[0].inoperative)).legs
    assert not one(day).readings[0].used
    assert "reading-implausible" not in {row.code for row in project(day).warnings}


def test_eighths_and_litres_are_steps_of_their_own_size() -> None:
    eighths = Fit(id="f", fresh_gauge=Gauge(shows="eighths", step_percent=12.5, error_percent=0.0))
    day = read_day((2, "fresh", 62.5), fit=eighths)
    level = one(day).legs[2].fresh_departure
    assert level.p05 >= 0.5625 * 200 - 0.5
    assert level.p95 <= 0.6875 * 200 + 0.5


def test_rows_without_legs_are_projected_as_nothing() -> None:
    day = edits.add_rows(rotation_day(), aircraft=[Aircraft(registration="QX-9", fit="f")])
    idle = project(day).aircraft["QX-9"]
    assert idle.legs == ()
    assert idle.fresh.levels[:, 0] == pytest.approx([200.0] * 5)


def test_the_day_factor_that_nothing_was_read_of_is_the_lognormal_of_the_figures() -> None:
    """Lognormal of mean 1 and CV 0.20: 0.708 and 1.358, exp(-s^2/2 -+ 1.645 s) with s^2 = ln 1.04; 16 nodes."""
    factor = one(rotation_day(1.5, 2)).day_factor
    assert (factor.p05, factor.p95) == pytest.approx((0.708, 1.358), abs=0.012)


def test_water_from_an_unapproved_point_is_never_a_way_out() -> None:
    """Water only from approved points: 21 CFR 1240.80, 1240.83."""
    day = rotation_day(1.5, 5, 0.9)
    open_to_all = next(row for row in project(day).warnings if row.code == "fresh-below-reserve")
    assert open_to_all.remedy is not None
    place = day_station(day, open_to_all.remedy.turn)
    closed = edits.change_station(day, place, approved_water=False)
    other = next(row for row in project(closed).warnings if row.code == "fresh-below-reserve")
    assert other.remedy is not None
    assert other.remedy.kind == "none" or day_station(day, other.remedy.turn) != place


def day_station(day: Day, turn: int) -> str:
    return one(day).rotation.turns[turn].station


@pytest.mark.parametrize(("percent", "warned"), [(100.0, True), (0.0, False)])
def test_only_a_tank_with_water_in_it_can_freeze(percent: float, warned: bool) -> None:
    day = edits.change_station(rotation_day(1.5, 2), "ABLE", outside_air_c=-12.0)
    start = day.legs[0].std - timedelta(hours=6)
    cold = GroundTime(aircraft=NAME, turn=0, kind="unheated", start=start, end=start + timedelta(hours=5))
    day = with_aircraft(edits.add_rows(day, ground=[cold]), fresh_percent=percent)
    assert ("freezing" in {row.code for row in project(day).warnings}) is warned
