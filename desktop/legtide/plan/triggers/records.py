"""What trigger readings are: plain frozen records.

Nomenclature: `turn` is the number of legs already flown; percents are of a tank's capacity, as its gauge shows them;
risks are probabilities of a breach by the end of a leg.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from legtide.day.document import Day, Tank
from legtide.day.rotations import Rotation
from legtide.engine.types import Floats

Answer: TypeAlias = Literal["by_reading", "always", "never", "no_gauge"]
"""Whether an aircraft can go on without a service: as the gauge shows, whatever it shows, never, or unknown."""
GoOnIf: TypeAlias = Literal["at_or_above", "at_or_below"]


@dataclass(frozen=True, slots=True)
class StepRisk:
    """One reading that the gauge could show."""

    percent: float
    probability: float
    """Probability of that reading as projected."""
    risk: float
    """Largest risk of the legs up to the next service, given that reading and no service here."""


@dataclass(frozen=True, slots=True)
class Trigger:
    """The reading of one tank at one turn that decides whether to go on without a service there."""

    registration: str
    turn: int
    station: str
    tank: Tank
    next_service_turn: int | None
    """Turn of the next service of the tank; none where no later turn of the rotation has one."""
    planned_here: bool
    """Whether the day has a service of the tank at this turn."""
    answer: Answer
    trigger_percent: float | None
    """The last reading with which the limit is kept; none where no reading decides."""
    risk_limit: float
    steps: tuple[StepRisk, ...]
    """Every step of the gauge, from empty to full; none without a gauge that works."""

    @property
    def go_on_if(self) -> GoOnIf:
        """Which side of the trigger reading lets the aircraft go on."""
        return "at_or_above" if self.tank == "fresh" else "at_or_below"


@dataclass(frozen=True, slots=True, eq=False)
class TriggerTable:
    """Both gauges read at one turn: risks up to each tank's next service, without any service here."""

    registration: str
    turn: int
    station: str
    risk_limit: float
    fresh_percent: tuple[float, ...]
    waste_percent: tuple[float, ...]
    probability: Floats
    """(fresh steps, waste steps) probability of those two readings together."""
    fresh_risk: Floats
    waste_risk: Floats
    """(fresh steps, waste steps) largest risk of the legs up to the tank's next service."""


@dataclass(frozen=True, slots=True, eq=False)
class Triggers:
    """The trigger readings of a day, aircraft by aircraft."""

    day: Day
    aircraft: dict[str, tuple[Rotation, tuple[Trigger, ...]]]

    @property
    def turns(self) -> tuple[Trigger, ...]:
        """All of them: by aircraft in the order of the day, turn, fresh before waste."""
        return tuple(row for _, rows in self.aircraft.values() for row in rows)

    def at(self, registration: str, turn: int, tank: Tank) -> Trigger | None:
        """The trigger of one tank at one turn."""
        rows = self.aircraft[registration][1] if registration in self.aircraft else ()
        return next((row for row in rows if row.turn == turn and row.tank == tank), None)
