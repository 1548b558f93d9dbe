"""Use of water and inflow of waste: from heads and hours to the nine coefficients of each stretch.

A stretch is a leg or a wait on the ground with people aboard. The use of a stretch up to a share of its time is
a random sum over lavatory visits, shared by the day factor and a factor of the leg, plus the galley's water. It
enters only through its first three cumulants, polynomials in the day factor (see `laws.py`).

Shapes: n stretches, T points within a stretch, tanks in the order fresh, waste.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from legtide.day.assumptions import DRINK_ROUNDS
from legtide.day.document import CabinService, Usage
from legtide.engine.laws import COEFFICIENTS, raw_moments
from legtide.engine.types import POINTS_PER_LEG, Floats

POINTS: Final[Floats] = np.arange(1, POINTS_PER_LEG + 1) / POINTS_PER_LEG
"""(T,) shares of the time at which a stretch is looked at; the last is its end."""
MOST_ROUNDS: Final = 2
_LAVATORY_SECONDS_PER_H: Final = 3600.0


@dataclass(frozen=True, slots=True)
class Rates:
    """The usage figures of a day as plain numbers (units in the names of `document.Usage`)."""

    visits_per_person_h: float
    rinse_l: float
    hand_wash_mean_l: float
    hand_wash_shape: float
    galley_l_per_person_h: float
    body_waste_mean_l: float
    body_waste_shape: float
    day_factor_cv: float
    leg_factor_shape: float
    quiet_start_share: float
    quiet_end_share: float
    hot_drink_l: float
    hot_drink_share: float
    lavatory_occupancy_s: float

    @classmethod
    def of(cls, usage: Usage) -> Rates:
        """The figures' values."""
        return cls(**{name: getattr(usage, name).value for name in Usage.model_fields})

    def visit_moments(self) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
        """Raw moments of the volume of one visit: taken from the fresh tank, added to the waste tank."""
        return (
            raw_moments(self.rinse_l, self.hand_wash_mean_l, self.hand_wash_shape),
            raw_moments(self.rinse_l, self.body_waste_mean_l, self.body_waste_shape),
        )

    def visits_share(self, tau: Floats) -> Floats:
        """Share of a leg's visits made by the share `tau` of its block time."""
        between = 1.0 - self.quiet_start_share - self.quiet_end_share
        return np.clip((tau - self.quiet_start_share) / between, 0.0, 1.0)


@dataclass(frozen=True, slots=True, eq=False)
class Stretches:
    """Stretches of many aircraft, one after the other, as columns of shape (n,)."""

    persons: Floats
    hours: Floats
    aloft: NDArray[np.bool_]
    """True for a leg (visits follow the in-leg profile), false for a wait on the ground (even)."""
    lavatories: Floats
    """Lavatories that work."""
    galley_share: Floats
    """1 where the galley's average rate counts, 0 where drinks are counted one by one or there is no water."""
    rounds: Floats
    """(n, 2, 2) start and end share of each round of hot drinks; NaN where there is none."""

    def __len__(self) -> int:
        return len(self.persons)


def drink_rounds(service: CabinService) -> Floats:
    """(2, 2) rounds of hot drinks of a cabin service; NaN where there is none."""
    out = np.full((MOST_ROUNDS, 2), np.nan)
    for place, span in enumerate(DRINK_ROUNDS[service]):
        out[place] = span
    return out


def visits(stretches: Stretches, rates: Rates) -> Floats:
    """(n,) expected lavatory visits of each stretch at day factor 1.

    Never more than the lavatories that work can take: each is occupied for the given time per visit.
    """
    wanted = rates.visits_per_person_h * stretches.persons
    possible = stretches.lavatories * (_LAVATORY_SECONDS_PER_H / rates.lavatory_occupancy_s)
    return np.asarray(np.minimum(wanted, possible) * stretches.hours)


def coefficients(stretches: Stretches, rates: Rates, points: Floats = POINTS) -> Floats:
    """(9, 2, n, T) coefficients of the use from the start of each stretch to each point in it."""
    n = len(stretches)
    profile = np.where(stretches.aloft[:, None], rates.visits_share(points), points)
    mu = visits(stretches, rates)[:, None] * profile
    out = np.zeros((COEFFICIENTS, 2, n, len(points)))
    k = rates.leg_factor_shape
    for tank, (v1, v2, v3) in enumerate(rates.visit_moments()):
        x = mu * v1
        out[0, tank] = x
        out[2, tank] = mu * v2
        out[3, tank] = x * x / k
        out[5, tank] = mu * v3
        out[6, tank] = 3.0 * mu * x * v2 / k
        out[7, tank] = 2.0 * x**3 / (k * k)
    out[1, 0], out[4, 0], out[8, 0] = _galley(stretches, rates, points)
    return out


def _galley(stretches: Stretches, rates: Rates, points: Floats) -> tuple[Floats, Floats, Floats]:
    """Cumulants of the galley's water: an even rate, or hot drinks taken by each person or not (binomial)."""
    rate = rates.galley_l_per_person_h * stretches.persons * stretches.hours * stretches.galley_share
    first = rate[:, None] * points
    second, third = np.zeros_like(first), np.zeros_like(first)
    for place in range(MOST_ROUNDS):
        start, end = stretches.rounds[:, place, :1], stretches.rounds[:, place, 1:]
        if np.isnan(start).all():
            continue
        served = np.nan_to_num(np.clip((points - start) / (end - start), 0.0, 1.0))
        p = rates.hot_drink_share * served
        a = stretches.persons[:, None] * p * rates.hot_drink_l
        b = a * rates.hot_drink_l * (1.0 - p)
        first = first + a
        second = second + b
        third = third + b * rates.hot_drink_l * (1.0 - 2.0 * p)
    return first, second, third
