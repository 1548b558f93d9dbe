"""The laws of use: moments, the shifted lognormal, the Wilson-Hilferty law, and nodes of the day factor.

Nomenclature
    theta   the day factor of one aircraft (lognormal, mean 1)
    k1..k3  cumulants of the use given theta, in L, L^2, L^3; polynomials in theta with the nine coefficients
            a1 g1 | b1 b2 g2 | c1 c2 c3 g3, where k1 = a1 th + g1, k2 = b1 th + b2 th^2 + g2 and
            k3 = c1 th + c2 th^2 + c3 th^3 + g3
    m v m3  mean, variance and third central moment of the use

Sources
    Wilson, E. B., Hilferty, M. M. (1931), The distribution of chi-square, PNAS 17:684 - cube-root law.
    The shifted lognormal through three moments is elementary: with skewness g, c = cbrt((g + sqrt(g^2 + 4)) / 2) and
    t = c - 1/c, exp(sigma^2) - 1 = t^2.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri

from legtide.engine.types import QUANTILES, Floats

COEFFICIENTS: Final = 9
_LEAST_VARIANCE: Final = 1e-3  # L^2: a use that is certain still needs a width to divide by
_LEAST_SKEWNESS: Final = 0.02  # below it both laws are normal to 1e-4 and their formulas lose digits
_Z_75, _Z_95 = (float(z) for z in ndtri(QUANTILES[3:]))


def raw_moments(constant: float, mean: float, shape: float) -> tuple[float, float, float]:
    """Raw moments 1 to 3 of `constant` plus a gamma volume of that mean and shape (litre, litre^2, litre^3)."""
    scale = mean / shape
    g1, g2, g3 = mean, shape * (shape + 1) * scale**2, shape * (shape + 1) * (shape + 2) * scale**3
    c = constant
    return c + g1, c * c + 2 * c * g1 + g2, c**3 + 3 * c * c * g1 + 3 * c * g2 + g3


def log_sigma(cv: float) -> float:
    """Sigma of the logarithm of a lognormal with that coefficient of variation."""
    return float(np.sqrt(np.log1p(cv * cv)))


def day_factor_moments(cv: float) -> tuple[float, float, float]:
    """E[theta], E[theta^2], E[theta^3] of the lognormal day factor with mean 1."""
    s2 = np.log1p(cv * cv)
    return 1.0, float(np.exp(s2)), float(np.exp(3 * s2))


def day_factor_nodes(cv: float, count: int = 16, reach: float = 4.0) -> tuple[Floats, Floats]:
    """Nodes (count,) of theta and their probabilities: the trapezoid rule in log theta out to `reach` sigma."""
    sigma = log_sigma(cv)
    z = np.linspace(-reach, reach, count)
    w = np.exp(-0.5 * z * z)
    return np.exp(sigma * z - 0.5 * sigma * sigma), w / w.sum()


def given_theta(coefficients: Floats, theta: Floats) -> tuple[Floats, Floats, Floats]:
    """Cumulants k1, k2, k3 of the use at each theta.

    Args:
        coefficients: (9, ...) summed coefficients.
        theta: (K,) values of the day factor.

    Returns:
        Three arrays of shape (..., K).
    """
    a1, g1, b1, b2, g2, c1, c2, c3, g3 = (row[..., None] for row in coefficients)
    k1 = a1 * theta + g1
    k2 = (b2 * theta + b1) * theta + g2
    k3 = ((c3 * theta + c2) * theta + c1) * theta + g3
    return k1, k2, k3


def moments(coefficients: Floats, day_factor: tuple[float, float, float]) -> tuple[Floats, Floats, Floats]:
    """Mean, variance and third central moment of the use with the day factor integrated out.

    Args:
        coefficients: (9, ...) summed coefficients.
        day_factor: E[theta], E[theta^2], E[theta^3].
    """
    e1, e2, e3 = day_factor
    a1, g1, b1, b2, g2, c1, c2, c3, g3 = coefficients
    v11, v12 = e2 - e1 * e1, e3 - e1 * e2
    mu3 = e3 - 3 * e2 * e1 + 2 * e1**3
    m = a1 * e1 + g1
    v = b1 * e1 + b2 * e2 + g2 + a1 * a1 * v11
    m3 = c1 * e1 + c2 * e2 + c3 * e3 + g3 + a1 * (3 * (b1 * v11 + b2 * v12) + a1 * a1 * mu3)
    return m, v, m3


@dataclass(frozen=True, slots=True, eq=False)
class ShiftedLognormal:
    """X = centre + sign * scale * (exp(sigma Z) - root), Z standard normal; arrays of one shape.

    The sign follows the skewness, so that a law leaning the other way is the mirror image.
    """

    centre: Floats
    scale: Floats
    sigma: Floats
    root: Floats
    sign: Floats

    @classmethod
    def of(cls, mean: Floats, variance: Floats, third: Floats) -> ShiftedLognormal:
        """The law with that mean, variance and third central moment."""
        spread = np.sqrt(np.maximum(variance, _LEAST_VARIANCE))
        skew = third / spread**3
        sign = np.where(skew < 0, -1.0, 1.0)
        g = np.clip(np.abs(skew), _LEAST_SKEWNESS, 20.0)
        t = np.cbrt(0.5 * (g + np.sqrt(g * g + 4.0)))
        t = t - 1.0 / t
        w = t * t
        root = np.sqrt(1.0 + w)
        return cls(mean, spread / (t * root), np.sqrt(np.log1p(w)), root, sign)

    def at_least(self, x: Floats) -> Floats:
        """P(X >= x), the shape of the law."""
        y = self.sign * (x - self.centre) / self.scale + self.root
        return np.asarray(ndtr(-self.sign * np.log(np.maximum(y, 1e-12)) / self.sigma))

    def quantiles(self) -> Floats:
        """(5, ...) quantiles in the order of `QUANTILES`."""
        inner, outer = np.exp(self.sigma * _Z_75), np.exp(self.sigma * _Z_95)
        up = np.stack([1 / outer, 1 / inner, np.ones_like(inner), inner, outer])
        powers = np.where(self.sign > 0, up, up[::-1])
        return np.asarray(self.centre + self.sign * self.scale * (powers - self.root))

    def at(self, probability: Floats) -> Floats:
        """Quantiles at other probabilities (n,); shape (n, ...)."""
        z = ndtri(probability).reshape((-1,) + (1,) * np.ndim(self.centre))
        return np.asarray(self.centre + self.sign * self.scale * (np.exp(self.sigma * self.sign * z) - self.root))

    def mean_below(self, x: Floats) -> Floats:
        """E[max(x - X, 0)]: the mean room left when X is used out of x, never below nothing."""
        return np.asarray(x - self.centre + self._mean_above(x))

    def _mean_above(self, x: Floats) -> Floats:
        # E[max(X - x, 0)] in closed form, the shape that prices options on a lognormal.
        a, s = self.scale, self.sigma
        k = self.sign * (x - self.centre) + a * self.root  # X >= x  <=>  sign * a e^{sZ} >= sign * k
        d = np.log(np.maximum(k / a, 1e-12)) / s
        growth = a * np.exp(0.5 * s * s)
        above = growth * ndtr(s - d) - k * ndtr(-d)
        below = k * ndtr(d) - growth * ndtr(d - s)
        return np.asarray(np.where(self.sign > 0, above, below))


def gamma_like_score(x: Floats, k1: Floats, k2: Floats, k3: Floats) -> Floats:
    """Normal score of P(use <= x) from its first three cumulants, by the cube-root law of Wilson and Hilferty."""
    inverse = 1.0 / np.sqrt(np.maximum(k2, _LEAST_VARIANCE))
    g = np.maximum(k3 * inverse**3, _LEAST_SKEWNESS)
    y = np.clip(1.0 + (x - k1) * (0.5 * g * inverse), 0.0, 1e6)
    return np.asarray(6.0 / g * (np.cbrt(y) - 1.0 + g * g / 36.0))


def gamma_like_cdf(x: Floats, k1: Floats, k2: Floats, k3: Floats) -> Floats:
    """P(use <= x) from its first three cumulants, by the same law."""
    return np.asarray(ndtr(gamma_like_score(x, k1, k2, k3)))
