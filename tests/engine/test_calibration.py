"""Calibration: on 2,000 simulated days the 5-95 % band holds 90 % of the true levels, before and after readings."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from legtide.day.document import Day, Reading
from legtide.engine.projection import project
from legtide.engine.types import AircraftProjection
from support.days import rotation_day
from support.monte_carlo import simulate

DAYS = 2_000
READ_AT, LOOKED_AT = 2, (2, 3)


def day() -> Day:
    """Short enough that the tanks seldom run out: a clamped level sits on the edge of its band."""
    return rotation_day([1.3, 1.2, 0.9, 0.7], load=0.75)


@cache
def after(fresh_percent: float, waste_percent: float) -> AircraftProjection:
    readings = (
        Reading(aircraft="QX-0", turn=READ_AT, tank="fresh", percent=fresh_percent),
        Reading(aircraft="QX-0", turn=READ_AT, tank="waste", percent=waste_percent),
    )
    return project(day().model_copy(update={"readings": readings})).aircraft["QX-0"]


def shown(level: np.ndarray, capacity: float, rng: np.random.Generator) -> np.ndarray:
    """What a gauge with steps of 10 % and an error of 1 % shows, held to its scale."""
    noisy = 100.0 * level / capacity + rng.standard_normal(len(level))
    return np.clip(10.0 * np.round(noisy / 10.0), 0.0, 100.0)


@pytest.mark.parametrize("seed", [1, 2])
def test_the_band_holds_ninety_percent_before_and_after_readings(seed: int) -> None:
    truth, rng = simulate(day(), DAYS, seed), np.random.default_rng(seed + 100)
    before = project(day()).aircraft["QX-0"]
    fresh_shown = shown(truth.fresh_arrival[READ_AT - 1], 200.0, rng)
    waste_shown = shown(truth.waste_arrival[READ_AT - 1], 170.0, rng)
    held: dict[str, list[bool]] = {"before": [], "after": []}
    for number in range(DAYS):
        read = after(float(fresh_shown[number]), float(waste_shown[number]))
        for leg in LOOKED_AT:
            for name, projection in (("before", before), ("after", read)):
                fresh, waste = projection.legs[leg].fresh_arrival, projection.legs[leg].waste_arrival
                held[name].append(fresh.p05 <= truth.fresh_arrival[leg, number] <= fresh.p95)
                held[name].append(waste.p05 <= truth.waste_arrival[leg, number] <= waste.p95)
    shares = {name: float(np.mean(rows)) for name, rows in held.items()}
    assert shares["before"] == pytest.approx(0.90, abs=0.015)
    assert shares["after"] == pytest.approx(0.90, abs=0.015)
