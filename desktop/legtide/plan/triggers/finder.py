"""Trigger readings: for each turn and tank, the gauge reading with which the aircraft can go on without a service.

The service of the tank at the turn, if the day has one, is thought away; the risk runs up to the tank's next service
that is planned or done, or to the end of the rotation. The trigger is the last step of the gauge, from the good end
of its scale, with which every leg up to there keeps its risk within the policy's limit.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import takewhile

from legtide.day.document import TANKS, Day, Fit, Policy, Tank
from legtide.day.rotations import Rotation, rotations
from legtide.engine.course import gauge_works, happens
from legtide.engine.usage import Rates
from legtide.plan.triggers.arrivals import Arrivals, arrivals
from legtide.plan.triggers.gauges import GaugeCells, gauge_cells
from legtide.plan.triggers.reading import step_risks
from legtide.plan.triggers.records import Answer, StepRisk, Trigger, Triggers


def triggers(day: Day, previous: Triggers | None = None) -> Triggers:
    """The trigger readings of all aircraft of a day.

    Args:
        day: the day with the plan it has now.
        previous: earlier triggers; aircraft that nothing has changed for are taken over as they are.
    """
    known = {}
    if previous is not None and day.policy is previous.day.policy and day.usage is previous.day.usage:
        known = previous.aircraft
    found = {}
    for name, rotation in rotations(day).items():
        same = name in known and known[name][0] is rotation
        found[name] = known[name] if same else (rotation, rotation_triggers(day, rotation))
    return Triggers(day, found)


def rotation_triggers(day: Day, rotation: Rotation) -> tuple[Trigger, ...]:
    """The trigger readings of one rotation: every turn that is followed by a leg, fresh before waste."""
    if not rotation.legs:
        return ()
    at = arrivals(rotation, day.policy, Rates.of(day.usage))
    by_tank = [_tank_triggers(day.policy, at, tank) for tank in TANKS]
    return tuple(row for rows in zip(*by_tank, strict=True) for row in rows)


@lru_cache(maxsize=256)
def gauge_cells_of(fit: Fit, tank: Tank) -> GaugeCells:
    """The cells of a fit's gauge, kept from one call to the next."""
    return gauge_cells(fit, tank)


def next_service(rotation: Rotation, policy: Policy, turn: int, tank: Tank) -> int | None:
    """The next turn after `turn`, with a leg to follow, at which a service of the tank is to take place."""
    turns = [
        row.turn
        for row in rotation.services
        if row.tank == tank and turn < row.turn < len(rotation.legs) and happens(row, policy) > 0.0
    ]
    return min(turns, default=None)


def _tank_triggers(policy: Policy, at: Arrivals, tank: Tank) -> list[Trigger]:
    rotation, limit = at.course.rotation, policy.risk_limit.value
    turns = range(len(rotation.legs))
    following = [next_service(rotation, policy, turn, tank) for turn in turns]
    steps = _steps(at, tank, following) if gauge_works(rotation, tank) else [() for _ in turns]
    planned = {row.turn for row in rotation.services if row.tank == tank and happens(row, policy) > 0.0}
    found = []
    for turn in turns:
        answer, percent = decide(steps[turn], tank, limit)
        found.append(
            Trigger(
                registration=rotation.registration,
                turn=turn,
                station=rotation.turns[turn].station,
                tank=tank,
                next_service_turn=following[turn],
                planned_here=turn in planned,
                answer=answer,
                trigger_percent=percent,
                risk_limit=limit,
                steps=steps[turn],
            )
        )
    return found


def _steps(at: Arrivals, tank: Tank, following: list[int | None]) -> list[tuple[StepRisk, ...]]:
    place, count = TANKS.index(tank), len(following)
    ends = [count if end is None else end for end in following]
    ahead = at.ahead[:, place, ends] - at.ahead[:, place, :count]
    gauge = gauge_cells_of(at.course.rotation.fit, tank)
    found = step_risks(at.beliefs, place, ahead, float(at.course.margin[place]), gauge)
    return [
        tuple(map(StepRisk, gauge.percent, probability, risk))
        for probability, risk in zip(found.probability.tolist(), found.risk.tolist(), strict=True)
    ]


def decide(steps: tuple[StepRisk, ...], tank: Tank, limit: float) -> tuple[Answer, float | None]:
    """The answer of a gauge's steps, and the last reading with which the limit is kept."""
    if not steps:
        return "no_gauge", None
    good_end_first = steps[::-1] if tank == "fresh" else steps
    count = sum(1 for _ in takewhile(lambda row: row.risk <= limit, good_end_first))
    if count == 0:
        return "never", None
    if count == len(steps):
        return "always", None
    return "by_reading", good_end_first[count - 1].percent
