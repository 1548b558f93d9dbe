"""Plans for a whole fleet as arrays: no day, no records, tens of thousands of aircraft in one go.

The same tables, nodes and network as for one rotation, over many aircraft with the same number of legs at once.
Nothing is read, nothing is fixed, nobody waits aboard on the ground; every level at the start is known.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import Policy
from legtide.engine.laws import day_factor_moments
from legtide.engine.mass import fuel_for_mass_kg, water_density_kg_per_l
from legtide.engine.types import Floats
from legtide.engine.usage import Rates, Stretches, coefficients
from legtide.plan.rotation.lanes import WASTE_KG_PER_L, Nodes, Prices, cost_lane, grid_enter, leg_costs, risk_lane
from legtide.plan.rotation.network import BLOCKED, Network, Paths, best_paths
from legtide.plan.rotation.records import FILLS
from legtide.plan.rotation.tables import Grid, Sources, UnreadUse, from_known_start, from_services

_CHUNK: Final = 10_000
"""Nodes (aircraft times water nodes) worked at once: few enough for the cache, enough to
spread the cost of each step."""
_WATER_C: Final = 15.0
_Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Fleet:
    """Legs of many aircraft, one aircraft after the other (n legs, a aircraft); tanks in the order fresh, waste."""

    legs: Stretches
    """(n,) columns."""
    count: NDArray[np.intp]
    """(a,) legs of each aircraft."""
    fresh_price: Floats
    waste_price: Floats
    """(n,) price of a service at the turn before each leg; infinite where there is none."""
    both_fit: _Flags
    """(n,) whether that turn takes both services."""
    capacity: Floats
    """(a, 2) litres."""
    start_room: Floats
    """(a, 2) litres of room at the start: fresh level, waste capacity less level."""
    pre_charge: Floats
    """(a,) litres in a waste tank after a drain."""


@dataclass(frozen=True, slots=True, eq=False)
class FleetPlan:
    """The cheapest services of a fleet."""

    fill_percent: Floats
    """(n,) level filled to at the turn before each leg; NaN where nothing is filled."""
    drained: _Flags
    """(n,) whether waste is drained there."""
    cost: Floats
    """(a,) price units."""
    worst_risk: Floats
    """(a,) largest risk of a leg."""
    within: _Flags
    """(a,) whether the limit is kept; elsewhere the plan is the least bad."""


def plan_fleet(fleet: Fleet, policy: Policy, rates: Rates, fills: Sequence[float] = FILLS) -> FleetPlan:
    """The cheapest plan of every aircraft, as `plan_rotation` finds it for one.

    Args:
        fleet: the legs and what the stations offer.
        policy: limits and prices (service prices come with the fleet).
        rates: the usage figures.
        fills: fill levels to choose from, in percent, rising.
    """
    n, a = len(fleet.legs), len(fleet.count)
    out = FleetPlan(np.full(n, np.nan), np.zeros(n, bool), np.zeros(a), np.zeros(a), np.ones(a, bool))
    used = coefficients(fleet.legs, rates, np.ones(1))[..., 0]
    first = np.concatenate([[0], np.cumsum(fleet.count)[:-1]]).astype(np.intp)
    for group in _groups(fleet.count, len(fills)):
        legs = first[group][:, None] + np.arange(fleet.count[group[0]])
        _Group(fleet, policy, rates, tuple(fills), group, legs, used[:, :, legs]).plan(out)
    return out


def _groups(count: NDArray[np.intp], fills: int) -> Iterator[NDArray[np.intp]]:
    """Aircraft with the same number of legs, in pieces."""
    for legs in np.unique(count[count > 0]):
        members = np.flatnonzero(count == legs)
        size = max(_CHUNK // int(legs * fills + 1), 1)
        yield from np.array_split(members, -(-len(members) // size))


class _Group:
    """Some aircraft with the same number of legs."""

    def __init__(
        self,
        fleet: Fleet,
        policy: Policy,
        rates: Rates,
        fills: tuple[float, ...],
        members: NDArray[np.intp],
        legs: NDArray[np.intp],
        used: Floats,
    ) -> None:
        self.fleet, self.fills, self.members, self.legs = fleet, np.array(fills), members, legs
        self.used = np.concatenate([np.zeros((*used.shape[:3], 1)), np.cumsum(used, axis=3)], axis=3)
        self.moments = day_factor_moments(rates.day_factor_cv)
        self.hours = fleet.legs.hours[legs]
        self.grid = Grid.of_legs(legs.shape[1])
        self.limit = np.full(len(members), policy.risk_limit.value)
        self.margin_share = (
            policy.fresh_reserve_percent.value / 100.0,
            1.0 - policy.waste_limit_percent.value / 100.0,
        )
        self.prices = Prices(
            policy.price_breach.value,
            policy.price_fuel_per_kg.value,
            fuel_for_mass_kg(1.0, 1.0, policy.fuel_percent_per_h.value),
        )
        self.nodes = (self._nodes(0), self._nodes(1))

    def plan(self, out: FleetPlan) -> None:
        """Writes the plans of the group's aircraft."""
        everyone = np.ones(len(self.members), bool)
        paths = self._cheapest(everyone, self.limit)
        beyond = ~np.isfinite(paths.value)
        out.within[self.members] = ~beyond
        if beyond.any():
            lanes = [risk_lane(nodes).only(beyond) for nodes in self.nodes]
            worst = best_paths(Network(lanes[0], lanes[1], self._together(beyond)), np.maximum).value
            least_bad = self._cheapest(beyond, np.maximum(worst, self.limit[beyond]))
            paths.fresh[beyond], paths.waste[beyond] = least_bad.fresh, least_bad.waste
        self._write(paths, out)

    def _cheapest(self, rows: _Flags, worst: Floats) -> Paths:
        limits = self.limit.copy()
        limits[rows] = worst
        lanes = [
            cost_lane(nodes, leg_costs(nodes, self.hours, self.prices), self.limit, limits) for nodes in self.nodes
        ]
        if not rows.all():
            lanes = [lane.only(rows) for lane in lanes]
        return best_paths(Network(lanes[0], lanes[1], self._together(rows)))

    def _together(self, rows: _Flags) -> tuple[Floats | None, ...]:
        both = self.fleet.both_fit[self.legs][rows]
        shape = (len(both), len(self.fills), 1)
        return tuple(
            None if fit.all() else np.broadcast_to(np.where(fit, 0.0, BLOCKED)[:, None, None], shape)
            for fit in both.T
        )

    # tables

    def _nodes(self, tank: int) -> Nodes:
        capacity = self.fleet.capacity[self.members, tank][:, None]
        start = self.fleet.start_room[self.members, tank][:, None]
        margin = capacity * self.margin_share[tank]
        if tank == 0:
            rooms, whole = capacity * self.fills / 100.0, self.fills >= 100.0
            offered = self.fleet.fresh_price[self.legs]
        else:
            rooms, whole = capacity - self.fleet.pre_charge[self.members][:, None], np.ones(1, bool)
            offered = self.fleet.waste_price[self.legs]
        sources = self._sources(tank, start, rooms, margin)
        sources.over[..., whole] = 0.0
        turns, targets = self.legs.shape[1], rooms.shape[1]
        price = np.repeat(offered[:, :, None], targets, axis=2)
        if tank == 0:
            mass = sources.mean * water_density_kg_per_l(_WATER_C)
        else:
            mass = (capacity[:, :, None] - sources.mean) * WASTE_KG_PER_L
        target = np.r_[-1, np.tile(np.arange(targets), turns)]
        return Nodes(sources, target, grid_enter(sources, price), mass, np.zeros(turns, bool))

    def _sources(self, tank: int, start: Floats, rooms: Floats, margin: Floats) -> Sources:
        before, later, number = self.grid.pairs()
        used = self.used[:, tank]
        law = UnreadUse.of(np.concatenate([used, used[..., later] - used[..., before]], axis=2), self.moments)
        marks = self.grid.marks
        opening = from_known_start(law.part(slice(0, marks)), self.grid, start, rooms, margin)
        return opening.joined(from_services(law.part(slice(marks, None)), self.grid, number, rooms, margin))

    # from paths to plans

    def _write(self, paths: Paths, out: FleetPlan) -> None:
        turns = np.arange(self.legs.shape[1])
        rows = np.arange(len(self.members))[:, None]
        cost, worst = np.zeros(len(self.members)), np.zeros(len(self.members))
        for nodes, entered, offered in zip(
            self.nodes, (paths.fresh, paths.waste), (self.fleet.fresh_price, self.fleet.waste_price), strict=True
        ):
            current = np.maximum(np.maximum.accumulate(entered, axis=1), 0)
            risk = nodes.sources.risk[rows, current, turns]
            fuel = (nodes.mass[rows, current, turns] * self.hours).sum(axis=1) * self.prices.fuel_share_per_h
            cost += risk.sum(axis=1) * self.prices.breach + fuel * self.prices.fuel_per_kg
            cost += np.where(entered >= 0, offered[self.legs], 0.0).sum(axis=1)
            worst = np.maximum(worst, risk.max(axis=1))
        filled = paths.fresh >= 0
        out.fill_percent[self.legs[filled]] = self.fills[self.nodes[0].target[paths.fresh[filled]]]
        out.drained[self.legs[paths.waste >= 0]] = True
        out.cost[self.members], out.worst_risk[self.members] = cost, worst
