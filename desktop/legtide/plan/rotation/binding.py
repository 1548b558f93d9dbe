"""Says what binds where a rotation's limit cannot be kept: the leg, the stations, the windows."""

from __future__ import annotations

from legtide.day.document import TANKS, Tank
from legtide.day.rotations import Turn, on_blocks
from legtide.engine.types import to_datetime
from legtide.engine.warnings import percent_text
from legtide.language import tr
from legtide.plan.rotation.records import LegRisk, Obstacle, RotationPlan
from legtide.plan.rotation.situation import Situation
from legtide.plan.rotation.slots import drain_minutes, fill_minutes, spans, window_minutes

_WORDS: dict[Tank, str] = {"fresh": "water service", "waste": "toilet service"}
_NEVER = float("-inf")


def with_binding(at: Situation, plan: RotationPlan) -> RotationPlan:
    """The plan with a sentence and the obstacles, where it leaves a leg over the limit; else the plan itself."""
    over = [(leg, tank) for leg in plan.legs for tank in TANKS if risk_of(leg, tank) > plan.risk_limit + 1e-12]
    if not over:
        return plan
    found: dict[tuple[int, Tank], Obstacle] = {}
    for leg, tank in over:
        for row in _obstacles(at, plan, leg.index, tank):
            found.setdefault((row.turn, row.tank), row)
    worst, tank = max(over, key=lambda row: risk_of(*row))
    return plan.with_binding(_sentence(at, plan, worst, tank), tuple(found[key] for key in sorted(found)))


def risk_of(leg: LegRisk, tank: Tank) -> float:
    """A leg's risk in one tank."""
    return leg.fresh if tank == "fresh" else leg.waste


def _sentence(at: Situation, plan: RotationPlan, worst: LegRisk, tank: Tank) -> str:
    leg, policy = at.rotation.legs[worst.index], at.day.policy
    what, side, limit = (
        (tr("fresh water"), tr("below"), policy.fresh_reserve_percent.value)
        if tank == "fresh"
        else (tr("waste"), tr("above"), policy.waste_limit_percent.value)
    )
    said = tr(
        "{flight} {origin}-{destination} {time:%H:%M}: {tank} is at best "
        "{chance} likely {side} {percent:g} % by its end "
        "(limit {limit})"
    ).format(
        flight=leg.flight,
        origin=leg.origin,
        destination=leg.destination,
        time=on_blocks(leg),
        tank=what,
        chance=percent_text(risk_of(worst, tank)),
        side=side,
        percent=limit,
        limit=percent_text(plan.risk_limit),
    )
    reasons = dict.fromkeys(f"{row.station}: {row.reason}" for row in _obstacles(at, plan, worst.index, tank))
    return f"{said}; {'; '.join(reasons)}" if reasons else said


def _obstacles(at: Situation, plan: RotationPlan, leg: int, tank: Tank) -> list[Obstacle]:
    """Why the turns since the last service before a leg, or that at its own turn, do not help; the latest first."""
    served = [row for row in plan.services if row.tank == tank and row.turn <= leg]
    last = max((row.turn for row in served), default=at.first_turn - 1)
    found = []
    for number in range(leg, last, -1):
        turn = at.rotation.turns[number]
        reason = why_not(at, turn, tank) or _crowded(plan, turn, tank)
        if not reason:
            reason = tr("a service there would not be enough") if number < leg else _at_best(at, leg, tank)
        found.append(Obstacle(number, turn.station, tank, reason))
    if last == leg:
        found.append(Obstacle(leg, at.rotation.turns[leg].station, tank, _not_enough(at, plan, leg, tank)))
    return found


def _crowded(plan: RotationPlan, turn: Turn, tank: Tank) -> str:
    """What to say where the other service of a turn leaves no time for this one."""
    if any(row.turn == turn.number and row.tank != tank for row in plan.services):
        return tr("only one service fits into the turn")
    return ""


def _not_enough(at: Situation, plan: RotationPlan, leg: int, tank: Tank) -> str:
    row = next(row for row in plan.services if row.tank == tank and row.turn == leg)
    return (
        tr("the {service} that is fixed there is not enough for the leg").format(service=tr(_WORDS[tank]))
        if row.fixed
        else _at_best(at, leg, tank)
    )


def _at_best(at: Situation, leg: int, tank: Tank) -> str:
    """What to say where the turn before a leg can take a service, and yet it is not enough."""
    if tank == "waste":
        return tr("even a drained tank does not last the leg")
    slots = zip(at.fills, at.openings[leg - at.first_turn].fresh, strict=True)
    most = max(fill for fill, slot in slots if slot is not None)
    return (
        tr("even a full tank does not last the leg")
        if most >= 100.0
        else tr("only a fill to {most:g} % fits there").format(most=most)
    )


def why_not(at: Situation, turn: Turn, tank: Tank) -> str:
    """Why no service of a tank can be planned at a turn; empty where one can."""
    place, station = turn.number - at.first_turn, at.places.get(turn.station)
    opening = at.openings[place]
    if (turn.number, tank) in at.fixed:
        return tr("the {service} there is fixed").format(service=tr(_WORDS[tank]))
    if any(opening.fresh) if tank == "fresh" else opening.waste is not None:
        return ""
    if (turn.number, tank) in at.refused:
        return tr("the {service} there was skipped or missed").format(service=tr(_WORDS[tank]))
    if station is None:
        return tr("the station is not listed")
    if tank == "fresh" and not station.approved_water:
        return tr("its water is not approved")
    if all(offer.tank != tank for offer in station.offers):
        return tr("no {service} is offered").format(service=tr(_WORDS[tank]))
    return _no_time(at, turn, tank, place)


def _no_time(at: Situation, turn: Turn, tank: Tank, place: int) -> str:
    policy, station, fit = at.day.policy, at.places.get(turn.station), at.rotation.fit
    needed = drain_minutes(fit) if tank == "waste" else fill_minutes(fit, min(at.fills))
    window = window_minutes(turn, policy)
    if window is None:
        return tr("the turn of {minutes:.0f} min is too short for any service").format(minutes=turn.minutes or 0.0)
    asks = tr("a {service} needs {minutes:.0f} min, ").format(service=tr(_WORDS[tank]), minutes=needed)
    earliest = at.earliest[place][TANKS.index(tank)]
    if window[1] - window[0] < needed:
        return tr("{asks}the window {window} has {minutes:.0f}").format(
            asks=asks, window=_hours(window), minutes=window[1] - window[0]
        )
    if window[1] - earliest < needed:
        return tr("{asks}it can start at {time:%H:%M} at the earliest and {end}").format(
            asks=asks, time=to_datetime(earliest), end=_ends(window[1])
        )
    if not any(span.last - span.first >= needed for span in spans(window, station, tank, policy, _NEVER)):
        return tr("{asks}which the hours of the station do not leave within {window}").format(
            asks=asks, window=_hours(window)
        )
    return tr("{asks}which other services leave no time for within {window}").format(asks=asks, window=_hours(window))


def _hours(window: tuple[float, float]) -> str:
    return f"{to_datetime(window[0]):%H:%M}-{to_datetime(window[1]):%H:%M}"


def _ends(minutes: float) -> str:
    return tr("has to end by {time:%H:%M}").format(time=to_datetime(minutes))
