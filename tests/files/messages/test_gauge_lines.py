"""Gauge readings pasted as lines: which turn they belong to, and that nothing is guessed."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from legtide.day.checks import problems
from legtide.day.document import Day
from legtide.files.messages import Outcome, apply, read_messages
from support.days import rotation_day


@pytest.fixture(scope="module")
def day() -> Day:
    """QX-0: ABLE-BAKE 04:00-05:30, BAKE-ABLE 06:15-07:45, and so on, on 14 May 2026; QX-1 the same."""
    return rotation_day(1.5, 4, aircraft=2)


def told(day: Day, *lines: str) -> Outcome:
    made = apply(day, read_messages("\n".join(lines)))
    assert problems(made.day) == problems(day)
    return made


def read(made: Outcome) -> list[tuple[str, int, str, float, datetime | None]]:
    return [(row.aircraft, row.turn, row.tank, row.percent, row.time) for row in made.day.readings]


@pytest.mark.parametrize(
    ("line", "fresh"),
    [
        ("READING QX0 0545 FRESH 56 WASTE 70", 56.0),
        ("reading qx-0 05:45 waste 70 % fresh 56,5%", 56.5),
        ("READING\tQX-0\t140545\tFRESH\t5/8\tWASTE\t70", 62.5),
        ("READING QX-0 0545 FRESH 100 L WASTE 119L", 50.0),
    ],
)
def test_both_gauges_are_read_at_the_turn_of_their_time(day, line, fresh):
    at = datetime(2026, 5, 14, 5, 45, tzinfo=UTC)
    made = told(day, line)
    assert read(made) == [("QX-0", 1, "fresh", fresh, at), ("QX-0", 1, "waste", 70.0, at)]
    assert [row.field for row in made.changes] == ["fresh gauge", "waste gauge"]
    assert made.not_understood == ()


def test_the_same_line_again_is_said_and_changes_nothing(day):
    once = told(day, "READING QX0 0545 FRESH 56").day
    again = told(once, "READING QX0 0545 FRESH 56")
    assert again.day is once
    assert "has this reading already" in again.notes[0].text


def test_a_reading_follows_the_times_that_the_same_text_moves(day):
    """Off blocks at 06:55 instead of 06:15: 06:30 is now on the ground."""
    alone = told(day, "READING QX0 0630 FRESH 56")
    assert "during ZZ101" in alone.not_understood[0].reason
    text = ("READING QX0 0630 FRESH 56", "MVT", "ZZ101/14.QX0.BAKE", "ED140655")
    assert read(told(day, *text))[0][1] == 1


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("READING QX0 0445 FRESH 56", "0445 is during ZZ100, not at a turn"),
        ("READING QX9 0545 FRESH 56", "aircraft QX9 is not in the day"),
        ("READING QX0 150545 FRESH 56", "150545 lies outside the legs of QX-0"),
        ("READING QX0 2545 FRESH 56", "2545 is not a time"),
        ("READING QX0 0545 FRESH 156", "fresh 156 % is more than the tank holds"),
        ("READING QX0 0545 FRESH 300 L", "fresh 300 L of 200 L is more than the tank holds"),
        ("READING QX0 0545 FRESH 56 FRESH 57", "names FRESH twice"),
        ("READING QX0 0545 FRESH 9/8", "FRESH 9/8 is not a level"),
        ("READING QX0 0545 FRESH 5 6", "is not a level"),
        ("READING QX0 0545", "a reading is written READING"),
        ("READING", "a reading is written READING"),
    ],
)
def test_what_is_not_clear_is_refused_whole(day, line, reason):
    made = told(day, line)
    assert made.day is day
    assert reason in made.not_understood[0].reason
    assert made.not_understood[0].line == 1


def test_a_time_that_comes_twice_is_asked_for_with_its_day():
    """Fourteen legs of an hour and a half last longer than a day."""
    long = rotation_day(1.5, 14)
    made = told(long, "READING QX0 0200 WASTE 50")
    assert "could be 140200 or 150200: write it with its day" in made.not_understood[0].reason
    assert read(told(long, "READING QX0 140200 WASTE 50"))[0][1] == 0


def test_a_message_does_not_take_a_reading_for_its_own_line(day):
    made = told(day, "MVT", "ZZ100/14.QX0.ABLE", "AD0412", "READING QX0 0545 FRESH 56", "stray words")
    assert len(made.day.readings) == 1
    assert made.day.legs[0].atd is not None
    assert [row.text for row in made.not_understood] == ["stray words"]
