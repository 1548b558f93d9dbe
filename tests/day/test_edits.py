"""Edits that move more than they name."""

from __future__ import annotations

from datetime import timedelta

import pytest

from legtide.day import edits, edits_legs
from legtide.day.checks import problems
from legtide.day.document import Reading
from legtide.day.rotations import rotations
from legtide.engine.projection import project
from support.days import rotation_day


def test_a_deleted_leg_takes_its_turn_along_and_what_hangs_on_later_turns_moves_up() -> None:
    day = rotation_day(1.0, 4)
    for turn in (1, 2, 4):
        day, _ = edits.add_service(day, "QX-0", turn, "fresh")
    day = edits.add_reading(day, Reading(aircraft="QX-0", turn=4, tank="waste", percent=50.0))
    shorter = edits_legs.delete_leg(day, "0-1")
    assert [row.turn for row in shorter.services] == [1, 1, 3]
    assert [row.turn for row in shorter.readings] == [3]
    assert problems(shorter) == ()
    with pytest.raises(edits.EditError, match="0-9"):
        edits_legs.delete_leg(day, "0-9")


def test_a_leg_delayed_past_the_next_keeps_its_place_in_the_rotation() -> None:
    day = rotation_day(1.0, 3)
    late = edits.change_leg(day, "0-0", etd=day.legs[1].std + timedelta(hours=1))
    assert [leg.id for leg in rotations(late)["QX-0"].legs] == ["0-0", "0-1", "0-2"]
    assert "turn-eaten" in {row.code for row in project(late).warnings}
    minutes = project(late).aircraft["QX-0"].fresh.minutes
    assert list(minutes) == sorted(minutes)


def test_an_edit_that_changes_nothing_gives_the_same_day() -> None:
    day, name = edits.add_service(rotation_day(1.0, 3), "QX-0", 1, "fresh")
    assert edits.set_target(day, name, 100.0) is day
    assert edits.set_service_state(day, name, "planned") is day
    assert edits.change_leg(day, "0-0", passengers=day.legs[0].passengers) is day
    assert edits.replace_services(day, day.services) is day
