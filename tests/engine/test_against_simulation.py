"""The whole projection against a plain simulation written apart from it (see support/monte_carlo.py)."""

from __future__ import annotations

import numpy as np
import pytest

from legtide.day.document import Day, Figure, Policy, Reading
from legtide.engine.projection import project
from legtide.engine.types import AircraftProjection, Spread
from support.days import random_day, rotation_day
from support.monte_carlo import simulate

DRAWS = 300_000
PROBABILITIES = (0.05, 0.25, 0.50, 0.75, 0.95)


def projected(day: Day) -> AircraftProjection:
    return project(day).aircraft["QX-0"]


def quantiles(spread: Spread) -> list[float]:
    return [spread.p05, spread.p25, spread.p50, spread.p75, spread.p95]


def compare(day: Day, seed: int, litres: float, risk: float) -> None:
    """Every leg's quantiles within `litres` and risks within `risk` of the simulation."""
    truth, mine = simulate(day, DRAWS, seed), projected(day)
    fit, policy = day.fits[0], day.policy
    reserve = fit.fresh_capacity_l.value * policy.fresh_reserve_percent.value / 100
    limit = fit.waste_capacity_l.value * policy.waste_limit_percent.value / 100
    for row, leg in enumerate(mine.legs):
        fresh, waste = truth.fresh_arrival[row], truth.waste_arrival[row]
        assert quantiles(leg.fresh_arrival) == pytest.approx(np.quantile(fresh, PROBABILITIES), abs=litres)
        assert quantiles(leg.waste_arrival) == pytest.approx(np.quantile(waste, PROBABILITIES), abs=litres)
        assert leg.fresh_arrival.mean == pytest.approx(fresh.mean(), abs=litres)
        assert leg.waste_arrival.mean == pytest.approx(waste.mean(), abs=litres)
        assert leg.risk_fresh_below_reserve == pytest.approx(np.mean(fresh < reserve), abs=risk)
        assert leg.risk_fresh_dry == pytest.approx(np.mean(fresh <= 0), abs=risk)
        assert leg.risk_waste_over_limit == pytest.approx(np.mean(waste > limit), abs=risk)
        assert leg.risk_waste_full == pytest.approx(np.mean(waste >= fit.waste_capacity_l.value), abs=risk)


@pytest.mark.parametrize("seed", range(12))
def test_whole_services_agree_within_half_a_litre_and_half_a_percent(seed: int) -> None:
    compare(random_day(np.random.default_rng(seed), partial=False), seed, litres=0.5, risk=0.005)


@pytest.mark.parametrize("seed", range(100, 112))
def test_partial_services_agree_within_half_a_litre_and_half_a_percent(seed: int) -> None:
    compare(random_day(np.random.default_rng(seed)), seed, litres=0.5, risk=0.005)


@pytest.mark.parametrize("seed", range(200, 204))
def test_services_that_may_not_happen_agree(seed: int) -> None:
    """Levels fall into two heaps; between them a quantile may lie anywhere, so shares are compared, not litres."""
    policy = Policy(service_happens_probability=Figure(value=0.85))
    day = random_day(np.random.default_rng(seed), policy=policy)
    truth, mine = simulate(day, DRAWS, seed), projected(day)
    for row, leg in enumerate(mine.legs):
        for spread, levels in ((leg.fresh_arrival, truth.fresh_arrival), (leg.waste_arrival, truth.waste_arrival)):
            for p, level in zip(PROBABILITIES, quantiles(spread), strict=True):
                assert np.mean(levels[row] < level - 0.5) - 0.005 <= p <= np.mean(levels[row] <= level + 0.5) + 0.005
        assert leg.risk_fresh_below_reserve == pytest.approx(np.mean(truth.fresh_arrival[row] < 10.0), abs=0.005)
        assert leg.risk_waste_over_limit == pytest.approx(np.mean(truth.waste_arrival[row] > 153.0), abs=0.005)


def test_what_is_left_out_makes_the_other_tank_pessimistic() -> None:
    """A dry fresh tank stops the rinse: leaving that out can only raise the projected waste level."""
    day = rotation_day(1.5, 8, 1.0)
    coupled = simulate(day, DRAWS, 5, coupled=True)
    mine = projected(day)
    excess = [leg.waste_arrival.mean - coupled.waste_arrival[row].mean() for row, leg in enumerate(mine.legs)]
    assert min(excess) > -0.2
    assert max(excess) > 0.2  # and it is seen on this day, where the fresh tank runs dry


def rejected(day: Day, turn: int, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Simulated levels of the last leg, in the draws that agree with all readings taken at `turn`."""
    truth = simulate(day, 3_000_000, seed)
    fit = day.fits[0]
    keep = np.ones(len(truth.theta), dtype=bool)
    for reading in day.readings:
        level = truth.fresh_arrival[turn - 1] if reading.tank == "fresh" else truth.waste_arrival[turn - 1]
        half = fit.gauge(reading.tank).step_percent / 2
        percent = 100 * level / fit.capacity_l(reading.tank)
        noise = np.random.default_rng(seed + 1).standard_normal(len(level)) * fit.gauge(reading.tank).error_percent
        if reading.tank == "waste":
            noise = np.random.default_rng(seed + 2).standard_normal(len(level)) * fit.gauge("waste").error_percent
        keep &= np.abs(percent + noise - reading.percent) < half
    return truth.fresh_arrival[:, keep], truth.waste_arrival[:, keep], truth.theta[keep], keep


@pytest.mark.parametrize(("fresh", "waste"), [(60.0, None), (None, 30.0), (60.0, 40.0), (50.0, 50.0), (70.0, 30.0)])
def test_conditioning_agrees_with_rejection(fresh: float | None, waste: float | None) -> None:
    rows = [("fresh", fresh), ("waste", waste)]
    readings = tuple(
        Reading(aircraft="QX-0", turn=2, tank=tank, percent=percent)  # type: ignore[arg-type]
        for tank, percent in rows
        if percent is not None
    )
    day = rotation_day([1.6, 1.3, 1.5, 1.2], load=0.8, readings=readings)
    fresh_true, waste_true, theta, keep = rejected(day, 2, 11)
    assert keep.sum() > 20_000
    mine = projected(day)
    assert mine.readings[0].used
    assert mine.readings[0].probability == pytest.approx(keep.mean(), abs=0.01)
    assert mine.day_factor.mean == pytest.approx(theta.mean(), abs=0.01)
    for row in (2, 3):
        leg = mine.legs[row]
        assert quantiles(leg.fresh_arrival) == pytest.approx(np.quantile(fresh_true[row], PROBABILITIES), abs=1.0)
        assert quantiles(leg.waste_arrival) == pytest.approx(np.quantile(waste_true[row], PROBABILITIES), abs=1.0)
        assert leg.risk_fresh_below_reserve == pytest.approx(np.mean(fresh_true[row] < 10.0), abs=0.01)
        assert leg.risk_waste_over_limit == pytest.approx(np.mean(waste_true[row] > 153.0), abs=0.01)
