"""A plain, slow simulation of one aircraft's day, written apart from the engine.

It draws people, visits and volumes leg by leg and knows nothing of cumulants, laws or quadrature. The figures come
from the day; the rules are those of the model: no use on the ground, both tanks fed by the same visits.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legtide.day.document import Day

ROUNDS = {"average": 0, "none": 0, "drinks": 1, "meal": 2}


@dataclass
class Simulated:
    """Draws of the levels in litres, one row a leg."""

    fresh_departure: np.ndarray
    fresh_arrival: np.ndarray
    waste_arrival: np.ndarray
    theta: np.ndarray


def simulate(day: Day, draws: int, seed: int, *, coupled: bool = False, stop_after: int | None = None) -> Simulated:
    """Simulates the first aircraft of a day.

    Args:
        coupled: whether a dry fresh tank stops the rinse and a full waste tank stops the flushing, which the
            engine leaves out.
        stop_after: legs to fly (all by default).
    """
    rng = np.random.default_rng(seed)
    usage, fit, aircraft = day.usage, day.fits[0], day.aircraft[0]
    value = lambda name: getattr(usage, name).value  # noqa: E731
    sigma = np.sqrt(np.log1p(value("day_factor_cv") ** 2))
    theta = np.exp(sigma * rng.standard_normal(draws) - sigma**2 / 2)
    fresh_cap, waste_cap = fit.fresh_capacity_l.value, fit.waste_capacity_l.value
    fresh = np.full(draws, fresh_cap * aircraft.fresh_percent / 100)
    waste = np.full(draws, fit.pre_charge_l.value)
    happens = day.policy.service_happens_probability.value
    legs = sorted(day.legs, key=lambda leg: leg.std)[:stop_after]
    out: tuple[list[np.ndarray], ...] = ([], [], [])
    for turn, leg in enumerate(legs):
        for service in (row for row in day.services if row.turn == turn and row.state in ("planned", "done")):
            took = rng.random(draws) < (1.0 if service.state == "done" else happens)
            if service.tank == "fresh":
                fresh = np.where(took, np.maximum(fresh, service.target / 100 * fresh_cap), fresh)
            elif service.target <= 0:
                waste = np.where(took, fit.pre_charge_l.value, waste)
            else:
                waste = np.where(took, np.minimum(waste, service.target / 100 * waste_cap), waste)
        out[0].append(fresh.copy())
        people, hours = leg.passengers + leg.crew, (leg.sta - leg.std).total_seconds() / 3600
        shape = value("leg_factor_shape")
        busy = rng.gamma(shape, 1 / shape, draws)
        count = rng.poisson(theta * busy * value("visits_per_person_h") * people * hours)
        wash = _gammas(rng, count, value("hand_wash_shape"), value("hand_wash_mean_l"))
        body = _gammas(rng, count, value("body_waste_shape"), value("body_waste_mean_l"))
        rinse = value("rinse_l") * count
        galley = np.zeros(draws)
        if leg.cabin_service == "average":
            galley += value("galley_l_per_person_h") * people * hours
        for _ in range(ROUNDS[leg.cabin_service]):
            galley += value("hot_drink_l") * rng.binomial(people, value("hot_drink_share"), draws)
        wet = np.ones(draws)
        if coupled:
            wet = np.clip(fresh / np.maximum(rinse + wash + galley, 1e-9), 0, 1)
        fresh = np.maximum(fresh - rinse - wash - galley, 0)
        waste = np.minimum(waste + rinse * wet + body, waste_cap)
        out[1].append(fresh.copy())
        out[2].append(waste.copy())
    return Simulated(*(np.array(rows) for rows in out), theta)


def _gammas(rng: np.random.Generator, count: np.ndarray, shape: float, mean: float) -> np.ndarray:
    """Sum of `count` gamma volumes."""
    total = np.zeros(len(count))
    some = count > 0
    total[some] = rng.gamma(shape * count[some], mean / shape)
    return total
