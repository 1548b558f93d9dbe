"""What one aircraft can choose from: its cheapest services when some turns are shut, or exactly those of a day.

A rotation's tables are made once; each question is then one more shortest path through them. That is what a plan for
many aircraft and few trucks asks again and again: what would this one do if that service could not be had?
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import TANKS, Day, Tank
from legtide.day.rotations import Rotation
from legtide.plan.rotation.lanes import EXCESS_PRICE, Nodes
from legtide.plan.rotation.network import BLOCKED
from legtide.plan.rotation.planner import RotationSearch
from legtide.plan.rotation.records import FILLS, PlannedService, RotationPlan
from legtide.plan.rotation.situation import situation

Spot: TypeAlias = tuple[int, Tank]
"""A turn of the aircraft and the tank served there."""
Limits: TypeAlias = Mapping[Spot, float]
"""Spot -> target at and above which no service can be had there; a drain's target is 0."""
_Question: TypeAlias = Callable[[int, Tank, float], bool]


@dataclass(frozen=True)
class Pick:
    """One way to serve an aircraft."""

    plan: RotationPlan

    @cached_property
    def beyond(self) -> float:
        """What the risks of the legs exceed the limit by, added up."""
        plan = self.plan
        return sum(max(risk - plan.risk_limit, 0.0) for leg in plan.legs for risk in (leg.fresh, leg.waste))

    @property
    def burden(self) -> float:
        """What plans are compared by: the cost, and what is beyond the limit at a price above all others."""
        return self.plan.cost + EXCESS_PRICE * self.beyond

    @cached_property
    def chosen(self) -> dict[Spot, PlannedService]:
        """The services that were the plan's to choose."""
        return {(row.turn, row.tank): row for row in self.plan.services if not row.fixed}


class Choices:
    """The choices of one rotation. Every answer is exact for the planner's model, and kept."""

    def __init__(
        self, day: Day, rotation: Rotation, now: datetime | None = None, fills: Sequence[float] = FILLS
    ) -> None:
        self.rotation = rotation
        self.at = situation(day, rotation, fills, now)
        self._search = RotationSearch(self.at)
        self._kept: dict[frozenset[tuple[Spot, float]], Pick] = {}

    def best(self, shut: Limits | None = None) -> Pick:
        """The cheapest services without those that are shut: within the limit, or else least beyond it."""
        shut = shut or {}
        key = frozenset(shut.items())
        found = self._kept.get(key)
        if found is None:
            found = self._kept[key] = self._best(shut)
        return found

    def _best(self, shut: Limits) -> Pick:
        if not shut:
            return Pick(self._search.plan())

        def is_shut(turn: int, tank: Tank, target: float) -> bool:
            return target >= shut.get((turn, tank), BLOCKED)

        nodes = self._with_shut(is_shut)
        paths = self._search.cheapest(np.array([self._search.limit]), nodes)
        if not np.isfinite(paths.value[0]):
            paths = self._search.cheapest(np.ones(1), nodes)
        return Pick(self._search.found(paths))

    @cached_property
    def least_burden(self) -> float:
        """No services at all have a smaller burden."""
        return min(self.best().burden, float(self._search.cheapest(np.ones(1)).value[0]))

    @cached_property
    def least_cost(self) -> float:
        """No services cost less, whatever they leave beyond the limit."""
        return float(self._search.cheapest(np.ones(1), limit=np.ones(1)).value[0])

    def exactly(self, wanted: Mapping[Spot, float]) -> Pick | None:
        """The plan with just these targets beside what is fixed; none where a turn does not take one of them."""
        held = [np.zeros(self.at.legs, dtype=bool), np.zeros(self.at.legs, dtype=bool)]
        for turn, tank in wanted:
            held[TANKS.index(tank)][turn - self.at.first_turn] = True
        open_ = self._with_shut(lambda turn, tank, target: wanted.get((turn, tank)) != target)
        nodes = tuple(replace(row, must=row.must | turns) for row, turns in zip(open_, held, strict=True))
        paths = self._search.cheapest(np.ones(1), (nodes[0], nodes[1]))
        return Pick(self._search.found(paths)) if np.isfinite(paths.value[0]) else None

    def _with_shut(self, is_shut: _Question) -> tuple[Nodes, Nodes]:
        fresh, waste = (self._tank_with_shut(tank, is_shut) for tank in TANKS)
        return fresh, waste

    def _tank_with_shut(self, tank: Tank, is_shut: _Question) -> Nodes:
        """One tank's nodes, those entered by a service that is shut made unreachable; what is fixed stays."""
        nodes = self._search.nodes[TANKS.index(tank)]
        ways: NDArray[np.float64] = np.zeros(len(nodes))
        for number in range(1, len(nodes)):
            turn = int(nodes.sources.turn[number]) + self.at.first_turn
            if (turn, tank) in self.at.fixed:
                continue
            # Targets that only fixed services have come after the grid's, and are open nowhere else.
            place = int(nodes.target[number])
            target = self.at.fills[place] if tank == "fresh" and place < len(self.at.fills) else 0.0
            if is_shut(turn, tank, target):
                ways[number] = BLOCKED
        return replace(nodes, enter=nodes.enter + ways)
