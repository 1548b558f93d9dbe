"""Estimates with intervals: the most likely figures, and their uncertainty from how the aircraft's days differ.

Figures are estimated as logarithms, with weak beliefs around what is assumed (a rate within a factor of about two, a
spread within its usual range), so that few readings move little. Uncertainty is that of composite likelihoods: the
curvature H and the scatter S of the scores of independent aircraft's days give the covariance H^-1 S H^-1.

Source: Varin, C., Reid, N., Firth, D. (2011), An overview of composite likelihood methods, Statistica Sinica 21:5-42
(recalled).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy.optimize import minimize

from legtide.engine.learn.chains import LinkTable
from legtide.engine.learn.likelihood import chain_log_likelihoods
from legtide.engine.learn.records import LEARNED, Estimate, Rate
from legtide.engine.types import Floats
from legtide.engine.usage import Rates

_BELIEF: Final = np.array([0.7, 0.7, 0.8, 1.2])
"""Standard deviations of the beliefs, of the logarithms, in the order of `LEARNED`."""
_STEP: Final = 0.02
_ROUNDS: Final = 30
_FLAT: Final = 0.2  # slope of the log posterior at which the top is near: far within one standard error
_FAR: Final = 3.0  # furthest from what is assumed, in logarithms
_Z_90: Final = 1.6448536269514722


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """Logarithms of the estimates, and their covariance."""

    at: Floats
    covariance: Floats


def with_logs(rates: Rates, logs: Floats) -> Rates:
    """The rates with the learned figures in their places."""
    return replace(rates, **dict(zip(LEARNED, np.exp(logs).tolist(), strict=True)))


def fit(table: LinkTable, rates: Rates, near: Fit | None = None) -> Fit:
    """The most likely figures of some chains.

    Args:
        table: the chains.
        rates: what is assumed.
        near: estimates of other chains to start the search from; what is assumed by default.
    """
    return _Fitter(table, rates).fit(near)


class _Fitter:
    def __init__(self, table: LinkTable, rates: Rates) -> None:
        self.table, self.rates = table, rates
        values = [max(getattr(rates, name), 1e-3) for name in LEARNED]
        self.centre = np.log(np.array(values))
        self.clusters = int(table.cluster.max()) + 1

    def by_day(self, logs: Floats) -> Floats:
        """(clusters,) log likelihood of each aircraft's day."""
        found = chain_log_likelihoods(self.table, with_logs(self.rates, logs))
        return np.asarray(np.bincount(self.table.cluster, weights=found, minlength=self.clusters), dtype=np.float64)

    def value(self, logs: Floats) -> float:
        """Log posterior."""
        return float(self.by_day(logs).sum()) - 0.5 * float((((logs - self.centre) / _BELIEF) ** 2).sum())

    def scores(self, logs: Floats) -> Floats:
        """(clusters, 4) derivatives of each day's log likelihood."""
        ways = np.eye(len(logs)) * _STEP
        return np.stack([(self.by_day(logs + way) - self.by_day(logs - way)) / (2 * _STEP) for way in ways], axis=1)

    def fit(self, near: Fit | None) -> Fit:
        """The top of the posterior, and the covariance there."""
        beliefs, start = np.diag(1.0 / _BELIEF**2), self.centre if near is None else near.at
        first = self.scores(start)
        found = minimize(
            self._descent,
            start,
            jac=True,
            method="BFGS",
            options={"gtol": _FLAT, "maxiter": _ROUNDS, "hess_inv0": _symmetric(first.T @ first + beliefs)},
        )
        scores = self.scores(found.x)
        inverse = np.linalg.inv(self._curvature(found.x))
        scatter = scores.T @ scores * (self.clusters / max(self.clusters - 1, 1)) + beliefs
        return Fit(found.x, inverse @ scatter @ inverse)

    def _descent(self, logs: Floats) -> tuple[float, Floats]:
        """Minus the log posterior and its slope; far from what is believed it only rises."""
        logs = np.clip(logs, self.centre - _FAR, self.centre + _FAR)
        slope = self.scores(logs).sum(axis=0) - (logs - self.centre) / _BELIEF**2
        return -self.value(logs), -slope

    def _curvature(self, at: Floats) -> Floats:
        """(4, 4) minus the second derivatives of the log posterior, kept positive definite."""
        count = len(at)
        ways = np.eye(count) * (2 * _STEP)
        middle, ahead, behind = self.value(at), [], []
        for way in ways:
            ahead.append(self.value(at + way))
            behind.append(self.value(at - way))
        out = np.empty((count, count))
        for i in range(count):
            for j in range(i, count):
                if i == j:
                    second = ahead[i] + behind[i] - 2 * middle
                else:
                    both = self.value(at + ways[i] + ways[j]) + self.value(at - ways[i] - ways[j])
                    second = 0.5 * (both - ahead[i] - ahead[j] - behind[i] - behind[j] + 2 * middle)
                out[i, j] = out[j, i] = -second / (2 * _STEP) ** 2
        values, vectors = np.linalg.eigh(out)
        floor = 0.5 / float(_BELIEF.max()) ** 2  # the beliefs alone curve at least this much
        return np.asarray(vectors @ np.diag(np.maximum(values, floor)) @ vectors.T)


def _symmetric(matrix: Floats) -> Floats:
    """The inverse of a symmetric matrix, symmetric to the bit."""
    inverse = np.linalg.inv(matrix)
    return np.asarray(0.5 * (inverse + inverse.T))


# from logarithms to figures -------------------------------------------------------------------------------


def estimates(found: Fit, rates: Rates) -> tuple[Estimate, ...]:
    """The figures with their 90 % intervals."""
    spread = _Z_90 * np.sqrt(np.diag(found.covariance))
    low, value, high = (np.exp(found.at + sign * spread) for sign in (-1.0, 0.0, 1.0))
    return tuple(
        Estimate(name, float(value[i]), float(low[i]), float(high[i]), getattr(rates, name))
        for i, name in enumerate(LEARNED)
    )


def mean_rates(found: Fit, rates: Rates) -> tuple[Rate, ...]:
    """Mean use of fresh water and inflow of waste per person and hour, with their 90 % intervals."""
    out = []
    for name, tank in (("fresh_l_per_person_h", 0), ("waste_l_per_person_h", 1)):
        value = _mean_rate(with_logs(rates, found.at), tank)
        ways = np.eye(len(found.at)) * 1e-4
        slope = np.array([(_mean_rate(with_logs(rates, found.at + way), tank) - value) / 1e-4 for way in ways])
        spread = _Z_90 * float(np.sqrt(slope @ found.covariance @ slope))
        out.append(Rate(name, value, value - spread, value + spread))
    return tuple(out)


def _mean_rate(rates: Rates, tank: int) -> float:
    visit = rates.visit_moments()[tank][0]
    return rates.visits_per_person_h * visit + (rates.galley_l_per_person_h if tank == 0 else 0.0)
