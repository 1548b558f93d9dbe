"""What one aircraft can choose from: its cheapest services when some turns are shut, or what makes up for those.

A rotation's tables are made once; each question is then one more shortest path through them. That is what a plan for
many aircraft and few trucks asks again and again: what would this one do if that service could not be had?
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import TANKS, Day, Tank
from legtide.day.rotations import Rotation
from legtide.language import tr
from legtide.plan.rotation.lanes import EXCESS_PRICE, Nodes
from legtide.plan.rotation.network import BLOCKED
from legtide.plan.rotation.planner import RotationSearch
from legtide.plan.rotation.records import FILLS, PlanError, PlannedService, RotationPlan
from legtide.plan.rotation.situation import situation

Spot: TypeAlias = tuple[int, Tank]
"""A turn of the aircraft and the tank served there."""
Limits: TypeAlias = Mapping[Spot, float]
"""Spot -> target at and above which no service can be had there; a drain's target is 0."""
_WISH = 10.0
"""Price units by which a service that somebody asked for may cost more than it avoids: about its fuel."""
_Question: TypeAlias = Callable[[int, Tank, float], bool]


@dataclass(frozen=True)
class Pick:
    """One way to serve an aircraft."""

    plan: RotationPlan
    wish: float = 0.0
    """What the services that were asked for are worth by that alone: a truck that has time does them."""

    @cached_property
    def beyond(self) -> float:
        """What the risks of the legs exceed the limit by, added up."""
        plan = self.plan
        return sum(max(risk - plan.risk_limit, 0.0) for leg in plan.legs for risk in (leg.fresh, leg.waste))

    @property
    def burden(self) -> float:
        """What plans are compared by: the cost, and what is beyond the limit at a price above all others."""
        return self.plan.cost - self.wish + EXCESS_PRICE * self.beyond

    @cached_property
    def chosen(self) -> dict[Spot, PlannedService]:
        """The services that were the plan's to choose."""
        return {(row.turn, row.tank): row for row in self.plan.services if not row.fixed}


class Choices:
    """The choices of one rotation. Every answer is exact for the planner's model, and kept."""

    def __init__(
        self,
        day: Day,
        rotation: Rotation,
        now: datetime | None = None,
        fills: Sequence[float] = FILLS,
        asked: Mapping[Spot, float] | None = None,
    ) -> None:
        """`asked`: services that are wanted as they are. They stay unless they are shut, and nothing else is chosen
        but what makes up for those: services of the same tank at other turns."""
        self.rotation = rotation
        self.at = situation(day, rotation, fills, now)
        self._asked = asked
        self._kept: dict[frozenset[tuple[Spot, float]], Pick] = {}

    @cached_property
    def _search(self) -> RotationSearch:
        # Not before it is asked for: a rotation with nothing left to plan has no tables.
        return RotationSearch(self.at)

    def best(self, shut: Limits | None = None) -> Pick:
        """The cheapest services without those that are shut: within the limit, or else least beyond it.

        Raises PlanError where what is asked for does not fit into the turns.
        """
        shut = shut or {}
        key = frozenset(shut.items())
        found = self._kept.get(key)
        if found is None:
            found = self._kept[key] = self._best(shut)
        return found

    def _best(self, shut: Limits) -> Pick:
        if not shut and self._asked is None:
            return Pick(self._search.plan())
        found = self._cheapest(*self._open(shut))
        if found is None:
            words = tr("{aircraft}: what is asked for does not fit into its turns")
            raise PlanError(words.format(aircraft=self.rotation.registration))
        return found

    def _open(self, shut: Limits) -> tuple[_Question, Iterable[Spot]]:
        """What is shut, and the services that have to be."""
        if self._asked is None:
            return lambda turn, tank, target: target >= shut.get((turn, tank), BLOCKED), ()
        keep = {spot: target for spot, target in self._asked.items() if target < shut.get(spot, BLOCKED)}
        tanks = {tank for turn, tank in shut}

        def is_shut(turn: int, tank: Tank, target: float) -> bool:
            if (turn, tank) in keep:
                return target != keep[turn, tank]
            return tank not in tanks or target >= shut.get((turn, tank), BLOCKED)

        return is_shut, keep

    def takes(self, spot: Spot, target: float) -> bool:
        """Whether a turn can take a service."""
        place = spot[0] - self.at.first_turn
        if not 0 <= place < self.at.legs:
            return False
        opening = self.at.openings[place]
        if spot[1] == "waste":
            return opening.waste is not None
        return any(
            slot is not None and fill == target for fill, slot in zip(self.at.fills, opening.fresh, strict=True)
        )

    @cached_property
    def least_burden(self) -> float:
        """No services at all have a smaller burden."""
        return min(self.best().burden, float(self._search.cheapest(np.ones(1)).value[0]))

    @cached_property
    def least_cost(self) -> float:
        """No services cost less, whatever they leave beyond the limit."""
        return float(self._search.cheapest(np.ones(1), limit=np.ones(1)).value[0])

    def _cheapest(self, is_shut: _Question, must: Iterable[Spot]) -> Pick | None:
        """The cheapest plan within the limit, or else least beyond it; none where nothing fits."""
        held = [np.zeros(self.at.legs, dtype=bool), np.zeros(self.at.legs, dtype=bool)]
        for turn, tank in must:
            held[TANKS.index(tank)][turn - self.at.first_turn] = True
        fresh, waste = (
            replace(self._with_shut(tank, is_shut), must=self._search.nodes[place].must | held[place])
            for place, tank in enumerate(TANKS)
        )
        for worst in (self._search.limit, 1.0):
            paths = self._search.cheapest(np.array([worst]), (fresh, waste))
            if np.isfinite(paths.value[0]):
                return self._pick(self._search.found(paths))
        return None

    def _pick(self, plan: RotationPlan) -> Pick:
        asked = self._asked or {}
        kept = [row for row in plan.services if asked.get((row.turn, row.tank)) == row.target_percent]
        return Pick(plan, sum(row.price + _WISH for row in kept))

    def _with_shut(self, tank: Tank, is_shut: _Question) -> Nodes:
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
