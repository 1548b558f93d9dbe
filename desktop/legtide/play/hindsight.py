"""The best services for a day whose course is known: what nobody could have called for, as the end of the scale.

The same network as the planner's (`plan/rotation/network.py`), with breaches that take place or do not in place of
risks, for many truths at once. Services that the script lets fail are not to be had.

Shapes: D draws, N turns to decide at, S nodes (the start, then each turn with each level), G levels.
"""

from __future__ import annotations

import numpy as np

from legtide.day.document import TANKS
from legtide.day.rotations import block_hours, rotations
from legtide.engine.mass import fuel_for_mass_kg, water_density_kg_per_l
from legtide.engine.types import Floats
from legtide.plan.rotation.lanes import WASTE_KG_PER_L
from legtide.plan.rotation.network import BLOCKED, Lane, Network, best_paths
from legtide.plan.rotation.records import FILLS
from legtide.plan.rotation.situation import Situation, situation, water_c
from legtide.plan.rotation.slots import Slot, extra_prices
from legtide.play.levels import follow
from legtide.play.players import never
from legtide.play.rounds import Round
from legtide.play.truth import Truth


def hindsight_costs(start: Round, registration: str, truth: Truth) -> Floats:
    """(D,) least cost of one aircraft's round for each draw of a truth, in price units.

    Args:
        start: the round at its beginning, with that aircraft alone.
        registration: the aircraft.
        truth: draws of its day.
    """
    bare = never(start, registration)
    at = situation(bare.day, rotations(bare.day)[registration], FILLS, bare.begin)
    if at.legs <= 0:
        return np.zeros(truth.draws)
    search = _Search(start, at, truth)
    return best_paths(Network(search.lane(0), search.lane(1), search.together())).value


class _Search:
    def __init__(self, start: Round, at: Situation, truth: Truth) -> None:
        self.at, self.truth, self.day = at, truth, start.day
        self.shut = [
            {turn for name, turn, tank in start.script if name == truth.registration and tank == one} for one in TANKS
        ]
        self.rooms = [
            np.array([at.rotation.fit.fresh_capacity_l.value * fill / 100.0 for fill in FILLS]),
            np.array([at.rotation.fit.waste_capacity_l.value - at.rotation.fit.pre_charge_l.value]),
        ]
        found = follow(truth, at.rotation, start.day.policy)
        first, fresh = at.first_turn, found.departure[0, :, at.first_turn]
        self.room = np.stack([fresh, self._capacity(1) - found.departure[1, :, first]])
        self.hours = np.array([block_hours(leg) for leg in at.rotation.legs[first:]])
        self.departure, self.arrival, self.service = self._used()

    def _used(self) -> tuple[Floats, Floats, list[Floats]]:
        """Use since the first turn: (2, D, N) by each departure and arrival, and (D, N) by each tank's service."""
        first, points, sum_so_far = self.at.first_turn, self.truth.points, np.zeros((2, self.truth.draws))
        departure: list[Floats] = []
        arrival: list[Floats] = []
        service: tuple[list[Floats], list[Floats]] = ([], [])
        for turn in range(self.at.legs):
            waits = [wait for wait in self.truth.waits if wait.turn == turn + first and turn > 0]
            for tank in (0, 1):
                slot = self._first_slot(tank, turn)
                by_then = sum_so_far[tank]
                for wait in waits:
                    share = 0.0 if slot is None else (slot.start - wait.start) / (wait.end - wait.start)
                    by_then = by_then + wait.use.by(min(max(share, 0.0), 1.0), points)[tank]
                service[tank].append(by_then)
            for wait in waits:
                sum_so_far = sum_so_far + wait.use.litres[..., -1]
            departure.append(sum_so_far)
            sum_so_far = sum_so_far + self.truth.legs[turn + first].litres[..., -1]
            arrival.append(sum_so_far)
        return np.stack(departure, axis=2), np.stack(arrival, axis=2), [np.stack(row, axis=1) for row in service]

    def _first_slot(self, tank: int, turn: int) -> Slot | None:
        found = self.at.openings[turn]
        return found.waste if tank == 1 else next((slot for slot in found.fresh if slot is not None), None)

    def _capacity(self, tank: int) -> float:
        return self.at.rotation.fit.capacity_l(TANKS[tank])

    def _slot(self, tank: int, turn: int, target: int) -> Slot | None:
        if turn + self.at.first_turn in self.shut[tank]:
            return None
        found = self.at.openings[turn]
        return found.fresh[target] if tank == 0 else found.waste

    def lane(self, tank: int) -> Lane:
        """One tank's nodes with what each leg costs from each of them."""
        at, rooms = self.at, self.rooms[tank]
        n, g, draws = at.legs, len(rooms), self.truth.draws
        turn_of = np.r_[-1, np.repeat(np.arange(n), g)]
        since = np.maximum(turn_of, 0)
        room = np.concatenate([self.room[tank][:, None], np.tile(rooms, (draws, n))], axis=1)[:, :, None]
        began = self.service[tank][:, since]  # (D, S) used when the node's service took place
        began[:, 0] = 0.0
        began = began[:, :, None]
        out = np.maximum(room - (self.departure[tank][:, None] - began), 0.0)  # (D, S, N)
        back = np.maximum(room - (self.arrival[tank][:, None] - began), 0.0)
        served = np.maximum(room - (self.service[tank][:, None] - began), 0.0)
        costs = self._leg_costs(tank, out, back)
        costs[:, np.arange(n) < since[:, None]] = 0.0
        carry = np.concatenate([np.zeros((draws, len(since), 1)), np.cumsum(costs, axis=2)], axis=2)
        enter = np.full((draws, len(since), len(since)), BLOCKED)
        for turn in range(n):
            for target, wanted in enumerate(rooms):
                slot, node = self._slot(tank, turn, target), 1 + turn * g + target
                if slot is not None:
                    # A fill below the level would do nothing, and the path would take it for a reset.
                    enter[:, :, node] = np.where(served[:, :, turn] > wanted + 1e-9, BLOCKED, slot.price)
        return Lane(np.searchsorted(turn_of, np.arange(n + 1)), carry, enter)

    def _leg_costs(self, tank: int, out: Floats, back: Floats) -> Floats:
        """(D, S, N) fuel and breaches of each leg, from the room left at its departure and arrival (D, S, N)."""
        policy, capacity = self.day.policy, self._capacity(tank)
        mean = (out + back) / 2.0
        if tank == 0:
            kg = mean * water_density_kg_per_l(water_c(self.at.places, self.at.rotation, self.at.first_turn))
            margin = capacity * policy.fresh_reserve_percent.value / 100.0
        else:
            kg = (capacity - mean) * WASTE_KG_PER_L
            margin = capacity * (1.0 - policy.waste_limit_percent.value / 100.0)
        share = fuel_for_mass_kg(1.0, 1.0, policy.fuel_percent_per_h.value) * policy.price_fuel_per_kg.value
        return np.asarray(kg * self.hours * share + policy.price_breach.value * (back <= margin))

    def together(self) -> tuple[Floats | None, ...]:
        """What both services at one turn cost beyond each alone."""
        out: list[Floats | None] = []
        for found in self.at.openings:
            extra = np.array(extra_prices(found))
            shape = (self.truth.draws, len(extra), 1)
            out.append(np.broadcast_to(extra[None, :, None], shape) if extra.any() else None)
        return tuple(out)
