"""What a gauge would show of a level, and how likely each level makes what it showed."""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from legtide.day.document import Fit, Tank
from legtide.engine.course import gauge_span
from legtide.engine.types import Floats

_ROUNDING = 1e-9


def shown_percent(fit: Fit, tank: Tank, level_l: Floats, score: Floats) -> Floats:
    """What a tank's gauge shows of some levels, in percent of capacity.

    Args:
        level_l: levels in litres.
        score: standard normal draws of the sensor's error, of the same shape.
    """
    gauge, capacity = fit.gauge(tank), fit.capacity_l(tank)
    seen = level_l / capacity * 100.0 + gauge.error_percent * score
    steps = seen / gauge.step_percent
    whole = np.floor(steps + (0.5 if gauge.rounds == "nearest" else 0.0) + _ROUNDING)
    top = np.floor(100.0 / gauge.step_percent + _ROUNDING)
    return np.asarray(np.clip(whole, 0.0, top) * gauge.step_percent)


def likelihood(fit: Fit, tank: Tank, percent: float, level_l: Floats) -> Floats:
    """Probability that the gauge shows `percent`, for each level; the ends of the scale reach beyond it."""
    least, most, error = gauge_span(fit, tank, percent)
    capacity = fit.capacity_l(tank)
    low = -np.inf if least <= 0.0 else least
    high = np.inf if most >= capacity else most
    if error > 0.0:
        return np.asarray(ndtr((high - level_l) / error) - ndtr((low - level_l) / error))
    return np.asarray(((level_l >= low) & (level_l < high)).astype(np.float64))
