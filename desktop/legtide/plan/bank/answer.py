"""What the solver gives back: a plan that trucks can work, with every figure of its worth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Status = Literal["optimal", "feasible"]
LegKind = Literal["drive", "wait", "break", "reload", "service"]
Reason = Literal[
    "no_truck", "window_too_short", "out_of_reach", "too_large", "pin_broken", "trucks_busy", "not_worth"
]


@dataclass(frozen=True, slots=True)
class Assignment:
    """One request served: by whom, how and when (minutes on the problem's clock)."""

    request: str
    option: int
    truck: str
    start_min: float
    end_min: float
    reload_before: bool = False
    """Whether the truck goes by a fill or dump point on the way to it."""
    delay_min: float = 0.0
    """Minutes past the end of its window."""


@dataclass(frozen=True, slots=True)
class RunLeg:
    """A stretch of a truck's run."""

    kind: LegKind
    start_min: float
    end_min: float
    origin: str
    destination: str
    request: str = ""
    """Id of the request; empty where the leg is no service."""


@dataclass(frozen=True, slots=True)
class Run:
    """All that one truck does, without gaps from its start to its end."""

    truck: str
    legs: tuple[RunLeg, ...]

    @property
    def busy_min(self) -> float:
        """Minutes in which it drives, reloads or serves."""
        return sum(leg.end_min - leg.start_min for leg in self.legs if leg.kind in ("drive", "reload", "service"))

    @property
    def services(self) -> tuple[str, ...]:
        """Ids of the requests in the order served."""
        return tuple(leg.request for leg in self.legs if leg.kind == "service")


@dataclass(frozen=True, slots=True)
class Figures:
    """The objective, in its order."""

    delay_min: float
    """Minutes of departure delay, each aircraft's longest."""
    value: float
    """Risk avoided on all later legs, in price units."""
    cost: float
    """The services' cost, in price units."""
    truck_min: float
    """Minutes in which trucks drive, reload or serve."""


@dataclass(frozen=True, slots=True)
class Unserved:
    """A request that the plan leaves out: why, and what would make it possible with all else as planned."""

    request: str
    reason: Reason
    text: str
    another_truck_min: float | None = None
    """Minutes that one more truck of the kind would be needed; none where that does not help."""
    delay_min: float | None = None
    """Smallest delay of the departure with which the planned trucks could serve it; none where none helps."""


@dataclass(frozen=True, slots=True)
class BankPlan:
    """A station's plan: assignments by start, a run per truck, and what remains."""

    assignments: tuple[Assignment, ...]
    runs: tuple[Run, ...]
    unserved: tuple[Unserved, ...]
    figures: Figures
    worth: float
    """The figure that the bound bounds: risk avoided less priced delays, and less cost and truck minutes at
    their prices where the ranking is `priced`."""

    def assignment(self, request_id: str) -> Assignment | None:
        """How a request is served; none when it is not."""
        for row in self.assignments:
            if row.request == request_id:
                return row
        return None


@dataclass(frozen=True, slots=True)
class BankResult:
    """A plan with what is known of the best one possible."""

    plan: BankPlan
    bound: float
    """No plan has a worth above this."""
    gap: float
    """(bound - worth) / |bound|: at most this share more could be had."""
    status: Status
    iterations: int
    seconds: float
    stopped_by: str
    """Which rule ended the search."""


_EQUAL = 1e-4
"""Share of the bound below which a difference is none: the solvers count in hundredths of a price unit."""


def gap_of(worth: float, bound: float) -> float:
    """Share of the bound that the plan may still lack; 0 when nothing that counts is left (0.01 %)."""
    gap = (bound - worth) / max(abs(bound), 1e-9)
    return gap if gap > _EQUAL else 0.0
