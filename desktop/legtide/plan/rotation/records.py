"""What a plan for a rotation holds: plain frozen records.

Nomenclature: `turn` is the number of legs already flown; times are aware datetimes in UTC; costs are in the policy's
price units; risks are probabilities of a breach by the end of a leg, 0 to 1.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final, Literal, TypeAlias

from legtide.day.document import Service, Tank

Status: TypeAlias = Literal["optimal", "least_bad"]

FILLS: Final[tuple[float, ...]] = (25.0, 50.0, 75.0, 100.0)
"""Fill levels that a plan chooses from, in percent of capacity."""
OVERFILL: Final = 0.05
"""A fill is not planned where the level lies above its target with more than this probability: it would do nothing,
and a plan that took it for a reset would quietly drain the tank."""


class PlanError(ValueError):
    """A plan that was asked for cannot be made; the message says why."""


@dataclass(frozen=True, slots=True)
class PlannedService:
    """One service of a plan."""

    registration: str
    turn: int
    station: str
    tank: Tank
    target_percent: float
    start: datetime | None
    end: datetime | None
    price: float
    service_id: str = ""
    """The day's row that this service keeps; empty for a new one."""
    truck: str | None = None
    fixed: bool = False
    """Done, pinned or under way: it was not the plan's to choose."""


@dataclass(frozen=True, slots=True)
class LegRisk:
    """What the plan leaves on one leg."""

    index: int
    fresh: float
    waste: float


@dataclass(frozen=True, slots=True)
class Costs:
    """What a plan costs, in price units; the parts add up to the total, nothing else is in it."""

    services: float = 0.0
    fuel: float = 0.0
    """Fuel burnt to carry the mean mass in both tanks."""
    risk: float = 0.0
    """Each leg's risk in each tank times the price of a breach."""
    fuel_kg: float = 0.0

    @property
    def total(self) -> float:
        """All parts together."""
        return self.services + self.fuel + self.risk

    def __add__(self, other: Costs) -> Costs:
        return Costs(
            self.services + other.services,
            self.fuel + other.fuel,
            self.risk + other.risk,
            self.fuel_kg + other.fuel_kg,
        )


@dataclass(frozen=True, slots=True)
class Obstacle:
    """One reason why a leg's risk cannot be kept within the limit: a service that a turn cannot take."""

    turn: int
    station: str
    tank: Tank
    reason: str


@dataclass(frozen=True, slots=True)
class RotationPlan:
    """The services of one aircraft from its first open turn on."""

    registration: str
    status: Status
    first_turn: int
    """The first turn that is planned; legs before it are flown."""
    services: tuple[PlannedService, ...]
    """By turn, then start."""
    legs: tuple[LegRisk, ...]
    """Legs from `first_turn` on."""
    costs: Costs
    risk_limit: float
    replaced: tuple[Service, ...] = ()
    """Planned rows of the day from `first_turn` on that this plan takes the place of."""
    binding: str = ""
    """What binds where the limit cannot be kept: leg, station and window in a sentence; empty in an optimal plan."""
    obstacles: tuple[Obstacle, ...] = ()

    @property
    def cost(self) -> float:
        """The total of the costs."""
        return self.costs.total

    @property
    def bound(self) -> float:
        """No plan that keeps the same limits costs less: the plan is exact, so this is its cost."""
        return self.cost

    @property
    def worst_risk(self) -> float:
        """The largest risk of any leg and tank; 0 without legs."""
        return max((max(leg.fresh, leg.waste) for leg in self.legs), default=0.0)

    def with_binding(self, sentence: str, obstacles: tuple[Obstacle, ...]) -> RotationPlan:
        """The same plan with what binds."""
        return replace(self, binding=sentence, obstacles=obstacles)
