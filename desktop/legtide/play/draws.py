"""Draws of the use of one stretch (a leg, or a wait with people aboard), from the same laws as the projection's.

The projection works with moments; here each visit takes place: their number is Poisson, shared by the day factor and
a gamma factor of the leg, each takes its volumes from both tanks, and each hot drink is taken or not.

Shapes: D draws, T points within a stretch.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from legtide.engine.laws import log_sigma
from legtide.engine.types import Floats
from legtide.engine.usage import Rates, Stretches, visits


@dataclass(frozen=True, slots=True, eq=False)
class StretchUse:
    """What one stretch takes from the fresh tank and adds to the waste tank."""

    litres: Floats
    """(2, D, T) use since the start of the stretch, tanks in the order fresh, waste."""

    def by(self, share: float, points: Floats) -> Floats:
        """(2, D) use by a share of the stretch's time; between two points it grows evenly."""
        if share >= 1.0:
            return np.asarray(self.litres[..., -1])
        before = np.concatenate([np.zeros((*self.litres.shape[:2], 1)), self.litres], axis=2)
        at = np.concatenate([[0.0], points])
        place = int(np.clip(np.searchsorted(at, share, "right") - 1, 0, len(points) - 1))
        inside = (share - at[place]) / (at[place + 1] - at[place])
        return np.asarray(before[..., place] + (before[..., place + 1] - before[..., place]) * inside)

    def only(self, rows: NDArray[np.intp]) -> StretchUse:
        """The use in some of the draws."""
        return StretchUse(self.litres[:, rows])


def day_factors(rng: np.random.Generator, rates: Rates, draws: int) -> Floats:
    """(D,) day factors: lognormal with mean 1."""
    sigma = log_sigma(rates.day_factor_cv)
    return np.asarray(np.exp(sigma * rng.standard_normal(draws) - 0.5 * sigma * sigma))


def stretch_use(
    rng: np.random.Generator, stretches: Stretches, row: int, rates: Rates, theta: Floats, points: Floats
) -> StretchUse:
    """Draws the use of one stretch.

    Args:
        rng: the stretch's own stream.
        stretches: the columns that it stands in.
        row: its place there.
        rates: the usage figures.
        theta: (D,) day factors.
        points: (T,) shares of the stretch's time, rising; the last is 1.
    """
    k = rates.leg_factor_shape
    busy = rng.gamma(k, 1.0 / k, len(theta))
    profile = rates.visits_share(points) if stretches.aloft[row] else points
    mean = float(visits(stretches, rates)[row]) * np.diff(profile, prepend=0.0)
    count = rng.poisson((theta * busy)[:, None] * mean)
    rinse = rates.rinse_l * count
    wash = rng.gamma(rates.hand_wash_shape * count, rates.hand_wash_mean_l / rates.hand_wash_shape)
    body = rng.gamma(rates.body_waste_shape * count, rates.body_waste_mean_l / rates.body_waste_shape)
    fresh = np.cumsum(rinse + wash, axis=1) + _galley(rng, stretches, row, rates, len(theta), points)
    return StretchUse(np.stack([fresh, np.cumsum(rinse + body, axis=1)]))


def _galley(
    rng: np.random.Generator, stretches: Stretches, row: int, rates: Rates, draws: int, points: Floats
) -> Floats:
    """(D, T) the galley's water up to each point: an even rate, or each person's cups of the rounds so far."""
    persons, hours = stretches.persons[row], stretches.hours[row]
    even = rates.galley_l_per_person_h * persons * hours * stretches.galley_share[row]
    out: Floats = np.zeros((draws, len(points))) + even * points
    for start, end in stretches.rounds[row]:
        if np.isnan(start):
            continue
        served = np.clip((points - start) / (end - start), 0.0, 1.0) * rates.hot_drink_share
        shares = np.append(np.diff(served, prepend=0.0), 1.0 - served[-1])
        cups = rng.multinomial(int(persons), shares, draws)[:, :-1]
        out += rates.hot_drink_l * np.cumsum(cups, axis=1)
    return out
