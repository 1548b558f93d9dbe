"""What was learned, as a JSON document (format `legtide-learned`, version 1)."""

from __future__ import annotations

from typing import Any, Final

from legtide.engine.learn.records import Learned, Learning

LEARNED_FORMAT: Final = "legtide-learned"
LEARNED_VERSION: Final = 1


def learning_document(found: Learning) -> dict[str, Any]:
    """The document that `legtide learn --json` prints. `usage` can be pasted into a day file."""
    return {
        "format": LEARNED_FORMAT,
        "version": LEARNED_VERSION,
        "groups": [_group(row) for row in found.groups],
        "notes": list(found.notes),
    }


def _group(row: Learned) -> dict[str, Any]:
    return {
        "fit": row.fit,
        "cabin_service": row.cabin_service,
        "days": [day.isoformat() for day in row.days],
        "aircraft_days": row.aircraft_days,
        "readings": row.readings,
        "estimates": [
            {
                "figure": f"usage.{one.field}",
                "value": one.value,
                "p05": one.low,
                "p95": one.high,
                "assumed": one.assumed,
            }
            for one in row.estimates
        ],
        "rates": [{"name": one.name, "value": one.value, "p05": one.low, "p95": one.high} for one in row.rates],
        "usage": {name: figure.model_dump(mode="json") for name, figure in row.figures().items()},
    }
