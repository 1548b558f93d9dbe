"""Rounds of random calls on odd days: nothing raises, levels stay in the tank, and the log gives the same again."""

from __future__ import annotations

import random
from datetime import timedelta

import pytest

from legtide.day.document import Day
from legtide.day.edits import change_leg
from legtide.day.rotations import rotations
from legtide.play.aftermath import aftermaths
from legtide.play.calls import Call, CallError, ReadingCall, ServiceCall
from legtide.play.rounds import Opening, Round, advanced, begin_round, called, followed, next_opening, played
from legtide.play.scoring import score
from support.days import rotation_day
from support.full_day import full_day


def days() -> dict[str, Day]:
    plain = rotation_day(1.2, 5, aircraft=2)
    first = plain.aircraft[0]
    legs = plain.legs
    return {
        "everything": full_day(),
        "turn eaten by a delay": change_leg(plain, legs[1].id, etd=legs[2].std + timedelta(minutes=40)),
        "arrives before it departs": change_leg(plain, legs[2].id, eta=legs[2].std - timedelta(minutes=5)),
        "aircraft without legs": plain.model_copy(
            update={"aircraft": (*plain.aircraft, first.model_copy(update={"registration": "QX-NONE"}))}
        ),
        "nobody aboard": plain.model_copy(
            update={"legs": tuple(row.model_copy(update={"passengers": 0, "crew": 0}) for row in legs)}
        ),
        "station not listed": plain.model_copy(update={"stations": plain.stations[:1]}),
    }


def some_call(rng: random.Random, round_: Round, found: Opening) -> Call:
    if rng.random() < 0.3:
        return ReadingCall(found.aircraft, found.turn, round_.clock)
    tank = "fresh" if rng.random() < 0.5 else "waste"
    return ServiceCall(
        found.aircraft, found.turn, tank, rng.random() < 0.7, round_.clock, rng.choice([None, 50.0, 75.0])
    )


def walked(start: Round, rng: random.Random) -> Round:
    """A round with calls at every turn; those that cannot be made are refused with a sentence."""
    round_ = start
    while (found := next_opening(round_)) is not None:
        round_ = advanced(round_, found.time)
        for _ in range(3):
            try:
                round_ = called(round_, some_call(rng, round_, found))
            except CallError as error:
                assert str(error)
    return advanced(round_, start.end)


@pytest.mark.parametrize("name", list(days()))
def test_random_calls_on_an_odd_day(name):
    start = begin_round(days()[name], 4)
    end = walked(start, random.Random(name))
    again = played(start, end.log)
    assert again.day.readings == end.day.readings
    assert again.day.services == end.day.services
    for registration in rotations(end.day):
        found = followed(end, registration)
        for tank, capacity in enumerate(found.capacity):
            assert 0.0 <= found.levels[tank].min() <= found.levels[tank].max() <= capacity
    assert {row.state for row in end.day.services if row.turn < 2} <= {"done", "missed", "skipped"}
    made = score(start, end.log, days=100)
    for line in (made.group, *made.references):
        assert made.line("hindsight").average.mean <= line.average.mean + 1e-6, line.player
    assert 0.0 <= made.brier <= 1.0
    assert all(row.legs or row.blemish == "late" for row in aftermaths(end))
