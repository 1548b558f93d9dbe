"""The cheapest way through the turns of a rotation: a shortest path over both tanks at once.

A state is the last water node and the last waste node: nodes are the start and, for each turn, each level that a
service leaves. A tank's cost of carrying on from a node is charged when its next service, or the end, comes. So
limits that join the two tanks at a turn (only one service fits; both together at another price) hold exactly.

The same recursion finds the least largest risk, with `maximum` in place of `add`.

Shapes: A aircraft with the same number N of turns; S water and W waste nodes, in the order of their turns.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from legtide.engine.types import Floats

Nodes: TypeAlias = NDArray[np.intp]
BLOCKED: Final = np.inf
"""Cost of what cannot be."""


@dataclass(frozen=True, slots=True, eq=False)
class Lane:
    """One tank's nodes."""

    first: NDArray[np.intp]
    """(N + 1,) number of the first node of each turn; the nodes of turn t are first[t] to first[t + 1]."""
    carry: Floats
    """(A, S, N + 1) cost of the legs from a node up to a turn; read only for later turns."""
    enter: Floats
    """(A, S, S) cost of a service that leads from one node to another; read only for nodes of later turns."""

    def nodes(self, turn: int) -> slice:
        """The nodes of a turn."""
        return slice(int(self.first[turn]), int(self.first[turn + 1]))

    def only(self, rows: NDArray[np.bool_]) -> Lane:
        """The lane of some of the aircraft."""
        return Lane(self.first, self.carry[rows], self.enter[rows])


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """Both tanks' nodes, and at each turn what both services together cost beyond each alone."""

    fresh: Lane
    waste: Lane
    together: tuple[Floats | None, ...]
    """For each turn (A, water nodes, waste nodes), or none where it is nothing; never negative, `BLOCKED` where only
    one service fits."""

    @property
    def turns(self) -> int:
        """N, the number of turns."""
        return len(self.together)

    def only(self, rows: NDArray[np.bool_]) -> Network:
        """The network of some of the aircraft."""
        together = tuple(None if extra is None else extra[rows] for extra in self.together)
        return Network(self.fresh.only(rows), self.waste.only(rows), together)


@dataclass(frozen=True, slots=True, eq=False)
class Paths:
    """The best way of each aircraft."""

    value: Floats
    """(A,) cost, or largest risk."""
    fresh: Nodes
    waste: Nodes
    """(A, N) node entered at each turn, -1 where none is."""


def best_paths(network: Network, combine: np.ufunc = np.add) -> Paths:
    """The cheapest path of each aircraft; of equal ones always the same.

    Each tank's cheapest path is found alone. Where the two do not meet at a turn at which both services together cost
    more, they are the answer, since together never costs less than each alone. The others are searched jointly.

    Args:
        network: costs; with `maximum`, risks: zero or `BLOCKED` for what costs nothing or cannot be.
        combine: `numpy.add` or `numpy.maximum`.
    """
    fresh, fresh_nodes = _alone(network.fresh, combine)
    waste, waste_nodes = _alone(network.waste, combine)
    value = combine(fresh, waste)
    clash = np.isfinite(value) & _meet(network, fresh_nodes, waste_nodes)
    if clash.any():
        joint = _joint(network.only(clash), combine)
        value[clash], fresh_nodes[clash], waste_nodes[clash] = joint.value, joint.fresh, joint.waste
    return Paths(value, fresh_nodes, waste_nodes)


def _meet(network: Network, fresh: Nodes, waste: Nodes) -> NDArray[np.bool_]:
    """(A,) whether both tanks are served at a turn where that costs more than each alone."""
    meet = np.zeros(len(fresh), dtype=bool)
    for turn, extra in enumerate(network.together):
        if extra is not None:
            rows = np.flatnonzero((fresh[:, turn] >= 0) & (waste[:, turn] >= 0))
            water = fresh[rows, turn] - network.fresh.first[turn]
            meet[rows] |= extra[rows, water, waste[rows, turn] - network.waste.first[turn]] > 0.0
    return meet


# one tank alone -------------------------------------------------------------------------------------------


def _alone(lane: Lane, combine: np.ufunc) -> tuple[Floats, Nodes]:
    """The cheapest way of one tank: values (A,) and nodes entered (A, N)."""
    a, count, turns = lane.carry.shape[0], lane.carry.shape[1], len(lane.first) - 1
    best = np.full((a, count), BLOCKED)
    best[:, 0] = 0.0
    before = np.zeros((a, count), dtype=np.intp)
    for turn in range(turns):
        nodes = lane.nodes(turn)
        older = nodes.start
        closed = combine(best[:, :older], lane.carry[:, :older, turn])
        ways = combine(closed[:, :, None], lane.enter[:, :older, nodes])
        before[:, nodes] = ways.argmin(axis=1)
        best[:, nodes] = ways.min(axis=1)
    total = combine(best, lane.carry[:, :, turns])
    turn_of = np.repeat(np.arange(-1, turns), np.diff(lane.first, prepend=0))
    return total.min(axis=1), _entered(total.argmin(axis=1), before, turn_of, turns)


def _entered(last: Nodes, before: Nodes, turn_of: NDArray[np.intp], turns: int) -> Nodes:
    """(A, N) the nodes on the way to the last ones."""
    entered = np.full((len(last), turns), -1)
    rows, node = np.arange(len(last)), last
    for _ in range(turns):
        on_the_way = node > 0
        entered[rows[on_the_way], turn_of[node[on_the_way]]] = node[on_the_way]
        node = before[rows, node]
    return entered


# both tanks jointly ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class _Step:
    """Where the new states of one turn come from."""

    water: Nodes
    """(A, n, W) water node before, for new water nodes with each older waste node."""
    toilet: Nodes
    """(A, S, m) waste node before, for new waste nodes with each older water node."""
    toilet_of_both: Nodes
    """(A, n, m) waste node before, where both are new; the water node before is that of `water` with it."""


def _joint(network: Network, combine: np.ufunc) -> Paths:
    fresh, waste = network.fresh, network.waste
    a = fresh.carry.shape[0]
    best = np.full((a, fresh.carry.shape[1], waste.carry.shape[1]), BLOCKED)
    best[:, 0, 0] = 0.0
    steps = [_turn(network, best, turn, combine) for turn in range(network.turns)]
    end = network.turns
    total = combine(combine(best, fresh.carry[:, :, None, end]), waste.carry[:, None, :, end]).reshape(a, -1)
    return _traced(network, steps, total.min(axis=1), total.argmin(axis=1))


def _turn(network: Network, best: Floats, turn: int, combine: np.ufunc) -> _Step:
    """Fills in the states that services of one turn lead to."""
    fresh, waste = network.fresh, network.waste
    water, toilet = fresh.nodes(turn), waste.nodes(turn)
    s, w = water.start, toilet.start
    older, toilet_carry = best[:, :s, :w], waste.carry[:, None, :w, turn]
    drain = waste.enter[:, :w, toilet]
    water_done = combine(older, fresh.carry[:, :s, None, turn])
    by_water = combine(water_done[:, :, None, :], fresh.enter[:, :s, water, None])  # (A, s, n, w)
    by_toilet = combine(combine(older, toilet_carry)[:, :, :, None], drain[:, None])  # (A, s, w, m)
    poured = by_water.min(axis=1)
    # Both: for each older waste node the best way in by water, then that is closed too.
    by_both = combine(combine(poured, toilet_carry)[:, :, :, None], drain[:, None])  # (A, n, w, m)
    best[:, water, :w] = poured
    best[:, :s, toilet] = by_toilet.min(axis=2)
    extra = network.together[turn]
    both = by_both.min(axis=2)
    best[:, water, toilet] = both if extra is None else combine(both, extra)
    return _Step(by_water.argmin(axis=1), by_toilet.argmin(axis=2), by_both.argmin(axis=2))


def _traced(network: Network, steps: list[_Step], value: Floats, last: Nodes) -> Paths:
    """Walks back from the best end states."""
    fresh, waste = network.fresh, network.waste
    s, w = np.divmod(last, waste.carry.shape[1])
    fresh_nodes, waste_nodes = np.full((len(value), network.turns), -1), np.full((len(value), network.turns), -1)
    for turn in range(network.turns - 1, -1, -1):
        water, toilet = fresh.nodes(turn), waste.nodes(turn)
        step, poured, drained = steps[turn], s >= water.start, w >= toilet.start
        fresh_nodes[poured, turn], waste_nodes[drained, turn] = s[poured], w[drained]
        at = np.flatnonzero(poured & drained)
        w[at] = step.toilet_of_both[at, s[at] - water.start, w[at] - toilet.start]
        at = np.flatnonzero(drained & ~poured)
        w[at] = step.toilet[at, s[at], w[at] - toilet.start]
        at = np.flatnonzero(poured)
        s[at] = step.water[at, s[at] - water.start, w[at]]
    return Paths(value, fresh_nodes, waste_nodes)
