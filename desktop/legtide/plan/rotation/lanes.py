"""One tank's nodes with their costs: from sources, prices and what is fixed to a lane of the network.

The cost of a leg from a source is the fuel for the mean mass carried on it, plus the price of a breach times the
risk by its end: a plan that stays just below the limit is dearer than one with more margin by what that margin is
worth. A leg whose risk passes the limit blocks the source beyond it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from legtide.engine.types import Floats
from legtide.plan.rotation.network import BLOCKED, Lane
from legtide.plan.rotation.records import OVERFILL
from legtide.plan.rotation.tables import Sources

WASTE_KG_PER_L: Final = 1.0
"""Density of waste, mostly water (assumed)."""
EXCESS_PRICE: Final = 1e6
"""Price of each unit of risk beyond the limit where the limit cannot be kept: so high that no leg passes the limit
for the sake of money, and legs that can be kept within it are."""
ROUNDING: Final = 1e-12
"""Risks that differ by no more are the same."""


@dataclass(frozen=True, slots=True)
class Prices:
    """What a leg costs beside its services."""

    breach: float
    fuel_per_kg: float
    fuel_share_per_h: float
    """Fuel burnt per flight hour as a share of the mass carried."""


@dataclass(frozen=True, slots=True, eq=False)
class Nodes:
    """One tank's nodes in the order of their turns, and the way into each.

    The first node is the start. Targets are counted as in the sources' tables; the start has target -1.
    """

    sources: Sources
    target: NDArray[np.intp]
    """(S,) target of the service that makes the node."""
    enter: Floats
    """(A, S, S) price of the service from node to node; `BLOCKED` where it is not offered or would overfill."""
    mass: Floats
    """(A, S, N) mean mass in kg carried on each leg."""
    must: NDArray[np.bool_]
    """(N,) turns at which a service is fixed: no node carries on past them."""

    def __len__(self) -> int:
        return len(self.target)

    @property
    def flown(self) -> NDArray[np.bool_]:
        """(S, N) legs after each node."""
        turns = self.sources.risk.shape[2]
        return np.arange(turns) >= self.sources.turn[:, None]

    def first(self) -> NDArray[np.intp]:
        """(N + 1,) number of the first node of each turn."""
        turns = self.sources.risk.shape[2]
        return np.searchsorted(self.sources.turn, np.arange(turns + 1))


def grid_enter(sources: Sources, price: Floats) -> Floats:
    """(A, S, S) ways between the start and the nodes of a full grid, for prices (A, N, G)."""
    a, s, n, g = sources.over.shape
    ways = np.where(sources.over > OVERFILL, BLOCKED, price[:, None])
    return np.concatenate([np.full((a, s, 1), BLOCKED), ways.reshape(a, s, n * g)], axis=2)


def leg_costs(nodes: Nodes, hours: Floats, prices: Prices) -> Floats:
    """(A, S, N) cost of each leg after each node; hours (A, N)."""
    fuel = nodes.mass * hours[:, None] * (prices.fuel_share_per_h * prices.fuel_per_kg)
    return np.where(nodes.flown, fuel + prices.breach * nodes.sources.risk, 0.0)


def _up_to(legs: Floats, accumulate: np.ufunc) -> Floats:
    """(A, S, N + 1) legs taken together up to each turn."""
    none = np.zeros((*legs.shape[:2], 1))
    return np.concatenate([none, accumulate.accumulate(legs, axis=2)], axis=2)


def _barred(nodes: Nodes) -> NDArray[np.bool_]:
    """(S, N + 1) where a node would carry on past a service that is fixed."""
    turns = np.arange(len(nodes.must) + 1)
    next_fixed = np.array([next((t for t in np.flatnonzero(nodes.must) if t > at), turns[-1]) for at in turns - 1])
    return np.asarray(turns > next_fixed[nodes.sources.turn + 1][:, None])


def cost_lane(nodes: Nodes, costs: Floats, limit: Floats, worst: Floats) -> Lane:
    """The lane for the cheapest plan: no leg beyond `worst`, and beyond `limit` only at the price of the excess.

    Args:
        nodes: the tank's nodes.
        costs: (A, S, N) cost of each leg.
        limit, worst: (A,) risks; equal where the limit can be kept.
    """
    risk = np.where(nodes.flown, nodes.sources.risk, 0.0)
    excess = np.maximum(risk - limit[:, None, None], 0.0) * EXCESS_PRICE
    carry = _up_to(costs + excess, np.add)
    beyond = _up_to(risk, np.maximum) > worst[:, None, None] + ROUNDING
    if nodes.must.any():
        beyond |= _barred(nodes)
    carry[beyond] = BLOCKED
    return Lane(nodes.first(), carry, nodes.enter)


def risk_lane(nodes: Nodes) -> Lane:
    """The lane for the least largest risk: services cost nothing."""
    carry = _up_to(np.where(nodes.flown, nodes.sources.risk, 0.0), np.maximum)
    if nodes.must.any():
        carry[:, _barred(nodes)] = BLOCKED
    return Lane(nodes.first(), carry, np.where(np.isinf(nodes.enter), BLOCKED, 0.0))
