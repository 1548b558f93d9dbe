"""Rates learned from readings of simulated days: known rates lie in the stated intervals, as often as stated."""

from __future__ import annotations

import json
from functools import cache

import numpy as np
import pytest

from legtide.day.document import Day, Inoperative, Reading, Service
from legtide.day.edits import change_aircraft
from legtide.engine.learn import Learned, learn, learning_document
from legtide.engine.learn.chains import chains_of, link_table
from legtide.engine.learn.likelihood import chain_log_likelihoods
from legtide.engine.projection import project
from legtide.engine.usage import Rates
from support.days import rotation_day
from support.past_days import Truth, past_day

OTHER = Truth(visits=0.36, wash=0.30, day_cv=0.28, leg_shape=12.0)


def past(count: int, truth: Truth, seed: int, **how: str) -> list[Day]:
    rng = np.random.default_rng(seed)
    return [past_day(number, truth, rng, **how) for number in range(count)]


def inside(found: Learned, truth: Truth) -> list[bool]:
    """Which true values lie in their intervals: four figures, then two mean rates."""
    true = [truth.visits, truth.wash, truth.day_cv, truth.leg_shape]
    true += [truth.visits * (0.237 + truth.wash) + 0.02, truth.visits * (0.237 + 0.26)]
    rows = [*found.estimates, *found.rates]
    return [row.low <= value <= row.high for row, value in zip(rows, true, strict=True)]


@cache
def many() -> Learned:
    return learn(past(120, OTHER, 1)).groups[0]


def test_rates_that_differ_from_what_is_assumed_are_recovered() -> None:
    found = {row.field: row for row in many().estimates}
    assert found["visits_per_person_h"].value == pytest.approx(0.36, rel=0.1)
    assert found["hand_wash_mean_l"].value == pytest.approx(0.30, rel=0.1)
    assert found["day_factor_cv"].value == pytest.approx(0.28, rel=0.35)
    assert found["leg_factor_shape"].value == pytest.approx(12.0, rel=0.35)
    assert found["visits_per_person_h"].low > found["visits_per_person_h"].assumed


def test_the_intervals_hold_the_truth_about_as_often_as_they_say() -> None:
    """90 % intervals of 48 numbers in 8 sets of days: about 43 should hold; those of one set lean the same way."""
    held = [flag for seed in range(8) for flag in inside(learn(past(25, OTHER, 40 + seed)).groups[0], OTHER)]
    assert len(held) == 48
    assert sum(held) >= 36


def test_more_days_give_narrower_intervals() -> None:
    few = {row.field: row.high / row.low for row in learn(past(25, OTHER, 40)).groups[0].estimates}
    assert all(row.high / row.low < few[row.field] for row in many().estimates)


def test_the_assumed_rates_are_confirmed_on_days_that_follow_them() -> None:
    assert sum(inside(learn(past(60, Truth(), 3)).groups[0], Truth())) >= 5


def test_fits_and_cabin_services_are_told_apart() -> None:
    quiet = past(12, Truth(visits=0.25), 5, fit="small")
    busy = past(12, Truth(visits=0.40), 6, fit="large", service="none")
    found = {(row.fit, row.cabin_service): row for row in learn([*quiet, *busy]).groups}
    assert set(found) == {("", ""), ("small", ""), ("small", "average"), ("large", ""), ("large", "none")}
    visits = {key: row.estimates[0].value for key, row in found.items()}
    assert visits["small", ""] < visits["", ""] < visits["large", ""]
    assert found["small", "average"].estimates == found["small", ""].estimates


def test_the_learned_figures_fit_into_a_day_with_their_source() -> None:
    day = past(1, OTHER, 1)[0]
    usage = many().usage(day.usage)
    figure = usage.visits_per_person_h
    assert figure.status == "learned"
    assert figure.source.startswith("Learned from ")
    assert "120 days (2026-05-14 to 2026-09-10)" in figure.source
    assert "90 % interval" in figure.source
    assert usage.rinse_l == day.usage.rinse_l
    assert project(day.model_copy(update={"usage": usage})).aircraft


def test_a_slip_among_many_readings_moves_little() -> None:
    days = past(25, OTHER, 40)
    first = days[0]
    slip = Reading(aircraft="QX-0", turn=1, tank="fresh", percent=0.0)
    rest = tuple(row for row in first.readings if not (row.turn == 1 and row.tank == "fresh"))
    spoilt = [first.model_copy(update={"readings": (slip, *rest)}), *days[1:]]
    for one, other in zip(learn(days).groups[0].estimates, learn(spoilt).groups[0].estimates, strict=True):
        assert np.log(other.value / one.value) == pytest.approx(0.0, abs=np.log(one.high / one.low) / 4)


def test_one_link_s_likelihood_is_the_engine_s_probability_of_that_reading() -> None:
    """Steps of one gauge read once: the same probabilities as the projection gives them, but for slips."""
    for percent in (50.0, 60.0, 70.0, 80.0):
        reading = Reading(aircraft="QX-0", turn=1, tank="fresh", percent=percent)
        day = rotation_day(1.8, 3, 0.8, readings=(reading,))
        table = link_table(chains_of([day]))
        mine = float(np.exp(chain_log_likelihoods(table, Rates.of(day.usage)))[0])
        shown = project(day).aircraft["QX-0"].readings[0].probability
        assert mine == pytest.approx(shown, abs=0.01)


def test_probabilities_of_two_readings_in_a_row_add_up_to_one() -> None:
    total = 0.0
    for first in range(0, 101, 10):
        for second in range(0, 101, 10):
            readings = tuple(
                Reading(aircraft="QX-0", turn=turn, tank="waste", percent=float(percent))
                for turn, percent in ((1, first), (2, second))
            )
            day = rotation_day(1.5, 4, 0.8, readings=readings)
            table = link_table(chains_of([day]))
            total += float(np.exp(chain_log_likelihoods(table, Rates.of(day.usage)))[0])
    assert total == pytest.approx(1.0, abs=0.02)


# chains ---------------------------------------------------------------------------------------------------


def read(turn: int, percent: float) -> Reading:
    return Reading(aircraft="QX-0", turn=turn, tank="fresh", percent=percent)


def test_a_partial_fill_ends_what_is_known_until_the_next_reading() -> None:
    part = Service(id="p", aircraft="QX-0", turn=2, tank="fresh", target_percent=50.0, state="done")
    day = rotation_day(1.0, 6, readings=tuple(read(t, 70.0) for t in (1, 3, 5)), services=(part,))
    links = chains_of([day])[0].links
    assert [len(link.rows) for link in links] == [1, 2]
    assert links[0].known == 200.0
    assert links[1].since == pytest.approx((130.0, 150.0))


def test_a_service_that_was_missed_does_not_break_a_chain() -> None:
    missed = Service(id="m", aircraft="QX-0", turn=1, tank="fresh", state="missed")
    day = rotation_day(1.0, 3, readings=(read(2, 60.0),), services=(missed,))
    assert [len(link.rows) for link in chains_of([day])[0].links] == [2]


def test_a_gauge_out_of_use_and_a_reading_before_any_use_teach_nothing() -> None:
    day = rotation_day(1.0, 3, readings=(read(0, 100.0), read(2, 60.0)))
    assert [len(link.rows) for link in chains_of([day])[0].links] == [2]
    broken = change_aircraft(day, "QX-0", inoperative=(Inoperative(item="fresh_gauge"),))
    assert chains_of([broken]) == []


def test_too_few_readings_are_said_not_guessed_from() -> None:
    found = learn(past(1, OTHER, 2))
    assert found.groups == ()
    assert "too few" in found.notes[0]
    assert learn([rotation_day(1.0, 2)]).groups == ()
    assert learn([]).notes


def test_the_document_is_plain_json() -> None:
    made = learning_document(learn(past(6, OTHER, 7)))
    assert (made["format"], made["version"]) == ("legtide-learned", 1)
    assert json.loads(json.dumps(made, allow_nan=False)) == made
    assert made["groups"][0]["usage"]["day_factor_cv"]["status"] == "learned"
