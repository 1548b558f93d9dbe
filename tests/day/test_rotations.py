"""Rotations are found again by what they are made of, and let go with the days that need them."""

from __future__ import annotations

import gc
import weakref

from legtide.day import edits
from legtide.day.rotations import rotations
from support.days import rotation_day


def test_an_edit_of_one_aircraft_leaves_the_rotations_of_the_others() -> None:
    day = rotation_day(1.5, 4, aircraft=3)
    before = rotations(day)
    edited, _ = edits.add_service(day, "QX-1", 2, "fresh")
    after = rotations(edited)
    assert after["QX-0"] is before["QX-0"] and after["QX-2"] is before["QX-2"]
    assert after["QX-1"] is not before["QX-1"]
    assert len(after["QX-1"].services) == len(before["QX-1"].services) + 1
    assert rotations(day)["QX-1"] is before["QX-1"]


def test_a_long_day_of_edits_keeps_only_the_rotations_in_use() -> None:
    """A hundred edits of one aircraft: what no day of the last few holds is gone."""
    day = rotation_day(1.5, 4, aircraft=2)
    first = day
    made = []
    for number in range(100):
        day, _ = edits.add_service(first, "QX-0", number % 4, "fresh", target_percent=50.0 + number / 10.0)
        made.append(weakref.ref(rotations(day)["QX-0"]))
    gc.collect()
    alive = [ref() is not None for ref in made]
    assert alive[-1]
    assert sum(alive) < 40
