"""What a day cost as it came out, in the units of the planner's objective: services, fuel for the mass, breaches.

A plan's costs hold the risk of a breach times its price; here a breach takes place or does not. So the average over
many truths is the plan's cost, but for what the projection leaves out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import Day, Service, Station
from legtide.day.rotations import Rotation, block_hours, off_blocks, service_start, stations
from legtide.engine.mass import fuel_for_mass_kg, water_density_kg_per_l
from legtide.engine.types import Floats
from legtide.plan.rotation.lanes import WASTE_KG_PER_L
from legtide.plan.rotation.situation import water_c
from legtide.plan.rotation.slots import price_of
from legtide.play.levels import Followed


@dataclass(frozen=True, slots=True, eq=False)
class Tally:
    """One aircraft's day from the beginning of the round on; arrays of shape (D,)."""

    services: int
    price: float
    """Of the services that took place."""
    fuel: Floats
    """Price of the fuel for the mass in both tanks."""
    breaches: NDArray[np.intp]
    """Legs that ended beyond a limit, counted for each tank."""
    exhausted: NDArray[np.intp]
    """Legs that ended dry or full."""
    price_of_breach: float

    @property
    def cost(self) -> Floats:
        """(D,) everything together, in price units."""
        return np.asarray(self.price + self.fuel + self.price_of_breach * self.breaches)

    @property
    def sure(self) -> Floats:
        """(D,) what is paid whether anything goes wrong or not."""
        return np.asarray(self.price + self.fuel)


def first_leg(rotation: Rotation, begin: datetime) -> int:
    """The first leg of a round: the legs before it had left when it began."""
    return sum(off_blocks(leg) <= begin for leg in rotation.legs)


def tally(day: Day, found: Followed, begin: datetime) -> Tally:
    """What a day under the services of a rotation comes to."""
    rotation, policy, places = found.rotation, day.policy, stations(day)
    first = first_leg(rotation, begin)
    rows = [row for row in rotation.services if _counts(day, rotation, row, begin)]
    fuel = np.zeros(found.arrival.shape[1])
    for leg in range(first, len(rotation.legs)):
        mass = (found.departure[:, :, leg] + found.arrival[:, :, leg]) / 2.0
        kg = mass[0] * _density(places, rotation, leg) + mass[1] * WASTE_KG_PER_L
        fuel = fuel + kg * fuel_for_mass_kg(1.0, block_hours(rotation.legs[leg]), policy.fuel_percent_per_h.value)
    return Tally(
        services=len(rows),
        price=sum(price_of(places.get(rotation.turns[row.turn].station), row, policy) for row in rows),
        fuel=fuel * policy.price_fuel_per_kg.value,
        breaches=found.breached[:, :, first:].sum(axis=(0, 2)),
        exhausted=found.exhausted[:, :, first:].sum(axis=(0, 2)),
        price_of_breach=policy.price_breach.value,
    )


def _counts(day: Day, rotation: Rotation, row: Service, begin: datetime) -> bool:
    """Services that took place in the round, for a leg of it."""
    start = service_start(rotation, row, day.policy.margin_after_on_blocks_min.value)
    return row.state == "done" and row.turn < len(rotation.legs) and start is not None and start > begin


def _density(places: Mapping[str, Station], rotation: Rotation, leg: int) -> float:
    """kg/L of the water aboard on a leg: that of the last fill."""
    fills = [row.turn for row in rotation.services if row.tank == "fresh" and row.state == "done" and row.turn <= leg]
    return water_density_kg_per_l(water_c(dict(places), rotation, max(fills, default=0)))
