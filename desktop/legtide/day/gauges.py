"""What a gauge shows for a level, in the gauge's own terms."""

from __future__ import annotations

import math

from legtide.day.document import Gauge

NBSP = "\u00a0"
_FINEST = 5.0
"""Steps finer than this (percent) are not offered one by one."""


def gauge_text(gauge: Gauge, percent: float, capacity_l: float) -> str:
    """A level as the gauge shows it: "50 %", "4/8" or "100 L".

    A level between two eighths is given in percent: it was not read from that gauge.
    """
    if gauge.shows == "litres":
        return f"{percent / 100.0 * capacity_l:.0f}{NBSP}L"
    eighths = percent / 12.5
    if gauge.shows == "eighths" and math.isclose(eighths, round(eighths), abs_tol=1e-9):
        return f"{eighths:.0f}/8"
    return f"{percent:g}{NBSP}%"


def offered_steps(gauge: Gauge) -> list[float]:
    """Levels in percent that the gauge can show, from empty up; every 5 % where its steps are finer."""
    step = max(gauge.step_percent, _FINEST)
    return [number * step for number in range(int(100.0 / step + 1e-9) + 1)]
