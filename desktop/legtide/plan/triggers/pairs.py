"""Both gauges read at one turn: a table of fresh against waste steps.

Both tanks saw the same visits, so the two readings are taken together over nodes of that number (see the engine's
`readings.py`): two readings taken as if they were independent would put the risks wrong by more than a tenth.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from legtide.day.document import TANKS, Day, Tank
from legtide.engine.course import gauge_works
from legtide.engine.mixture import Belief
from legtide.engine.readings import masses_given_visits, visit_nodes
from legtide.engine.types import Floats
from legtide.engine.usage import Rates
from legtide.language import tr
from legtide.plan.rotation.records import PlanError
from legtide.plan.rotation.situation import find_rotation
from legtide.plan.triggers.arrivals import Arrivals, arrivals
from legtide.plan.triggers.finder import gauge_cells_of, next_service
from legtide.plan.triggers.gauges import GaugeCells
from legtide.plan.triggers.reading import risk_ahead
from legtide.plan.triggers.records import TriggerTable

_IMPLAUSIBLE: Final = 1e-12
"""Two readings less probable together than this say nothing: their risks are left open (NaN)."""


def trigger_table(day: Day, registration: str, turn: int) -> TriggerTable:
    """Risks for every pair of readings at a turn, up to each tank's next service and without one here.

    Raises:
        PlanError: no such aircraft; no leg follows the turn; nothing was flown before it; or a gauge does not work.
    """
    rotation = find_rotation(day, registration)
    if not 0 < turn < len(rotation.legs):
        raise PlanError(
            tr("a table of two readings needs a turn between two legs; {aircraft} has none numbered {turn}").format(
                aircraft=registration, turn=turn
            )
        )
    for tank in TANKS:
        if not gauge_works(rotation, tank):
            raise PlanError(
                tr("the {tank} gauge of {aircraft} does not work").format(tank=tr(tank), aircraft=registration)
            )
    rates = Rates.of(day.usage)
    at = arrivals(rotation, day.policy, rates)
    gauges = [gauge_cells_of(rotation.fit, tank) for tank in TANKS]
    belief = at.beliefs[turn]
    beyond = [_beyond(at, day, turn, tank, gauge) for tank, gauge in zip(TANKS, gauges, strict=True)]
    joint = belief.weight[:, None, None] * _joint(belief, rates, gauges)  # (K, fresh cells, waste cells)
    fresh, waste = gauges[0].shown, gauges[1].shown.T
    probability = fresh @ joint.sum(axis=0) @ waste
    open_ = np.where(probability > _IMPLAUSIBLE, probability, np.nan)
    return TriggerTable(
        registration=registration,
        turn=turn,
        station=rotation.turns[turn].station,
        risk_limit=day.policy.risk_limit.value,
        fresh_percent=gauges[0].percent,
        waste_percent=gauges[1].percent,
        probability=probability,
        fresh_risk=np.clip(fresh @ (joint * beyond[0][:, :, None]).sum(axis=0) @ waste / open_, 0.0, 1.0),
        waste_risk=np.clip(fresh @ (joint * beyond[1][:, None, :]).sum(axis=0) @ waste / open_, 0.0, 1.0),
    )


def _beyond(at: Arrivals, day: Day, turn: int, tank: Tank, gauge: GaugeCells) -> Floats:
    """(K, C) risk ahead of the turn for each cell."""
    place, rotation = TANKS.index(tank), at.course.rotation
    following = next_service(rotation, day.policy, turn, tank)
    end = len(rotation.legs) if following is None else following
    ahead = at.ahead[:, place, [end]] - at.ahead[:, place, [turn]]
    found: Floats = risk_ahead(at.beliefs[turn].theta, ahead, float(at.course.margin[place]), gauge)[0]
    return found


def _joint(belief: Belief, rates: Rates, gauges: list[GaugeCells]) -> Floats:
    """(K, fresh cells, waste cells) probability of both rooms given the day factor."""
    visits, chance = visit_nodes(belief, rates)
    fresh, waste = (
        masses_given_visits(belief, tank, gauge.edges, visits, rates, True) for tank, gauge in enumerate(gauges)
    )
    nodes = len(belief.theta)
    inner = np.matmul(belief.joint[:, None], waste).reshape(nodes, -1, waste.shape[-1])
    outer = (fresh * chance[:, None, None]).reshape(nodes, -1, fresh.shape[-1])
    return np.asarray(np.matmul(np.swapaxes(outer, 1, 2), inner))  # summed over visits and old fresh cells
