"""One aircraft's nodes, tank by tank: what can be planned, what is fixed, and fills that find the tank fuller.

A fixed fill whose target may lie below the level (with more than the overfill probability) is no reset: the level
after it is the higher of the two. Such a meeting of a node with a fixed fill is a node of its own, with the
engine's belief behind it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import TANKS, Service
from legtide.engine import mixture
from legtide.engine.course import is_whole, target_room
from legtide.engine.mixture import Belief
from legtide.engine.types import Floats
from legtide.plan.rotation.lanes import WASTE_KG_PER_L, Nodes, grid_enter
from legtide.plan.rotation.marks import Marks
from legtide.plan.rotation.network import BLOCKED
from legtide.plan.rotation.records import OVERFILL
from legtide.plan.rotation.situation import Situation, water_density
from legtide.plan.rotation.slots import price_of
from legtide.plan.rotation.tables import Grid, Sources, UseLaw, from_belief, from_known_start, from_services, use_law


def tank_nodes(at: Situation, marks: Marks) -> tuple[Nodes, Nodes]:
    """The nodes of both tanks (A = 1). Their uses have one law, built at once."""
    fresh, waste = _TankNodes(at, marks, 0), _TankNodes(at, marks, 1)
    needs = np.concatenate([fresh.used, waste.used], axis=1)[:, None]
    law = use_law(needs, at.rates.day_factor_cv, at.belief if at.learned else None)
    count = fresh.used.shape[1]
    return fresh.nodes(law.part(slice(0, count))), waste.nodes(law.part(slice(count, None)))


def fixed_price(at: Situation, service: Service) -> float:
    """Price of a service that is fixed; what is done costs nothing more."""
    station = at.places.get(at.rotation.turns[service.turn].station)
    return 0.0 if service.state == "done" else price_of(station, service, at.day.policy)


class _TankNodes:
    def __init__(self, at: Situation, marks: Marks, tank: int) -> None:
        self.at, self.marks, self.tank = at, marks, tank
        self.fit = at.rotation.fit
        self.capacity = float(at.course.capacity[tank])
        self.margin = float(at.course.margin[tank])
        self.grid = Grid(marks.service[tank], marks.departure, marks.arrival)
        self.fixed = self._fixed()
        self.rooms, self.whole = self._targets()
        self.price = self._prices()
        self.start_is_known = not at.learned and at.belief.is_known(tank)
        self.number, self.used = self._pairs()

    def nodes(self, law: UseLaw) -> Nodes:
        """The nodes, given the law of `used`."""
        found = _Growing(*self._plain(law))
        for turn in sorted(self.fixed):
            self._meetings(found, turn)
        order = np.argsort(found.sources.turn, kind="stable")
        rows = found.sources
        sources = Sources(rows.turn[order], rows.risk[:, order], rows.mean[:, order], rows.over[:, order])
        enter = found.enter[order][:, order][None]
        return Nodes(sources, found.target[order], enter, self._mass(sources), self._must())

    def _pairs(self) -> tuple[NDArray[np.intp], Floats]:
        """The pairs' numbers, and the coefficients (9, P) of the uses: since a known start, then of the pairs."""
        start, later, number = self.grid.pairs()
        used, belief = self.marks.used[:, self.tank], self.at.belief
        apart = used[:, later] - used[:, start]
        if not self.start_is_known:
            return number, apart
        since = used + (belief.common + belief.early)[:, self.tank, None]
        return number, np.concatenate([since, apart], axis=1)

    def _plain(self, law: UseLaw) -> tuple[Sources, NDArray[np.intp], Floats]:
        """The start and the nodes of services that leave a known room: sources, targets, ways between them."""
        rooms, margin = self.rooms[None], np.array([[self.margin]])
        belief, marks = self.at.belief, self.grid.marks
        if self.start_is_known:
            room = np.array([[float(belief.cells[self.tank].centre[0])]])
            start = from_known_start(law.part(slice(0, marks)), self.grid, room, rooms, margin)
            law = law.part(slice(marks, None))
        else:
            start = from_belief(belief, self.tank, self.marks.used[:, self.tank], self.grid, -1, self._limits())
        sources = start.joined(from_services(law, self.grid, self.number, rooms, margin))
        sources.over[..., self.whole] = 0.0
        target = np.r_[-1, np.tile(np.arange(len(self.rooms)), self.at.legs)]
        return sources, target, grid_enter(sources, self.price[None])[0]

    def _mass(self, sources: Sources) -> Floats:
        """(1, S, N) mean mass in kg."""
        if self.tank == 1:
            return np.asarray((self.capacity - sources.mean) * WASTE_KG_PER_L)
        density = np.array([water_density(self.at, turn) for turn in range(-1, self.at.legs)])
        return np.asarray(sources.mean * density[sources.turn + 1][:, None])

    # what can be planned, and what is fixed

    def _fixed(self) -> dict[int, list[Service]]:
        tank = TANKS[self.tank]
        return {turn - self.at.first_turn: list(rows) for (turn, of), rows in self.at.fixed.items() if of == tank}

    def _room(self, rows: list[Service]) -> float:
        """Services of one tank at one turn leave the most room of any of them."""
        return max(target_room(self.fit, row) for row in rows)

    def _fixed_target(self, turn: int) -> int:
        return int(np.flatnonzero(self.rooms == self._room(self.fixed[turn]))[0])

    def _targets(self) -> tuple[Floats, NDArray[np.bool_]]:
        if self.tank == 0:
            rooms = [self.capacity * fill / 100.0 for fill in self.at.fills]
        else:
            rooms = [self.capacity - self.fit.pre_charge_l.value]
        whole = [room >= self.capacity or self.tank == 1 for room in rooms]
        for rows in self.fixed.values():
            if self._room(rows) not in rooms:
                rooms.append(self._room(rows))
                whole.append(any(is_whole(row) for row in rows))
        return np.array(rooms), np.array(whole)

    def _prices(self) -> Floats:
        """(N, G) price of each target at each turn."""
        price = np.full((self.at.legs, len(self.rooms)), BLOCKED)
        for turn, opening in enumerate(self.at.openings):
            slots = opening.fresh if self.tank == 0 else (opening.waste,)
            for target, slot in enumerate(slots):
                if slot is not None:
                    price[turn, target] = slot.price
        for turn, rows in self.fixed.items():
            price[turn] = BLOCKED
            price[turn, self._fixed_target(turn)] = sum(fixed_price(self.at, row) for row in rows)
        return price

    def _must(self) -> NDArray[np.bool_]:
        must = np.zeros(self.at.legs, dtype=bool)
        must[list(self.fixed)] = True
        return must

    # beliefs

    def _limits(self) -> tuple[Floats, float]:
        return np.r_[self.margin, self.rooms], self.capacity

    # a fixed service that may find more room than its own

    def _meetings(self, found: _Growing, turn: int) -> None:
        target = self._fixed_target(turn)
        rows = found.sources
        reached = np.isfinite(found.enter).any(axis=0) | (rows.turn < 0)
        over = rows.over[0, :, turn, target] > OVERFILL
        for parent in np.flatnonzero(over & reached & (rows.turn < turn)):
            self._meeting(found, int(parent), turn, target)

    def _meeting(self, found: _Growing, parent: int, turn: int, target: int) -> None:
        used, mark = self.marks.used, int(self.grid.service[turn])
        belief, since = self._belief(found, parent)
        belief = belief.used(used[:, :, mark] - used[:, :, since])
        belief = mixture.serve(belief, self.tank, float(self.rooms[target]), 1.0, False, self.capacity)
        after = used[:, self.tank] - used[:, self.tank, mark, None]
        after[:, :mark] = 0.0
        source = from_belief(belief, self.tank, after, self.grid, turn, self._limits())
        source.over[..., self.whole] = 0.0
        found.add(source, parent, target, self.price, belief)

    def _belief(self, found: _Growing, node: int) -> tuple[Belief, int]:
        """What is believed at a node, and its mark."""
        turn = int(found.sources.turn[node])
        if turn < 0:
            return self.at.belief, 0
        mark = int(self.grid.service[turn])
        if node in found.beliefs:
            return found.beliefs[node], mark
        room = self.rooms[found.target[node]]
        known = Belief.start(self.at.rates.day_factor_cv, np.array([room, room]))
        if self.at.learned:
            known = replace(known, theta=self.at.belief.theta, weight=self.at.belief.weight)
        return known, mark


@dataclass(slots=True, eq=False)
class _Growing:
    """Nodes of one aircraft while meetings are added; `enter` is (S, S)."""

    sources: Sources
    target: NDArray[np.intp]
    enter: Floats
    beliefs: dict[int, Belief] = field(default_factory=dict)

    def add(self, source: Sources, parent: int, target: int, price: Floats, belief: Belief) -> None:
        """One more node, entered from its parent alone; prices (N, G)."""
        count, grid = len(self.target), price.size
        enter = np.full((count + 1, count + 1), BLOCKED)
        enter[:count, :count] = self.enter
        enter[count, 1 : 1 + grid] = np.where(source.over[0, 0] > OVERFILL, BLOCKED, price).ravel()
        enter[parent, count] = price[int(source.turn[0]), target]
        self.beliefs[count] = belief
        self.sources, self.enter = self.sources.joined(source), enter
        self.target = np.r_[self.target, target]
