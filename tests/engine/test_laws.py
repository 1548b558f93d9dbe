"""The laws of use against scipy.stats and against plain sums."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from legtide.engine.laws import (
    ShiftedLognormal,
    day_factor_moments,
    day_factor_nodes,
    gamma_like_cdf,
    given_theta,
    log_sigma,
    moments,
    raw_moments,
)
from legtide.engine.types import QUANTILES


def arrays(*values: float) -> list[np.ndarray]:
    return [np.array([value]) for value in values]


@pytest.mark.parametrize(("constant", "mean", "shape"), [(0.237, 0.37, 2.0), (0.237, 0.26, 3.0), (0.0, 1.0, 0.7)])
def test_raw_moments_are_those_of_scipys_gamma(constant: float, mean: float, shape: float) -> None:
    law = stats.gamma(shape, loc=constant, scale=mean / shape)
    assert raw_moments(constant, mean, shape) == pytest.approx([law.moment(k) for k in (1, 2, 3)])


@given(cv=st.floats(0.01, 0.6))
def test_day_factor_moments_are_those_of_scipys_lognormal(cv: float) -> None:
    sigma = log_sigma(cv)
    law = stats.lognorm(sigma, scale=np.exp(-(sigma**2) / 2))
    assert day_factor_moments(cv) == pytest.approx([law.moment(k) for k in (1, 2, 3)])
    assert law.std() == pytest.approx(cv)


@given(cv=st.floats(0.01, 0.6))
def test_day_factor_nodes_carry_the_moments(cv: float) -> None:
    theta, weight = day_factor_nodes(cv)
    assert [float(weight @ theta**k) for k in (1, 2, 3)] == pytest.approx(day_factor_moments(cv), rel=0.01)


SKEWED = [(100.0, 400.0, 4000.0), (50.0, 30.0, 90.0), (80.0, 900.0, 40000.0)]


@pytest.mark.parametrize(("mean", "variance", "third"), SKEWED)
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_shifted_lognormal_is_scipys(mean: float, variance: float, third: float, sign: float) -> None:
    law = ShiftedLognormal.of(*arrays(mean, variance, sign * third))
    sigma, scale, root = float(law.sigma[0]), float(law.scale[0]), float(law.root[0])
    twin = stats.lognorm(sigma, loc=-scale * root, scale=scale)  # of sign * (X - mean)
    assert twin.mean() == pytest.approx(0.0, abs=1e-9 * scale)
    assert twin.var() == pytest.approx(variance)
    assert float(twin.stats("s")) == pytest.approx(third / variance**1.5)
    x = np.array([mean - 40.0, mean - 5.0, mean, mean + 12.0, mean + 60.0])
    at_least = twin.sf(x - mean) if sign > 0 else twin.cdf(mean - x)
    assert law.at_least(x) == pytest.approx(at_least, abs=1e-12)
    levels = np.array(QUANTILES)
    quantile = mean + twin.ppf(levels) if sign > 0 else mean - twin.isf(levels)
    assert law.quantiles()[:, 0] == pytest.approx(quantile)
    assert law.at(levels)[:, 0] == pytest.approx(quantile)
    for bound in x:
        low = mean + (twin.ppf(1e-12) if sign > 0 else -twin.ppf(1 - 1e-12))
        grid = np.linspace(min(low, bound - 1.0), bound, 200_001)
        density = twin.pdf(grid - mean) if sign > 0 else twin.pdf(mean - grid)
        expected = np.trapezoid((bound - grid) * density, grid)
        assert float(law.mean_below(np.array([bound]))[0]) == pytest.approx(expected, abs=2e-3)


def test_cube_root_law_is_close_to_scipys_gamma() -> None:
    """Wilson and Hilferty (1931): within 2e-3 for shapes above 4."""
    for shape in (4.0, 20.0, 100.0):
        law = stats.gamma(shape, scale=3.0)
        x = law.ppf(np.linspace(0.01, 0.99, 41))
        k1, k2, k3 = (np.array([value]) for value in (shape * 3.0, shape * 9.0, 2 * shape * 27.0))
        assert gamma_like_cdf(x, k1, k2, k3) == pytest.approx(law.cdf(x), abs=2e-3)


@given(theta=st.floats(0.3, 3.0), seed=st.integers(0, 1000))
def test_moments_are_those_of_the_mixture_over_the_day_factor(theta: float, seed: int) -> None:
    """The closed form equals the sum over fine nodes of the day factor."""
    coefficients = np.abs(np.random.default_rng(seed).normal(size=(9, 1))) * 10.0 * theta
    nodes, weight = day_factor_nodes(0.2, 401, 8.0)
    k1, k2, k3 = (row[0] for row in given_theta(coefficients, nodes))
    mean = weight @ k1
    off = k1 - mean
    expected = (mean, weight @ (k2 + off**2), weight @ (k3 + 3 * off * k2 + off**3))
    got = [float(value[0]) for value in moments(coefficients, day_factor_moments(0.2))]
    assert got == pytest.approx(expected, rel=1e-6)
