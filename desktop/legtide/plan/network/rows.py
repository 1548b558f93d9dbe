"""A network's plan as the JSON document that `legtide plan DAY` prints where stations have trucks."""

from __future__ import annotations

from typing import Any

from legtide.plan.network.planning import NetworkPlan
from legtide.plan.rotation.report import document_of, unserved_entry


def network_rows(plan: NetworkPlan) -> dict[str, Any]:
    """The plan as a document (format `legtide-plan`, version 1).

    `cost` is that of services, fuel and risk, and of delays where they have a price. `unserved` names what the trucks
    leave out without making up for it at another turn, and the turns that bind where the limit cannot be kept.
    """
    unserved = [
        unserved_entry(move.registration, move.wanted.turn, move.wanted.station, move.tank, move.reason)
        for move in plan.moves
        if not move.instead
    ]
    for station in plan.stations:
        for left in station.result.plan.unserved:
            row = station.station.needs[left.request].service
            unserved.append(unserved_entry(row.aircraft, row.turn, station.station.station, row.tank, left.text))
    unserved += [
        unserved_entry(rotation.registration, row.turn, row.station, row.tank, row.reason)
        for rotation in plan.wanted
        for row in rotation.obstacles
    ]
    return document_of(plan.status, plan.cost, plan.bound, plan.worst_risk, plan.services, unserved)
