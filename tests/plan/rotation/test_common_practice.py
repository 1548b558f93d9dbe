"""Service intervals of common practice come out of the planner for a 180-seat type (common practice, no source).

Short sectors: water is refilled about every 4 to 6 flight hours and waste drained after about four short sectors.
Sectors of 4 to 5 hours: both after the first, at the latest after the second.

The price of a breach is set to 500: a risk at the limit of 10 % then costs about as much as a service.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from legtide.day.document import Figure, Policy
from legtide.plan.rotation import plan_rotation
from support.days import rotation_day

PRACTICE = Policy(price_breach=Figure(value=500.0))


def intervals(hours: float, legs: int, load: float, tank: str) -> list[float]:
    """Flight hours between services of a tank, from the start of the day; the rest of the day is left out."""
    plan = plan_rotation(rotation_day(hours, legs, load, policy=PRACTICE), "QX-0")
    assert plan.status == "optimal"
    turns = [0, *(row.turn for row in plan.services if row.tank == tank)]
    return [(then - now) * hours for now, then in pairwise(turns)]


@pytest.mark.parametrize("load", [0.7, 0.8])
@pytest.mark.parametrize("legs", [9, 12])
def test_on_90_minute_sectors_water_lasts_four_to_six_hours(load: float, legs: int) -> None:
    found = intervals(1.5, legs, load, "fresh")
    assert 4.0 <= sum(found) / len(found) <= 6.0


@pytest.mark.parametrize("load", [0.7, 0.8])
def test_on_one_hour_sectors_waste_is_drained_after_about_four(load: float) -> None:
    found = intervals(1.0, 12, load, "waste")
    assert 3.0 <= sum(found) / len(found) <= 5.0


@pytest.mark.parametrize("tank", ["fresh", "waste"])
@pytest.mark.parametrize("load", [0.6, 0.7, 0.8])
def test_on_long_sectors_both_tanks_are_served_after_the_first_or_second(tank: str, load: float) -> None:
    assert set(intervals(4.5, 4, load, tank)) <= {4.5, 9.0}
