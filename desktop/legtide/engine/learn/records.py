"""What is learned from readings of past days: estimates with their intervals, as figures that a day can use."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

from legtide.day.document import Figure, Usage
from legtide.day.edits import rebuilt

LEARNED: Final = ("visits_per_person_h", "hand_wash_mean_l", "day_factor_cv", "leg_factor_shape")
"""Figures of use that are estimated. Readings of two tanks tell two mean rates, the spread from day to day and that
from leg to leg; the other figures stay as they are assumed."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """One figure as the readings have it."""

    field: str
    """Name in `usage`."""
    value: float
    low: float
    high: float
    """90 % interval."""
    assumed: float
    """What was assumed before."""


@dataclass(frozen=True, slots=True)
class Rate:
    """A mean rate that follows from the estimates, in L/(person h)."""

    name: str
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Learned:
    """What the days say of one fit and cabin service."""

    fit: str
    """Id of the fit; empty for all fits together."""
    cabin_service: str
    """Empty for all cabin services together."""
    days: tuple[date, ...]
    aircraft_days: int
    readings: int
    estimates: tuple[Estimate, ...]
    rates: tuple[Rate, ...]

    @property
    def source(self) -> str:
        """Where the figures come from, in words."""
        first, last = self.days[0], self.days[-1]
        span = f"{first:%Y-%m-%d}" if first == last else f"{first:%Y-%m-%d} to {last:%Y-%m-%d}"
        what = ", ".join(part for part in (self.fit, self.cabin_service and f"service {self.cabin_service}") if part)
        count = f"{self.readings} readings on {len(self.days)} day{'s' if len(self.days) > 1 else ''} ({span})"
        return f"Learned from {count}" + (f", {what}" if what else "")

    def figures(self) -> dict[str, Figure]:
        """Field of `usage` -> figure with status `learned`."""
        return {
            row.field: Figure(
                value=float(f"{row.value:.4g}"),
                source=f"{self.source}; 90 % interval {row.low:.3g} to {row.high:.3g}",
                status="learned",
            )
            for row in self.estimates
        }

    def usage(self, base: Usage) -> Usage:
        """A day's figures of use with the learned ones in their places."""
        return rebuilt(base, **self.figures())


@dataclass(frozen=True, slots=True)
class Learning:
    """What many days say: all together, each fit, and each fit with each cabin service that has enough readings."""

    groups: tuple[Learned, ...]
    notes: tuple[str, ...]
    """What was left out, and why."""
