"""Trigger readings: against the projection with that reading in it, against a simulation, and by their sense."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from legtide.day.document import Aircraft, Day, Figure, Fit, Gauge, Inoperative, Policy, Reading, Service, Tank
from legtide.day.edits import set_figure
from legtide.engine.projection import project
from legtide.plan.rotation import PlanError
from legtide.plan.triggers import Trigger, Triggers, trigger_table, trigger_text, triggers, triggers_document
from support.days import rotation_day
from support.monte_carlo import simulate
from support.rotation_days import with_services


def served_day(**changes: object) -> Day:
    """Eight legs with both tanks served at turns 4 and 6 (waste at 3 besides)."""
    day = rotation_day(1.5, 8, 0.8, **changes)  # type: ignore[arg-type]
    return with_services(
        day, (4, "fresh", 100.0), (6, "fresh", 75.0), (3, "waste", 0.0), (4, "waste", 0.0), (6, "waste", 0.0)
    )


def at(found: Triggers, turn: int, tank: Tank) -> Trigger:
    row = found.at("QX-0", turn, tank)
    assert row is not None
    return row


def risk_with(day: Day, row: Trigger, percent: float) -> float:
    """The risk ahead as the projection has it with that reading and without the service here."""
    services = tuple(s for s in day.services if not (s.turn == row.turn and s.tank == row.tank))
    reading = Reading(aircraft="QX-0", turn=row.turn, tank=row.tank, percent=percent)
    read = day.model_copy(update={"services": services, "readings": (*day.readings, reading)})
    end = len(day.legs) if row.next_service_turn is None else row.next_service_turn
    leg = project(read).aircraft["QX-0"].legs[end - 1]
    return leg.risk_fresh_below_reserve if row.tank == "fresh" else leg.risk_waste_over_limit


def test_each_step_has_the_risk_that_the_projection_shows_with_that_reading() -> None:
    day = served_day()
    checked = 0
    for row in triggers(day).turns:
        for step in row.steps:
            if row.turn > 0 and step.probability > 0.01:
                assert step.risk == pytest.approx(risk_with(day, row, step.percent), abs=0.01)
                checked += 1
    assert checked > 60


def test_after_an_earlier_reading_too() -> None:
    earlier = (Reading(aircraft="QX-0", turn=1, tank="fresh", percent=70.0),)
    day = served_day(readings=earlier)
    for turn, tank in ((2, "fresh"), (2, "waste"), (5, "fresh")):
        row = at(triggers(day), turn, tank)  # type: ignore[arg-type]
        for step in row.steps:
            if step.probability > 0.02:
                assert step.risk == pytest.approx(risk_with(day, row, step.percent), abs=0.015)


@pytest.mark.parametrize(("turn", "tank", "percent"), [(2, "fresh", 60.0), (2, "waste", 40.0), (5, "waste", 30.0)])
def test_a_step_s_risk_agrees_with_a_plain_simulation(turn: int, tank: Tank, percent: float) -> None:
    day = served_day()
    row = at(triggers(day), turn, tank)
    bare = day.model_copy(update={"services": tuple(s for s in day.services if (s.turn, s.tank) != (turn, tank))})
    truth, fit = simulate(bare, 500_000, 3), day.fits[0]
    levels = truth.fresh_arrival if tank == "fresh" else truth.waste_arrival
    noise = np.random.default_rng(4).standard_normal(levels.shape[1])
    shown = 100 * levels[turn - 1] / fit.capacity_l(tank) + noise * fit.gauge(tank).error_percent
    keep = np.abs(shown - percent) < fit.gauge(tank).step_percent / 2
    assert row.next_service_turn is not None
    last = levels[row.next_service_turn - 1][keep]
    true_risk = np.mean(last < 10.0) if tank == "fresh" else np.mean(last > 153.0)
    step = next(step for step in row.steps if step.percent == percent)
    assert keep.sum() > 20_000
    assert step.probability == pytest.approx(keep.mean(), abs=0.005)
    assert step.risk == pytest.approx(true_risk, abs=0.01)


def test_the_trigger_is_the_last_step_within_the_limit() -> None:
    day = served_day()
    found = triggers(day)
    decided = [row for row in found.turns if row.answer == "by_reading"]
    assert len(decided) > 8
    for row in decided:
        for step in row.steps:
            good = step.percent >= row.trigger_percent if row.tank == "fresh" else step.percent <= row.trigger_percent  # type: ignore[operator]
            assert (step.risk <= row.risk_limit) == good


def test_risks_fall_with_the_water_and_rise_with_the_waste() -> None:
    for row in triggers(served_day()).turns:
        risks = [step.risk for step in row.steps]
        ordered = risks if row.tank == "waste" else risks[::-1]
        assert all(low <= high + 1e-6 for low, high in pairwise(ordered))
        if row.turn > 0:
            assert sum(step.probability for step in row.steps) == pytest.approx(1.0, abs=1e-3)


def test_the_day_factor_is_learned_not_the_level_alone() -> None:
    """The same level after much use means a thirsty cabin: the risk ahead is higher than after little use."""
    risks, without = [], []
    for start in (100.0, 70.0):
        aircraft = (Aircraft(registration="QX-0", fit="f", fresh_percent=start),)
        day = with_services(rotation_day(1.5, 8, 0.8), (3, "fresh", 100.0)).model_copy(update={"aircraft": aircraft})
        risks.append(at(triggers(day), 1, "fresh").steps[5].risk)  # 50 % read after one leg
        without.append(at(triggers(set_figure(day, "usage", "day_factor_cv", 0.0)), 1, "fresh").steps[5].risk)
    assert risks[0] > risks[1] + 0.3
    assert without[0] < without[1]  # within the step, a level that fell far is rather at its top


def test_next_service_is_the_next_that_takes_place() -> None:
    day = served_day()
    skipped = day.model_copy(
        update={
            "services": tuple(
                Service(**{**dict(row), "state": "skipped"}) if row.id == "f4" else row for row in day.services
            )
        }
    )
    assert at(triggers(day), 1, "fresh").next_service_turn == 4
    assert at(triggers(skipped), 1, "fresh").next_service_turn == 6
    assert at(triggers(day), 6, "fresh").next_service_turn is None
    assert at(triggers(day), 4, "fresh").planned_here
    assert not at(triggers(skipped), 4, "fresh").planned_here


def test_a_stricter_limit_asks_for_more_water() -> None:
    strict = served_day(policy=Policy(risk_limit=Figure(value=0.01)))
    loose = served_day(policy=Policy(risk_limit=Figure(value=0.3)))
    for turn in (2, 3, 5):
        high, low = (at(triggers(day), turn, "fresh").trigger_percent for day in (strict, loose))
        assert high is not None
        assert low is not None
        assert high > low


def test_always_and_never_have_no_trigger_reading() -> None:
    short = rotation_day([1.0, 0.2], load=0.0)
    assert at(triggers(rotation_day([1.0, 9.0], load=1.0)), 1, "fresh").answer == "never"
    assert at(triggers(short), 1, "waste").trigger_percent is not None  # a gauge can show a full tank
    none_aboard = short.model_copy(update={"policy": Policy(waste_limit_percent=Figure(value=100.0))})
    assert at(triggers(none_aboard), 1, "fresh").answer == "by_reading"
    assert at(triggers(rotation_day([1.0, 9.0], load=1.0)), 1, "fresh").trigger_percent is None


def test_a_gauge_that_does_not_work_gives_no_trigger() -> None:
    broken = (Aircraft(registration="QX-0", fit="f", inoperative=(Inoperative(item="waste_gauge"),)),)
    found = triggers(served_day(aircraft=1).model_copy(update={"aircraft": broken}))
    assert at(found, 2, "waste").answer == "no_gauge"
    assert at(found, 2, "waste").steps == ()
    assert at(found, 2, "fresh").answer == "by_reading"
    assert "gauge does not work" in trigger_text(at(found, 2, "waste"))


@pytest.mark.parametrize(
    "gauge",
    [
        Gauge(shows="eighths", step_percent=12.5),
        Gauge(rounds="down"),
        Gauge(error_percent=0.0),
        Gauge(step_percent=25.0),
    ],
)
def test_every_kind_of_gauge_has_steps_from_empty_to_full(gauge: Gauge) -> None:
    day = served_day(fit=Fit(id="f", fresh_gauge=gauge, waste_gauge=gauge))
    row = at(triggers(day), 2, "fresh")
    assert [step.percent for step in row.steps] == pytest.approx(np.arange(0, 100.1, gauge.step_percent))
    assert sum(step.probability for step in row.steps) == pytest.approx(1.0, abs=2e-3)
    likely = max(row.steps, key=lambda step: step.probability)
    assert likely.risk == pytest.approx(risk_with(day, row, likely.percent), abs=0.015)


def test_readings_that_cannot_be_have_sensible_risks() -> None:
    row = at(triggers(rotation_day(0.5, 4, 0.1)), 1, "fresh")
    assert all(math.isfinite(step.risk) for step in row.steps)
    assert row.steps[0].risk > 0.99
    assert row.steps[-1].risk < 0.01


def test_unchanged_aircraft_are_taken_over() -> None:
    day = served_day(aircraft=3)
    before = triggers(day)
    after = triggers(with_services(day, (2, "waste", 0.0)), before)
    assert after.aircraft["QX-1"] is before.aircraft["QX-1"]
    assert after.aircraft["QX-0"] is not before.aircraft["QX-0"]
    other = triggers(set_figure(day, "policy", "risk_limit", 0.2), before)
    assert other.aircraft["QX-1"] is not before.aircraft["QX-1"]


def test_the_document_has_the_keys_that_others_read() -> None:
    made = triggers_document(triggers(served_day()))
    assert (made["format"], made["version"]) == ("legtide-triggers", 1)
    assert len(made["turns"]) == 16
    assert list(made["turns"][0]) == [
        "registration", "turn", "station", "tank", "next_service_turn", "trigger_percent", "go_on_if", "risk_limit"
    ]  # fmt: skip
    assert {row["go_on_if"] for row in made["turns"] if row["tank"] == "waste"} == {"at_or_below"}
    assert made["turns"][-1]["next_service_turn"] is None


# both gauges ----------------------------------------------------------------------------------------------


def test_the_table_of_two_agrees_with_the_projection_with_both_readings() -> None:
    day = served_day()
    table = trigger_table(day, "QX-0", 2)
    assert table.probability.sum() == pytest.approx(1.0, abs=1e-3)
    checked = 0
    for i, j in zip(*np.nonzero(table.probability > 0.02), strict=True):
        readings = tuple(
            Reading(aircraft="QX-0", turn=2, tank=tank, percent=percent)  # type: ignore[arg-type]
            for tank, percent in (("fresh", table.fresh_percent[i]), ("waste", table.waste_percent[j]))
        )
        legs = project(day.model_copy(update={"readings": readings})).aircraft["QX-0"].legs
        assert table.fresh_risk[i, j] == pytest.approx(legs[3].risk_fresh_below_reserve, abs=0.015)
        assert table.waste_risk[i, j] == pytest.approx(legs[2].risk_waste_over_limit, abs=0.015)
        checked += 1
    assert checked > 8


def test_one_gauge_tells_of_the_other_tank_too() -> None:
    """More waste at the same water means more visits: the water ahead is at more risk."""
    table = trigger_table(with_services(rotation_day(1.5, 8, 0.8), (4, "fresh", 100.0)), "QX-0", 2)
    fresh = table.fresh_percent.index(60.0)
    low, high = table.waste_percent.index(30.0), table.waste_percent.index(50.0)
    assert table.fresh_risk[fresh, high] > table.fresh_risk[fresh, low] + 0.1


def test_a_table_needs_a_turn_between_legs_and_two_gauges() -> None:
    day = served_day()
    for turn in (0, 8, 99):
        with pytest.raises(PlanError, match="between two legs"):
            trigger_table(day, "QX-0", turn)
    broken = (Aircraft(registration="QX-0", fit="f", inoperative=(Inoperative(item="fresh_gauge"),)),)
    with pytest.raises(PlanError, match="fresh gauge of QX-0 does not work"):
        trigger_table(day.model_copy(update={"aircraft": broken}), "QX-0", 2)
