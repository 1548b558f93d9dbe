"""How good forecasts of risk were: the Brier score, lower is better.

Brier, G. W. (1950), Verification of forecasts expressed in terms of probability, Monthly Weather Review 78:1-3, here
in the form for an event that happens or not: the mean of (forecast - outcome) squared, from 0 to 1. It is proper:
nobody gains by saying another probability than the one they hold.
"""

from __future__ import annotations

from collections.abc import Sequence


def brier_score(forecasts: Sequence[float], happened: Sequence[bool]) -> float:
    """The mean squared distance of probabilities from what happened (1 or 0).

    Raises ValueError without forecasts, or when there are not as many outcomes.
    """
    pairs = list(zip(forecasts, happened, strict=True))
    if not pairs:
        raise ValueError("no forecasts to score")
    return sum((probability - float(outcome)) ** 2 for probability, outcome in pairs) / len(pairs)
