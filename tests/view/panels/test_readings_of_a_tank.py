"""What the tanks' window says of readings, without the window."""

from __future__ import annotations

from datetime import timedelta

import pytest

from legtide.day.document import Reading
from legtide.day.edits import change_leg
from legtide.engine.projection import project
from legtide.view.panels.tank_detail_stages import facts_of_readings
from support.days import rotation_day


@pytest.mark.parametrize("hours", [-9.0, 0.2, 40.0])
def test_a_reading_outside_its_turn_has_a_band_all_the_same(hours):
    """The file allows it with a caution: before the day's first leg, and long after its last."""
    day = rotation_day(1.0, 3)
    arrival = day.legs[0].sta
    read = Reading(aircraft="QX-0", turn=1, tank="fresh", percent=90.0, time=arrival + timedelta(hours=hours))
    day = day.model_copy(update={"readings": (read,)})
    (fact,) = facts_of_readings(project(day).aircraft["QX-0"])
    assert fact.after is not None
    assert 0.0 <= fact.after.low <= fact.after.middle <= fact.after.high <= 200.0


def test_a_reading_after_a_leg_that_a_delay_has_overtaken_has_a_band():
    """The leg before comes in after this one is expected to have landed: the levels have no point at the reading."""
    day = rotation_day([1.0, 0.1, 1.0], services=())
    late = change_leg(day, "0-0", eta=day.legs[1].sta + timedelta(minutes=20))
    read = Reading(aircraft="QX-0", turn=2, tank="fresh", percent=90.0)
    late = late.model_copy(update={"readings": (read,)})
    (fact,) = facts_of_readings(project(late).aircraft["QX-0"])
    assert fact.after is not None
    assert 0.0 <= fact.after.low <= fact.after.middle <= fact.after.high <= 200.0
