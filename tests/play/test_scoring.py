"""Scores: the best plan against naive ones, luck against judgement, hindsight, and what followed from a service."""

from __future__ import annotations

from datetime import timedelta
from functools import cache
from itertools import product

import numpy as np
import pytest

from legtide.day.document import GroundTime
from legtide.day.rotations import rotations
from legtide.files.day_file import load
from legtide.plan.rotation.planner import plan_of
from legtide.play.aftermath import aftermaths
from legtide.play.brier import brier_score
from legtide.play.calls import ReadingCall, ServiceCall
from legtide.play.hindsight import hindsight_costs
from legtide.play.levels import follow
from legtide.play.players import play_out, replanned
from legtide.play.rounds import Round, advanced, alone, begin_round, played
from legtide.play.scoring import Score, risks_at_departure, score
from legtide.play.tally import tally
from legtide.play.truth import sampled
from legtide.shipped import demo_days
from support.days import rotation_day

NAMES = ("quiet", "tight", "winter", "long-sectors", "training")


@cache
def started(name: str, seed: int = 5) -> Round:
    return begin_round(load(demo_days() / f"{name}.day.json").day, seed)


@cache
def scored(name: str) -> Score:
    return score(started(name), (), group="nobody", days=400)


# the best plan --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_nobody_naive_beats_the_best_plan_on_average(name):
    found = scored(name)
    for player in ("plan", "never", "always"):
        over = found.line(player).over_best
        assert over.mean > -3.0 * over.error, player
    assert found.line("never").over_best.mean > 1000.0, "the scale has two ends"


@pytest.mark.parametrize("name", NAMES)
def test_hindsight_is_the_end_of_the_scale(name):
    found = scored(name)
    for line in (found.group, *found.references):
        assert found.line("hindsight").average.mean <= line.average.mean + 1e-6
        assert found.line("hindsight").came_out <= line.came_out + 1e-6


def test_a_plans_promised_cost_is_its_average_over_sampled_days():
    """The planner's number and the sampled days have nothing in common but the model."""
    start = started("quiet")
    for name in ("QM-AUK", "QM-LAR"):
        one = alone(start, name)
        rotation = rotations(one.day)[name]
        plan = plan_of(one.day, rotation, one.begin)
        day = advanced(replanned(one, name), start.end).day
        truth = sampled(rotations(day)[name], day.policy, day.usage, 77, 8000)
        costs = tally(day, follow(truth, rotations(day)[name], day.policy), start.begin).cost
        assert costs.mean() == pytest.approx(plan.cost, abs=4.0 * costs.std() / np.sqrt(8000) + 0.01 * plan.cost)


@pytest.mark.parametrize("name", NAMES)
def test_what_was_risked_is_what_comes_out_on_average(name):
    """The risks at departure are the projection's, the averages come from drawn days."""
    for line in (scored(name).group, scored(name).line("best"), scored(name).line("always")):
        assert line.risked is not None
        assert line.average.mean == pytest.approx(line.risked, abs=4.0 * line.average.error + 0.01 * line.risked)


def test_a_class_that_calls_what_the_best_plan_calls_scores_as_it_does():
    start = started("quiet")
    best = {name: play_out(alone(start, name), name, replanned) for name in rotations(start.day)}
    legs = {name: len(row.legs) for name, row in rotations(start.day).items()}
    calls = [
        ServiceCall(row.aircraft, row.turn, row.tank, False, start.begin)
        for row in start.day.services
        if row.turn < legs[row.aircraft]
    ]
    calls += [
        ServiceCall(row.aircraft, row.turn, row.tank, True, start.begin, row.target_percent)
        for one in best.values()
        for row in one.day.services
        if row.state == "done" and row.turn < legs[row.aircraft]
    ]
    found = score(start, calls, days=200)
    assert found.group.services == found.line("best").services
    assert found.group.over_best.mean == pytest.approx(0.0, abs=1.0)


def test_the_best_plan_reads_the_same_gauges_and_uses_them():
    start = started("training")
    turn = rotations(start.day)["QM-HAW"].turns[2]
    reading = ReadingCall("QM-HAW", 2, turn.start)
    end = play_out(alone(start, "QM-HAW"), "QM-HAW", replanned, [reading])
    assert {(row.turn, row.tank, row.time) for row in end.day.readings} == {
        (2, "fresh", turn.start),
        (2, "waste", turn.start),
    }


def test_the_same_round_scored_again_has_the_same_score():
    assert score(started("training"), (), group="nobody", days=400) == scored("training")


def test_averages_stand_within_their_errors_on_other_days():
    """The control of the standard errors: other sampled days, and the means differ by about that much."""
    one, other = scored("winter"), score(started("winter", 6), (), days=400)
    for player in ("plan", "always"):
        a, b = one.line(player).average, other.line(player).average
        assert a.mean != b.mean
        assert abs(a.mean - b.mean) <= 4.0 * np.hypot(a.error, b.error)


def test_paired_days_tell_a_difference_more_surely_than_two_averages():
    line, best = scored("tight").group, scored("tight").line("best")
    assert line.over_best.error < np.hypot(line.average.error, best.average.error)


def test_luck_is_what_came_out_less_the_average():
    line = scored("long-sectors").group
    assert line.luck == line.came_out - line.average.mean


# hindsight ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("waits", [False, True])
def test_hindsight_is_the_best_of_all_sets_of_services(waits):
    """Every set of whole drains and of fills of two levels over three turns, one after the other."""
    day = rotation_day(2.0, 4, ground_min=50.0)
    if waits:
        turn = rotations(day)["QX-0"].turns[2]
        wait = GroundTime(
            aircraft="QX-0", turn=2, kind="people_aboard", start=turn.start, end=turn.start + timedelta(minutes=30)
        )
        day = day.model_copy(update={"ground": (wait,)})
    start = begin_round(day, 3)
    truth = sampled(rotations(day)["QX-0"], day.policy, day.usage, 4, 5)
    found = hindsight_costs(alone(start, "QX-0"), "QX-0", truth)
    best = np.full(5, np.inf)
    for fills in product((None, 25.0, 50.0, 75.0, 100.0), repeat=3):
        for drains in product((False, True), repeat=3) if fills == (None, 50.0, 75.0) else ((False, True, False),):
            calls = [
                ServiceCall("QX-0", turn + 1, "fresh", True, start.begin, fill)
                for turn, fill in enumerate(fills)
                if fill is not None
            ]
            calls += [
                ServiceCall("QX-0", turn + 1, "waste", True, start.begin) for turn, yes in enumerate(drains) if yes
            ]
            end = played(start, calls)
            costs = tally(end.day, follow(truth, rotations(end.day)["QX-0"], day.policy), start.begin).cost
            best = np.minimum(best, costs)
            assert np.all(found <= costs + 1e-6)
    assert np.all(found <= best + 1e-6)


def test_hindsight_is_reached_by_calls_that_somebody_could_have_made():
    """The other side: its cost is that of some set of calls, and not less."""
    day = rotation_day(2.0, 3, ground_min=50.0)
    start = begin_round(day, 3)
    truth = sampled(rotations(day)["QX-0"], day.policy, day.usage, 4, 4)
    levels: tuple[float | None, ...] = (None, 25.0, 50.0, 75.0, 100.0)
    best = np.full(4, np.inf)
    for fills in product(levels, repeat=2):
        for drains in product((False, True), repeat=2):
            calls = [
                ServiceCall("QX-0", turn + 1, "fresh", True, start.begin, fill)
                for turn, fill in enumerate(fills)
                if fill is not None
            ]
            calls += [
                ServiceCall("QX-0", turn + 1, "waste", True, start.begin) for turn, yes in enumerate(drains) if yes
            ]
            end = played(start, calls)
            best = np.minimum(
                best, tally(end.day, follow(truth, rotations(end.day)["QX-0"], day.policy), start.begin).cost
            )
    assert hindsight_costs(alone(start, "QX-0"), "QX-0", truth) == pytest.approx(best, abs=1e-6)


# risks and forecasts --------------------------------------------------------------------------------------


def test_a_reading_counts_from_its_turn_on():
    start = started("training")
    turn = rotations(start.day)["QM-VIR"].turns[3]
    plain, read = (played(start, calls) for calls in ((), [ReadingCall("QM-VIR", 3, turn.start)]))
    one, other = (risks_at_departure(end.day, rotations(end.day)["QM-VIR"], 0) for end in (plain, read))
    assert np.array_equal(one[:, :3], other[:, :3])
    assert not np.array_equal(one[:, 3:], other[:, 3:])


def test_the_brier_score_of_published_examples():
    """The four examples that go with the usual definition: forecasts of rain of 100, 70, 30 and 50 %, and rain.

    Definition: AMS Glossary of Meteorology, "Brier score" (0 best, 1 worst); the examples stand in the encyclopedia
    article of the same name: 0, 0.09, 0.49 and 0.25, and 1 for 100 % without rain.
    """
    assert brier_score([1.0], [True]) == 0.0
    assert brier_score([0.7], [True]) == pytest.approx(0.09)
    assert brier_score([0.3], [True]) == pytest.approx(0.49)
    assert brier_score([0.5], [True]) == brier_score([0.5], [False]) == 0.25
    assert brier_score([1.0], [False]) == 1.0


def test_the_brier_score_of_an_example_of_a_reference_library():
    """scikit-learn's documentation of `brier_score_loss` (from memory): these four give 0.037 when rounded down."""
    assert brier_score([0.1, 0.9, 0.8, 0.3], [False, True, True, False]) == pytest.approx(0.0375)


def test_nobody_gains_by_another_forecast_than_the_one_they_hold():
    """Proper: with rain in 3 of 10, every other forecast than 30 % scores worse."""
    rain = [True] * 3 + [False] * 7
    honest = brier_score([0.3] * 10, rain)
    assert all(brier_score([p] * 10, rain) > honest for p in (0.0, 0.1, 0.2, 0.29, 0.31, 0.5, 0.9, 1.0))


def test_a_brier_score_needs_forecasts():
    with pytest.raises(ValueError, match="no forecasts"):
        brier_score([], [])


@pytest.mark.parametrize("name", NAMES)
def test_the_projections_forecasts_are_better_than_none(name):
    """Against somebody who calls every leg safe, over many truths: the mean score is never worse."""
    start = started(name)
    mine = nobody = 0.0
    for registration, rotation in rotations(start.day).items():
        end = advanced(alone(start, registration), start.end)
        final = rotations(end.day)[registration]
        risks = risks_at_departure(end.day, final, 0)
        truth = sampled(rotation, start.day.policy, start.day.usage, 12, 400)
        happened = follow(truth, final, start.day.policy).breached
        mine += float(((risks[:, None, :] - happened) ** 2).mean())
        nobody += float(happened.mean())
    assert mine <= nobody + 1e-9


# what followed --------------------------------------------------------------------------------------------


def test_the_training_days_mishaps_and_what_followed_leg_by_leg():
    found = {(row.aircraft, row.turn, row.tank): row for row in aftermaths(played(started("training", 7), ()))}
    half = found["QM-KIT", 2, "fresh"]
    assert (half.blemish, half.target_percent, half.breaches) == ("partial", 50.0, 1)
    assert [row.breached for row in half.legs] == [False, True], "it is filled again at turn 4"
    assert all(row.as_it_could > row.as_it_was + 50.0 for row in half.legs)
    missed = found["QM-JAY", 2, "fresh"]
    assert missed.blemish == "missed"
    assert len(missed.legs) == 3, "three legs later it still shows"
    late = found["QM-VIR", 4, "fresh"]
    assert (late.blemish, late.legs) == ("late", ())
    assert late.late_min > 0.0


def test_a_service_that_was_left_is_told_like_a_missed_one():
    start = started("training")
    end = played(start, [ServiceCall("QM-WIG", 2, "waste", False, start.begin)])
    row = next(one for one in aftermaths(end) if one.aircraft == "QM-WIG")
    assert (row.blemish, row.turn, row.tank) == ("left", 2, "waste")
    assert all(leg.as_it_was > leg.as_it_could for leg in row.legs)
