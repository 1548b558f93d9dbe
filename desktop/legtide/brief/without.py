"""What happens if a service that is planned does not come: how far the tank carries, and with which risk."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from legtide.day.document import Day, Leg, Service, Tank
from legtide.day.rotations import Rotation, block_hours
from legtide.engine.course import happens
from legtide.engine.projection import project_rotations
from legtide.engine.types import AircraftProjection
from legtide.engine.warnings import leg_risk


@dataclass(frozen=True, slots=True)
class Without:
    """One service left out, all others as the day has them, up to the tank's next service."""

    tank: Tank
    lasts: Leg | None
    """The last leg in a row that keeps the risk within the policy's limit; none when the first one does not."""
    lasts_risk: float
    """Risk of that leg; 0 without one."""
    fails: Leg | None
    """The first leg whose risk passes the limit; none when all of them keep it."""
    fails_risk: float
    until: Leg | None
    """The last leg before the tank's next service, or of the rotation; none when no leg follows the service."""
    bottled_l: float
    """Bottled water for the legs from `fails` to `until` by the policy's figure, whole litres; 0 for waste."""


def without_each(day: Day, rotation: Rotation) -> dict[int, Without]:
    """`id()` of a planned service -> what happens if it does not come. Each is thought away alone."""
    asked = [row for row in rotation.services if row.state == "planned" and row.turn < len(rotation.turns)]
    left_out = [
        replace(rotation, services=tuple(row for row in rotation.services if row is not one)) for one in asked
    ]
    projections = project_rotations(day, left_out)
    return {id(one): _without(day, rotation, one, found) for one, found in zip(asked, projections, strict=True)}


def _without(day: Day, rotation: Rotation, service: Service, found: AircraftProjection) -> Without:
    tank, limit = service.tank, day.policy.risk_limit.value
    later = [
        row.turn
        for row in rotation.services
        if row.tank == tank and row.turn > service.turn and happens(row, day.policy) > 0.0
    ]
    ahead = range(service.turn, min(later, default=len(rotation.legs)))
    risks = {leg.index: leg_risk(leg, tank) for leg in found.legs if leg.index in ahead}
    bad = next((index for index in ahead if risks.get(index, 0.0) > limit), None)
    good = ahead[-1:] if bad is None else range(bad - 1, bad) if bad > service.turn else ()
    last = next(iter(good), None)
    return Without(
        tank=tank,
        lasts=None if last is None else rotation.legs[last],
        lasts_risk=0.0 if last is None else risks.get(last, 0.0),
        fails=None if bad is None else rotation.legs[bad],
        fails_risk=0.0 if bad is None else risks[bad],
        until=rotation.legs[ahead[-1]] if len(ahead) else None,
        bottled_l=0.0 if bad is None or tank == "waste" else bottled_l(day, rotation.legs[bad : ahead[-1] + 1]),
    )


def bottled_l(day: Day, legs: tuple[Leg, ...]) -> float:
    """Bottled water for everybody aboard over some legs by the policy's figure, in whole litres."""
    rate = day.policy.bottled_l_per_person_h.value
    return float(math.ceil(round(sum(rate * (leg.passengers + leg.crew) * block_hours(leg) for leg in legs), 6)))
