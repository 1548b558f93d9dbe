"""Plans as JSON documents (format `legtide-plan`, version 1)."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from legtide.engine.types import utc_text
from legtide.plan.rotation.proposal import Proposal
from legtide.plan.rotation.records import PlannedService

PLAN_FORMAT: Final = "legtide-plan"
PLAN_VERSION: Final = 1


def plan_document(proposal: Proposal) -> dict[str, Any]:
    """A proposal as the JSON document that `legtide plan --json` prints; keys carry their units."""
    cost = proposal.costs.total
    unserved = [
        unserved_entry(plan.registration, row.turn, row.station, row.tank, row.reason)
        for plan in proposal.plans
        for row in plan.obstacles
    ]
    return document_of(proposal.status, cost, cost, proposal.worst_risk, proposal.services, unserved)


def document_of(
    status: str,
    cost: float,
    bound: float,
    worst_risk: float,
    services: Iterable[PlannedService],
    unserved: list[dict[str, Any]],
) -> dict[str, Any]:
    """The document of any plan of rotations."""
    return {
        "format": PLAN_FORMAT,
        "version": PLAN_VERSION,
        "status": status,
        "cost": cost,
        "bound": bound,
        "worst_risk": worst_risk,
        "services": [service_entry(row) for row in services],
        "unserved": unserved,
    }


def unserved_entry(registration: str, turn: int, station: str, tank: str, reason: str) -> dict[str, Any]:
    """One service that a plan has to do without."""
    return {"registration": registration, "turn": turn, "station": station, "tank": tank, "reason": reason}


def service_entry(row: PlannedService) -> dict[str, Any]:
    """One service of a plan."""
    return {
        "registration": row.registration,
        "turn": row.turn,
        "station": row.station,
        "tank": row.tank,
        "target_percent": row.target_percent,
        "start": None if row.start is None else utc_text(row.start),
        "end": None if row.end is None else utc_text(row.end),
        "truck": row.truck,
    }
