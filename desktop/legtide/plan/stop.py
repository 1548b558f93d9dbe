"""When a search ends: rules as objects, asked between two steps of the search.

A search that stops by iterations or by gap gives the same plan for the same input on every machine; the rules
that look at the clock do not. Rules hold no state, so that one may serve several searches.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class SearchState:
    """Where a search stands."""

    iterations: int
    seconds: float
    """Since the search began, on a monotonic clock."""
    worth: float
    bound: float
    gap: float
    iterations_at_gain: int
    """Iteration of the last better plan."""
    seconds_at_gain: float


class Stop(Protocol):
    """A rule: gives the reason to stop now, or none to go on."""

    def __call__(self, state: SearchState) -> str | None:
        """Reason to stop, or none."""


@dataclass(frozen=True, slots=True)
class AfterIterations:
    """Stops after so many iterations."""

    limit: int

    def __call__(self, state: SearchState) -> str | None:
        """Reason to stop, or none."""
        return f"{self.limit} iterations" if state.iterations >= self.limit else None


@dataclass(frozen=True, slots=True)
class AfterSeconds:
    """Stops after so many seconds."""

    limit: float

    def __call__(self, state: SearchState) -> str | None:
        """Reason to stop, or none."""
        return f"{self.limit:g} s" if state.seconds >= self.limit else None


@dataclass(frozen=True, slots=True)
class NoGainIterations:
    """Stops when so many iterations brought no better plan."""

    limit: int

    def __call__(self, state: SearchState) -> str | None:
        """Reason to stop, or none."""
        if state.iterations - state.iterations_at_gain >= self.limit:
            return f"no gain in {self.limit} iterations"
        return None


@dataclass(frozen=True, slots=True)
class NoGainSeconds:
    """Stops when neither `least_s` seconds nor `share` of the time so far brought a better plan."""

    least_s: float = 3.0
    share: float = 0.3

    def __call__(self, state: SearchState) -> str | None:
        """Reason to stop, or none."""
        if state.seconds - state.seconds_at_gain >= max(self.least_s, self.share * state.seconds):
            return f"no gain in {state.seconds - state.seconds_at_gain:.0f} s"
        return None


@dataclass(frozen=True, slots=True)
class GapBelow:
    """Stops when at most this share more could be had."""

    limit: float = 0.005

    def __call__(self, state: SearchState) -> str | None:
        """Reason to stop, or none."""
        return f"gap of {100 * state.gap:.2f} %" if state.gap <= self.limit else None


@dataclass(frozen=True, slots=True)
class Cancelled:
    """Stops when asked to: `is_set` is a threading event's method, or any other question."""

    is_set: Callable[[], bool]

    def __call__(self, state: SearchState) -> str | None:
        """Reason to stop, or none."""
        return "cancelled" if self.is_set() else None


class AnyOf:
    """Stops when the first of several rules says so."""

    def __init__(self, *rules: Stop) -> None:
        self.rules = rules

    def __call__(self, state: SearchState) -> str | None:
        """Reason of the first rule that has one, or none."""
        for rule in self.rules:
            reason = rule(state)
            if reason is not None:
                return reason
        return None


def usual(cancelled: Callable[[], bool] | None = None, seconds: float = 10.0) -> AnyOf:
    """The window's rules: so many seconds, a gap of 0.5 %, no gain for long, or cancelled."""
    rules: list[Stop] = [] if cancelled is None else [Cancelled(cancelled)]
    return AnyOf(*rules, AfterSeconds(seconds), GapBelow(), NoGainSeconds())
