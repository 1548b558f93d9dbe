"""What the water carried costs in fuel, and whether a lower fill would be worth it by the policy's figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from legtide.day.document import Day, Policy, Service
from legtide.day.edits import rebuilt
from legtide.day.rotations import Rotation, block_hours
from legtide.engine.mass import fuel_for_mass_kg, mean_water_kg
from legtide.engine.projection import project_rotations
from legtide.engine.types import AircraftProjection
from legtide.engine.warnings import leg_risk
from legtide.plan.rotation.records import FILLS

_LEAST_SAVING: Final = 0.05
"""What a page would show as nothing, price units."""


@dataclass(frozen=True, slots=True)
class Carried:
    """The water carried on an aircraft's legs."""

    mean_kg: float
    """Over the block time."""
    hours: float
    fuel_kg: float
    cost: float
    """Of that fuel, price units."""


@dataclass(frozen=True, slots=True)
class LowerFill:
    """A fill to a lower level, all else as the day has it."""

    service: Service
    target_percent: float
    saved_kg: float
    """Fuel."""
    saved_cost: float
    """Of that fuel, less what the added risk costs; price units."""
    worst_risk: float
    """The largest risk of the water on a leg on which the lower fill adds to it; 0 where it adds to none."""


def carried(found: AircraftProjection, policy: Policy) -> Carried:
    """What the water on all legs weighs and costs."""
    weights = [(mean_water_kg(leg), block_hours(found.rotation.legs[leg.index])) for leg in found.legs]
    hours = sum(hours for _, hours in weights)
    fuel = sum(fuel_for_mass_kg(mass, hours, policy.fuel_percent_per_h.value) for mass, hours in weights)
    mean = sum(mass * hours for mass, hours in weights) / hours if hours > 0.0 else 0.0
    return Carried(mean, hours, fuel, fuel * policy.price_fuel_per_kg.value)


def lower_fills(day: Day, found: AircraftProjection) -> tuple[LowerFill, ...]:
    """For each planned fill the lower level that saves most; none where no level saves anything.

    A level is only taken where the water's risk stays within the policy's limit on each leg, or is no greater than it
    is now.
    """
    rotation = found.rotation
    tries = [
        (service, target)
        for service in rotation.services
        if service.tank == "fresh" and service.state == "planned" and service.turn < len(rotation.legs)
        for target in FILLS
        if target < service.target
    ]
    variants = [_with_target(rotation, service, target) for service, target in tries]
    best: dict[int, LowerFill] = {}
    for (service, target), other in zip(tries, project_rotations(day, variants), strict=True):
        made = _compared(service, target, found, other, day.policy)
        if made is not None and (id(service) not in best or made.saved_cost > best[id(service)].saved_cost):
            best[id(service)] = made
    return tuple(best.values())


def _with_target(rotation: Rotation, service: Service, target: float) -> Rotation:
    lower = rebuilt(service, target_percent=target)
    return replace(rotation, services=tuple(lower if row is service else row for row in rotation.services))


def _compared(
    service: Service, target: float, now: AircraftProjection, then: AircraftProjection, policy: Policy
) -> LowerFill | None:
    before, after = _risks(now), _risks(then)
    limit = policy.risk_limit.value
    if any(new > max(limit, old) for old, new in zip(before, after, strict=True)):
        return None
    first, second = carried(now, policy), carried(then, policy)
    saved = first.cost - second.cost - policy.price_breach.value * (sum(after) - sum(before))
    if saved < _LEAST_SAVING:
        return None
    worst = max((new for old, new in zip(before, after, strict=True) if new > old), default=0.0)
    return LowerFill(service, target, first.fuel_kg - second.fuel_kg, saved, worst)


def _risks(found: AircraftProjection) -> Sequence[float]:
    return [leg_risk(leg, "fresh") for leg in found.legs]
