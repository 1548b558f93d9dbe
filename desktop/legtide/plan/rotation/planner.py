"""Plans one rotation: the cheapest services that keep every leg's risk within the policy's limit.

The plan is exact for its model: among all sets of services, with fill levels from the grid, that fit the turns'
windows and the stations' hours, none that keeps the limit costs less. The cost is

    services   price of each service still to be done (the station's, else the policy's)
    fuel       mean mass in both tanks on each leg x hours x share burnt per hour x price of fuel
    risk       each leg's risk in each tank x price of a breach

Where the limit cannot be kept, the largest risk is made as small as can be, then what legs exceed the limit by, then
the cost; and the plan says what binds.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

import numpy as np

from legtide.day.document import TANKS, Day, Service, Tank
from legtide.day.rotations import Rotation, service_minutes, service_start
from legtide.engine.mass import fuel_for_mass_kg
from legtide.engine.types import Floats, to_datetime, to_minutes
from legtide.language import tr
from legtide.plan.rotation.binding import with_binding
from legtide.plan.rotation.lanes import ROUNDING, Nodes, Prices, cost_lane, leg_costs, risk_lane
from legtide.plan.rotation.marks import marks
from legtide.plan.rotation.network import BLOCKED, Network, Paths, best_paths
from legtide.plan.rotation.nodes import fixed_price, tank_nodes
from legtide.plan.rotation.records import FILLS, Costs, LegRisk, PlanError, PlannedService, RotationPlan
from legtide.plan.rotation.situation import Situation, find_rotation, situation
from legtide.plan.rotation.slots import extra_prices
from legtide.plan.rotation.timing import chosen_slots, kept_row


def plan_rotation(
    day: Day, registration: str, *, now: datetime | None = None, fills: Sequence[float] = FILLS
) -> RotationPlan:
    """The cheapest plan for one aircraft's rotation.

    Args:
        day: the day; services done, pinned or under way stay.
        registration: the aircraft.
        now: nothing is planned before it, and new services not within the policy's lead time.
        fills: fill levels to choose from, in percent of capacity.

    Raises:
        PlanError: the day has no such aircraft, or a fill level is not above 0 and at most 100 %.
    """
    levels = sorted(set(fills))
    if not levels or not all(0.0 < level <= 100.0 for level in levels):
        raise PlanError(tr("fill levels must lie above 0 and at most at 100 %"))
    return plan_of(day, find_rotation(day, registration), now, levels)


def plan_of(day: Day, rotation: Rotation, now: datetime | None, fills: Sequence[float] = FILLS) -> RotationPlan:
    """The cheapest plan for a rotation of a day; `fills` in rising order."""
    at = situation(day, rotation, fills, now)
    if at.legs <= 0:
        limit = day.policy.risk_limit.value
        return RotationPlan(rotation.registration, "optimal", at.first_turn, (), (), Costs(), limit)
    return with_binding(at, RotationSearch(at).plan())


class RotationSearch:
    """Plans of one rotation: its tables are made once, the cheapest way through them is found as often as asked."""

    def __init__(self, at: Situation) -> None:
        self.at = at
        policy = at.day.policy
        self.marks = marks(at)
        self.limit = policy.risk_limit.value
        self.prices = Prices(
            policy.price_breach.value,
            policy.price_fuel_per_kg.value,
            fuel_for_mass_kg(1.0, 1.0, policy.fuel_percent_per_h.value),
        )
        self.nodes = tank_nodes(at, self.marks)

    def plan(self) -> RotationPlan:
        """The cheapest plan within the limit; where there is none, the least bad one."""
        limit = np.array([self.limit])
        paths = self.cheapest(limit)
        if not np.isfinite(paths.value[0]):
            lanes = [risk_lane(nodes) for nodes in self.nodes]
            together = tuple(
                None if extra is None else np.where(np.isinf(extra), BLOCKED, 0.0) for extra in self._together()
            )
            worst = best_paths(Network(lanes[0], lanes[1], together), np.maximum).value
            paths = self.cheapest(np.maximum(worst, limit))
        return self.found(paths)

    def found(self, paths: Paths) -> RotationPlan:
        """The plan that a way stands for."""
        legs, costs = self._legs(paths)
        services = self._services(paths)
        within = all(max(leg.fresh, leg.waste) <= self.limit + ROUNDING for leg in legs)
        return RotationPlan(
            registration=self.at.rotation.registration,
            status="optimal" if within else "least_bad",
            first_turn=self.at.first_turn,
            services=services,
            legs=legs,
            costs=costs + Costs(services=sum(row.price for row in services)),
            risk_limit=self.limit,
            replaced=self.at.removable,
        )

    def cheapest(self, worst: Floats, nodes: tuple[Nodes, Nodes] | None = None, limit: Floats | None = None) -> Paths:
        """The cheapest way on which no leg's risk passes `worst` (1,).

        `nodes` are the tables with some of the ways shut; excess begins at `limit` (1,), by default the policy's.
        """
        limit = np.array([self.limit]) if limit is None else limit
        hours = self.marks.hours[None]
        lanes = [cost_lane(row, leg_costs(row, hours, self.prices), limit, worst) for row in nodes or self.nodes]
        return best_paths(Network(lanes[0], lanes[1], self._together()))

    def _together(self) -> tuple[Floats | None, ...]:
        """At each turn, the extra price (1, water nodes, waste nodes) of both services together."""
        out: list[Floats | None] = []
        fresh, waste = self.nodes
        first, then = fresh.first(), waste.first()
        for turn, opening in enumerate(self.at.openings):
            extras = [] if fresh.must[turn] or waste.must[turn] else extra_prices(opening)
            if not any(extras):
                out.append(None)
                continue
            extra = np.zeros((1, first[turn + 1] - first[turn], then[turn + 1] - then[turn]))
            extra[0, : len(extras)] = np.array(extras)[:, None]
            out.append(extra)
        return tuple(out)

    # from paths to a plan

    def _current(self, nodes: Nodes, entered: np.ndarray[tuple[int], np.dtype[np.intp]]) -> list[int]:
        """The node in force on each leg."""
        now, out = 0, []
        for node in entered:
            now = int(node) if node >= 0 else now
            out.append(now)
        return out

    def _legs(self, paths: Paths) -> tuple[tuple[LegRisk, ...], Costs]:
        turns = np.arange(self.at.legs)
        risks, mass = [], np.zeros(self.at.legs)
        for nodes, entered in zip(self.nodes, (paths.fresh[0], paths.waste[0]), strict=True):
            current = self._current(nodes, entered)
            risks.append(nodes.sources.risk[0, current, turns])
            mass = mass + nodes.mass[0, current, turns]
        fuel_kg = float((mass * self.marks.hours).sum()) * self.prices.fuel_share_per_h
        costs = Costs(
            fuel=fuel_kg * self.prices.fuel_per_kg,
            risk=float(risks[0].sum() + risks[1].sum()) * self.prices.breach,
            fuel_kg=fuel_kg,
        )
        rows = zip(turns, risks[0], risks[1], strict=True)
        return tuple(LegRisk(int(t) + self.at.first_turn, float(f), float(w)) for t, f, w in rows), costs

    def _services(self, paths: Paths) -> tuple[PlannedService, ...]:
        found = [self._fixed(row) for rows in self.at.fixed.values() for row in rows]
        for turn in range(self.at.legs):
            number = turn + self.at.first_turn
            water, toilet = paths.fresh[0, turn], paths.waste[0, turn]
            fill = int(self.nodes[0].target[water]) if water >= 0 and (number, "fresh") not in self.at.fixed else None
            drain = bool(toilet >= 0) and (number, "waste") not in self.at.fixed
            for tank, slot in chosen_slots(self.at, turn, fill, drain).items():
                target = self.at.fills[fill] if tank == "fresh" and fill is not None else 0.0
                found.append(self._chosen(number, tank, target, (slot.start, slot.end, slot.price)))
        return tuple(sorted(found, key=_when))

    def _chosen(self, turn: int, tank: Tank, target: float, slot: tuple[float, float, float]) -> PlannedService:
        row = kept_row(self.at, turn, tank)
        return PlannedService(
            registration=self.at.rotation.registration,
            turn=turn,
            station=self.at.rotation.turns[turn].station,
            tank=tank,
            target_percent=target,
            start=to_datetime(slot[0]),
            end=to_datetime(slot[1]),
            price=slot[2],
            service_id=row.id if row is not None else "",
            truck=row.truck if row is not None else None,
        )

    def _fixed(self, row: Service) -> PlannedService:
        rotation = self.at.rotation
        start = service_start(rotation, row, self.at.day.policy.margin_after_on_blocks_min.value)
        minutes = service_minutes(rotation.fit, row)
        return PlannedService(
            registration=rotation.registration,
            turn=row.turn,
            station=rotation.turns[row.turn].station,
            tank=row.tank,
            target_percent=row.target,
            start=start,
            end=to_datetime(to_minutes(start) + minutes) if start is not None else None,
            price=fixed_price(self.at, row),
            service_id=row.id,
            truck=row.truck,
            fixed=True,
        )


def _when(row: PlannedService) -> tuple[int, float, int]:
    return row.turn, to_minutes(row.start) if row.start is not None else 0.0, TANKS.index(row.tank)
