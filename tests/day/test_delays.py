"""What a late leg means for those after it, as a dispatcher reckons by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest

from legtide.day import edits
from legtide.day.delays import following_legs, least_turn
from legtide.day.document import Figure, Policy
from legtide.day.rotations import off_blocks, on_blocks, rotations
from legtide.engine.projection import project
from legtide.view.panels.remedies import applied
from support.days import rotation_day


def late_day(minutes: float, **changes):
    """Six legs of an hour with turns of 45 min; the first comes in late."""
    day = rotation_day(1.0, 6, **changes)
    return edits.change_leg(day, "0-0", eta=day.legs[0].sta + timedelta(minutes=minutes))


def delays(day, legs):
    """Minutes by which legs leave behind their schedule."""
    known = {leg.id: leg for leg in day.legs}
    return [(leg.id, (off_blocks(leg) - known[leg.id].std) / timedelta(minutes=1)) for leg in legs]


@pytest.mark.parametrize(
    ("late", "expected"),
    [
        (15, []),
        (20, []),
        (20.5, [("0-1", 1.0)]),
        (60, [("0-1", 40.0), ("0-2", 20.0)]),
        (130, [("0-1", 110.0), ("0-2", 90.0), ("0-3", 70.0), ("0-4", 50.0), ("0-5", 30.0)]),
    ],
)
def test_each_turn_wins_back_what_it_has_over_the_shortest(late, expected):
    """Turns of 45 min against a shortest of 25 win back 20 min each."""
    day = late_day(late)
    assert delays(day, following_legs(rotations(day)["QX-0"], 1, day.policy)) == expected


def test_a_schedule_with_shorter_turns_is_taken_as_it_is():
    day = late_day(5, ground_min=20.0)
    first, second = rotations(day)["QX-0"].legs[:2]
    assert least_turn(first, second, day.policy) == timedelta(minutes=20)
    on_time = edits.change_leg(day, "0-0", eta=None)
    assert "turn-short" not in {row.code for row in project(on_time).warnings}
    assert "turn-short" in {row.code for row in project(day).warnings}


def test_what_has_left_stays_and_estimates_of_arrivals_move_along():
    day = late_day(60)
    day = edits.change_leg(day, "0-1", eta=day.legs[1].sta + timedelta(minutes=3))
    moved = following_legs(rotations(day)["QX-0"], 1, day.policy)
    assert on_blocks(moved[0]) == day.legs[1].sta + timedelta(minutes=43)
    gone = edits.change_leg(day, "0-1", atd=day.legs[1].std)
    assert following_legs(rotations(gone)["QX-0"], 1, gone.policy) == ()


def test_another_shortest_turn_gives_other_estimates():
    day = late_day(60, policy=Policy(shortest_turn_min=Figure(value=40.0)))
    moved = following_legs(rotations(day)["QX-0"], 1, day.policy)
    assert delays(day, moved) == [("0-1", 55.0), ("0-2", 50.0), ("0-3", 45.0), ("0-4", 40.0), ("0-5", 35.0)]


@pytest.mark.parametrize(
    ("late", "code", "words"),
    [
        (30, "turn-short", "Let ZZ101 leave at 05:55"),
        (60, "turn-eaten", "Let ZZ101 leave at 06:25, and what follows later: 1"),
    ],
)
def test_the_way_out_moves_all_that_follow_and_settles_the_warning(late, code, words):
    day = late_day(late)
    found = next(row for row in project(day).warnings if row.code == code)
    assert found.remedy is not None and (found.remedy.kind, found.remedy.text) == ("push_legs", words)
    after, _ = applied(day, found.remedy)
    assert not {"turn-short", "turn-eaten"} & {row.code for row in project(after).warnings}
