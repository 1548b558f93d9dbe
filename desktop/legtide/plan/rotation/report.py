"""Plans as JSON documents (format `legtide-plan`, version 1)."""

from __future__ import annotations

from typing import Any, Final

from legtide.engine.types import utc_text
from legtide.plan.rotation.proposal import Account, Comparison, Proposal
from legtide.plan.rotation.records import PlannedService

PLAN_FORMAT: Final = "legtide-plan"
PLAN_VERSION: Final = 1


def plan_document(proposal: Proposal) -> dict[str, Any]:
    """A proposal as the JSON document that `legtide plan --json` prints; keys carry their units."""
    cost = proposal.costs.total
    return {
        "format": PLAN_FORMAT,
        "version": PLAN_VERSION,
        "status": proposal.status,
        "cost": cost,
        "bound": cost,
        "worst_risk": proposal.worst_risk,
        "services": [service_entry(row) for row in proposal.services],
        "unserved": [
            {
                "registration": plan.registration,
                "turn": row.turn,
                "station": row.station,
                "tank": row.tank,
                "reason": row.reason,
            }
            for plan in proposal.plans
            for row in plan.obstacles
        ],
    }


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


def comparison_entry(row: Comparison) -> dict[str, Any]:
    """Before and after of one aircraft (or of all, with an empty registration)."""
    return {
        "registration": row.registration,
        "before": _account_entry(row.before),
        "after": _account_entry(row.after),
    }


def _account_entry(side: Account) -> dict[str, Any]:
    return {
        "services": side.services,
        "cost": side.costs.total,
        "worst_risk": side.worst_risk,
        "filled_l": side.filled_l,
        "drained_l": side.drained_l,
        "fuel_kg": side.costs.fuel_kg,
    }
