"""Trigger readings as a JSON document (format `legtide-triggers`, version 1)."""

from __future__ import annotations

from typing import Any, Final

from legtide.language import tr
from legtide.plan.triggers.records import Trigger, Triggers

TRIGGERS_FORMAT: Final = "legtide-triggers"
TRIGGERS_VERSION: Final = 1


def triggers_document(found: Triggers) -> dict[str, Any]:
    """The document that `legtide triggers --json` prints."""
    return {
        "format": TRIGGERS_FORMAT,
        "version": TRIGGERS_VERSION,
        "turns": [trigger_entry(row) for row in found.turns],
    }


def trigger_entry(row: Trigger) -> dict[str, Any]:
    """One turn and tank."""
    return {
        "registration": row.registration,
        "turn": row.turn,
        "station": row.station,
        "tank": row.tank,
        "next_service_turn": row.next_service_turn,
        "trigger_percent": row.trigger_percent,
        "go_on_if": row.go_on_if,
        "risk_limit": row.risk_limit,
    }


def trigger_text(row: Trigger) -> str:
    """One turn and tank as a sentence part: what the gauge has to show to go on without a service there."""
    what = tr("water service") if row.tank == "fresh" else tr("toilet service")
    if row.answer == "no_gauge":
        return tr("the {tank} gauge does not work: ask for a {service}").format(tank=tr(row.tank), service=what)
    if row.answer == "never":
        return tr("no reading lets the aircraft go on without a {service}").format(service=what)
    if row.answer == "always":
        return tr("every reading lets the aircraft go on without a {service}").format(service=what)
    side = tr("or more") if row.tank == "fresh" else tr("or less")
    return tr("go on without a {service} at {percent:g} % {side}").format(
        service=what, percent=row.trigger_percent, side=side
    )
