"""A rotation planned a second time, apart from the planner: risks from projections, the choice by an integer program.

For every turn and fill level one copy of the aircraft is served there and projected to the end of the day; the risks,
mean levels and quantiles of its legs are those of a plan that serves it there last. The integer program assigns
each leg to the service that it lives on.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from itertools import product

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from legtide.day.document import Aircraft, Day, Leg, Service
from legtide.engine.mass import water_density_kg_per_l
from legtide.engine.projection import project
from legtide.engine.types import AircraftProjection

EXCESS = 1e6  # price of a unit of risk beyond the limit where the limit cannot be kept


@dataclass
class Choice:
    """A source of one tank: the start (turn -1), or a service at a turn."""

    turn: int
    target: float
    price: float
    risk: np.ndarray  # by leg
    cost: np.ndarray  # fuel and risk of each leg, price units
    p95: np.ndarray  # level on arrival that is passed with 5 %
    start_level: float


@dataclass
class Case:
    """One rotation as the integer program sees it."""

    legs: int
    fresh: list[Choice]
    waste: list[Choice]
    apart: list[tuple[int, float]]  # turn and litres of a fill that leaves no time for a drain
    limit: float


def _clones(day: Day, fills: tuple[float, ...]) -> tuple[Day, list[tuple[int, float]]]:
    legs = sorted(day.legs, key=lambda leg: leg.std)
    keys = [(-1, 0.0), *product(range(len(legs)), fills)]
    aircraft, rows, services = [], [], []
    for number, (turn, target) in enumerate(keys):
        name = f"c{number}"
        origin = day.aircraft[0]
        # An empty tank before a fill, so that the fill leaves what it says.
        fresh = origin.fresh_percent if turn < 0 else 0.0
        aircraft.append(
            Aircraft(registration=name, fit=origin.fit, fresh_percent=fresh, waste_percent=origin.waste_percent)
        )
        for leg in legs:
            values = {field: getattr(leg, field) for field in Leg.model_fields}
            rows.append(Leg(**{**values, "id": f"{name}-{leg.id}", "aircraft": name}))
        if turn >= 0:
            services.append(Service(id=f"f{number}", aircraft=name, turn=turn, tank="fresh", target_percent=target))
            services.append(Service(id=f"w{number}", aircraft=name, turn=turn, tank="waste"))
    return day.model_copy(
        update={"aircraft": tuple(aircraft), "legs": tuple(rows), "services": tuple(services)}
    ), keys


def window_minutes(day: Day, turn: int) -> float:
    """Minutes of a turn inside the policy's margins; before the first leg there is time enough."""
    legs = sorted(day.legs, key=lambda leg: leg.std)
    if turn == 0:
        return 1e6
    ground = (legs[turn].std - legs[turn - 1].sta) / timedelta(minutes=1)
    return ground - day.policy.margin_after_on_blocks_min.value - day.policy.margin_before_off_blocks_min.value


def case_of(day: Day, fills: tuple[float, ...]) -> Case:
    """The tables of a day's only aircraft, from projections."""
    copies, keys = _clones(day, fills)
    projected = project(copies).aircraft
    legs = sorted(day.legs, key=lambda leg: leg.std)
    fit, policy = day.fits[0], day.policy
    stations = {station.code: station for station in day.stations}
    offers = [{offer.tank: offer.price for offer in stations[leg.origin].offers} for leg in legs]
    fresh, waste, apart = [], [], []
    for number, (turn, target) in enumerate(keys):
        found = projected[f"c{number}"]
        water_c = stations[legs[max(turn, 0)].origin].water_c
        choice = _choice(day, found, "fresh", turn, target, water_density_kg_per_l(water_c))
        toilet = _choice(day, found, "waste", turn, 0.0, 1.0)
        pour = fit.connect_min.value + fit.fresh_capacity_l.value * target / 100 / fit.fill_flow_l_per_min.value
        drain = fit.connect_min.value + fit.drain_min.value
        if turn < 0:
            fresh.append(choice)
            waste.append(toilet)
            continue
        room, offer = window_minutes(day, turn), offers[turn]
        if "fresh" in offer and pour <= room and stations[legs[turn].origin].approved_water:
            choice.price = policy.price_fresh_service.value if offer["fresh"] is None else offer["fresh"]
            fresh.append(choice)
            if pour + drain > room:
                apart.append((turn, choice.target))
        if "waste" in offer and drain <= room and target == fills[0]:
            toilet.price = policy.price_waste_service.value if offer["waste"] is None else offer["waste"]
            waste.append(toilet)
    return Case(len(legs), fresh, waste, apart, policy.risk_limit.value)


def _choice(day: Day, found: AircraftProjection, tank: str, turn: int, target: float, density: float) -> Choice:
    fresh, policy, fit = tank == "fresh", day.policy, day.fits[0]
    hours = [(leg.sta - leg.std) / timedelta(hours=1) for leg in found.rotation.legs]
    ends = [
        (leg.fresh_departure, leg.fresh_arrival) if fresh else (leg.waste_departure, leg.waste_arrival)
        for leg in found.legs
    ]
    risk = np.array([leg.risk_fresh_below_reserve if fresh else leg.risk_waste_over_limit for leg in found.legs])
    mass = density * np.array([(out.mean + back.mean) / 2 for out, back in ends])
    burnt = mass * hours * policy.fuel_percent_per_h.value / 100
    cost = burnt * policy.price_fuel_per_kg.value + risk * policy.price_breach.value
    p95 = np.array([back.p95 for _, back in ends])
    start = fit.fresh_capacity_l.value * day.aircraft[0].fresh_percent / 100
    return Choice(turn, fit.fresh_capacity_l.value * target / 100, 0.0, risk, cost, p95, start)


class Program:
    """The integer program: y[source, leg] = 1 where a leg lives on a source."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.columns: dict[tuple[str, int, int], int] = {}
        self.rows: list[tuple[dict[int, float], float, float]] = []
        for tank, choices in (("fresh", case.fresh), ("waste", case.waste)):
            for number, choice in enumerate(choices):
                for leg in range(max(choice.turn, 0), case.legs):
                    self.columns[tank, number, leg] = len(self.columns)
        for tank in ("fresh", "waste"):
            self._assign(tank)
        self._overfill()
        self._one_at_a_time()

    def choices(self, tank: str) -> list[Choice]:
        return self.case.fresh if tank == "fresh" else self.case.waste

    def _assign(self, tank: str) -> None:
        for leg in range(self.case.legs):
            self.rows.append(
                ({column: 1.0 for (of, _, at), column in self.columns.items() if of == tank and at == leg}, 1, 1)
            )
        for number, choice in enumerate(self.choices(tank)):
            for leg in range(max(choice.turn, 0) + 1, self.case.legs):
                row = {self.columns[tank, number, leg]: 1.0, self.columns[tank, number, leg - 1]: -1.0}
                self.rows.append((row, -np.inf, 0))

    def _overfill(self) -> None:
        for (number, now), (other, then) in product(enumerate(self.case.fresh), repeat=2):
            if then.turn < 0 or then.turn < now.turn or (then.turn == now.turn and now.turn >= 0):
                continue
            if then.turn == 0:
                level = now.start_level  # only the start comes before it
                if level > then.target:
                    self.rows.append(({self.columns["fresh", other, 0]: 1.0}, 0, 0))
                continue
            if now.p95[then.turn - 1] > then.target:
                pair = {
                    self.columns["fresh", number, then.turn - 1]: 1.0,
                    self.columns["fresh", other, then.turn]: 1.0,
                }
                self.rows.append((pair, -np.inf, 1))

    def _one_at_a_time(self) -> None:
        for turn, litres in self.case.apart:
            row = {}
            for tank in ("fresh", "waste"):
                for number, choice in enumerate(self.choices(tank)):
                    if choice.turn == turn and (tank == "waste" or choice.target == litres):
                        row[self.columns[tank, number, turn]] = 1.0
            self.rows.append((row, -np.inf, 1))

    def solve(self, worst: float | None) -> float:
        """The least cost with no leg beyond `worst`; with None the least largest risk."""
        count = len(self.columns)
        cost, upper = np.zeros(count + 1), np.ones(count + 1)
        rows = list(self.rows)
        for (tank, number, leg), column in self.columns.items():
            choice = self.choices(tank)[number]
            if worst is None:
                rows.append(({column: choice.risk[leg], count: -1.0}, -np.inf, 0))
                continue
            cost[column] = choice.cost[leg] + EXCESS * max(choice.risk[leg] - self.case.limit, 0.0)
            cost[column] += choice.price if leg == choice.turn else 0.0
            upper[column] = 0.0 if choice.risk[leg] > worst + 1e-9 else 1.0
        if worst is None:
            cost[count] = 1.0
        entries = [(r, c, v) for r, (row, _, _) in enumerate(rows) for c, v in row.items()]
        r, c, v = zip(*entries, strict=True)
        matrix = coo_array((v, (r, c)), shape=(len(rows), count + 1)).tocsr()
        limits = LinearConstraint(matrix, [row[1] for row in rows], [row[2] for row in rows])
        whole = np.r_[np.ones(count), 0]
        found = milp(
            cost, constraints=limits, bounds=Bounds(0, upper), integrality=whole, options={"mip_rel_gap": 0.0}
        )
        return float(found.fun) if found.status == 0 else np.inf
