"""What a gauge shows, in its own terms."""

from __future__ import annotations

import pytest

from legtide.day.document import Gauge
from legtide.day.gauges import gauge_text, offered_steps


@pytest.mark.parametrize(
    ("shows", "percent", "text"),
    [
        ("percent", 62.5, "62.5\u00a0%"),
        ("percent", 100.0, "100\u00a0%"),
        ("eighths", 62.5, "5/8"),
        ("eighths", 0.0, "0/8"),
        ("eighths", 60.0, "60\u00a0%"),
        ("litres", 62.5, "125\u00a0L"),
    ],
)
def test_a_level_is_said_as_the_gauge_shows_it(shows, percent, text):
    assert gauge_text(Gauge(shows=shows, step_percent=12.5), percent, 200.0) == text


@pytest.mark.parametrize(
    ("step", "count", "last"),
    [(12.5, 9, 100.0), (10.0, 11, 100.0), (1.0, 21, 100.0), (30.0, 4, 90.0), (0.1, 21, 100.0)],
)
def test_only_levels_that_the_gauge_shows_are_offered(step, count, last):
    steps = offered_steps(Gauge(step_percent=step))
    assert len(steps) == count
    assert steps[0] == 0.0
    assert steps[-1] == pytest.approx(last)
