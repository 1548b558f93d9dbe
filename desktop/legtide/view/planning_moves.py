"""Sentences of plans in which trucks are short: what is served elsewhere, and what such a plan comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from legtide.day.document import Day, Service
from legtide.draw.words import NBSP, likely
from legtide.language import tr
from legtide.plan.network import NetworkPlan
from legtide.plan.rotation.records import PlannedService
from legtide.plan.station import Move
from legtide.view.planning_words import Line, Places, named


def as_service(row: PlannedService) -> Service:
    """A planned service as a row of the day, for its name and place."""
    return Service(
        id=row.service_id,
        aircraft=row.registration,
        turn=row.turn,
        tank=row.tank,
        target_percent=row.target_percent,
        start=row.start,
        truck=row.truck,
    )


def with_moves(
    places: Places, moves: Sequence[Move], changes: Sequence[Line], words: Mapping[str, str]
) -> tuple[Line, ...]:
    """The changes, first those that are made because trucks are short; `words` are names of services in reasons."""
    shown = [move for move in moves if move.instead]
    told = {(row.registration, row.turn, row.tank) for move in shown for row in move.instead}
    gone = {move.wanted.service_id for move in shown} - {""}
    rest = [
        line
        for line in changes
        if line.service not in gone and not (line.kind == "add" and (line.aircraft, line.turn, line.tank) in told)
    ]
    return (*(_line(places, move, words) for move in shown), *rest)


def _line(places: Places, move: Move, words: Mapping[str, str]) -> Line:
    wanted, others = as_service(move.wanted), [as_service(row) for row in move.instead]
    reason = move.reason
    for key in sorted(words, key=len, reverse=True):
        reason = reason.replace(key, tr("the {service}").format(service=words[key]))
    text = tr("The {service} is planned at {other} instead of {place}: {reason}.").format(
        service=named(wanted),
        other=tr(" and ").join(places.at(row) for row in others),
        place=places.at(wanted),
        reason=reason,
    )
    return Line(text, wanted.aircraft, others[0].turn, kind="move")


def objective_sentence(delay_min: float, risk: str, services: float, truck_min: float) -> str:
    """What trucks' plans are compared by, in its order."""
    words = tr("Departures delayed {delay}, {risk}, services {cost}, trucks {minutes}.")
    return words.format(
        delay=f"{delay_min:.0f}{NBSP}min", risk=risk, cost=f"{services:.0f}", minutes=f"{truck_min:.0f}{NBSP}min"
    )


def network_verdict(day: Day, plan: NetworkPlan) -> str:
    """Whether the limit is kept, whether trucks are short, and what better could be had."""
    limit = f"{100.0 * day.policy.risk_limit.value:g}{NBSP}%"
    if plan.status == "optimal":
        words = tr("Every leg's risk stays within {limit}, every service can be worked, and no plan costs less.")
        return words.format(limit=limit)
    if plan.status == "feasible":
        words = tr(
            "Every leg's risk stays within {limit}. The trucks are short: with a truck wherever one is wanted "
            "it would cost {less} less at most."
        )
        return words.format(limit=limit, less=f"{max(0.0, plan.cost - plan.bound):.0f}")
    words = tr("The trucks cannot keep every leg within {limit}. The largest risk that this plan leaves is {risk}.")
    if any(row.status != "optimal" for row in plan.wanted):
        words = tr("No plan keeps every leg within {limit}. The largest risk that this one leaves is {risk}.")
    return words.format(limit=limit, risk=likely(plan.worst_risk))
