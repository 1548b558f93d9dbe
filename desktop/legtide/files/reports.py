"""The JSON documents that the commands print, as plain dicts in the order in which they are printed.

Times are ISO 8601 in UTC with `Z`, levels litres, masses kilograms, probabilities 0 to 1. The keys are relied on
by other programs: they change only together with a document's version.
"""

from __future__ import annotations

from typing import Any

from legtide.day.document import Leg
from legtide.day.rotations import off_blocks, on_blocks
from legtide.engine.types import AircraftProjection, Caution, LegResult, Projection, ServiceResult, Spread, utc_text

Document = dict[str, Any]


def projection_document(projection: Projection) -> Document:
    """The document of `legtide project --json`."""
    return {
        "format": "legtide-projection",
        "version": 1,
        "title": projection.day.title,
        "aircraft": [_aircraft(row) for row in projection.aircraft.values()],
        "warnings": [warning_document(row) for row in projection.warnings],
    }


def _aircraft(projection: AircraftProjection) -> Document:
    rotation = projection.rotation
    return {
        "registration": rotation.registration,
        "fit": rotation.fit.id,
        "legs": [_leg(rotation.legs[result.index], result) for result in projection.legs],
        "services": [_service(result) for result in projection.services],
    }


def _leg(leg: Leg, result: LegResult) -> Document:
    return {
        "id": leg.id,
        "flight": leg.flight,
        "from": leg.origin,
        "to": leg.destination,
        "off_blocks": utc_text(off_blocks(leg)),
        "on_blocks": utc_text(on_blocks(leg)),
        "passengers": leg.passengers,
        "fresh_departure_l": _spread(result.fresh_departure),
        "fresh_arrival_l": _spread(result.fresh_arrival),
        "waste_departure_l": _spread(result.waste_departure),
        "waste_arrival_l": _spread(result.waste_arrival),
        "water_mass_kg": float(result.water_mass_kg),
        "risk_fresh_dry": float(result.risk_fresh_dry),
        "risk_fresh_below_reserve": float(result.risk_fresh_below_reserve),
        "risk_waste_over_limit": float(result.risk_waste_over_limit),
        "risk_waste_full": float(result.risk_waste_full),
    }


def _spread(spread: Spread) -> Document:
    return {name: float(getattr(spread, name)) for name in ("mean", "p05", "p25", "p50", "p75", "p95")}


def _service(result: ServiceResult) -> Document:
    """One service; its `uplift_l` is what a fill puts in, or what a drain takes out."""
    service, volume = result.service, result.volume
    return {
        "turn": service.turn,
        "station": result.station,
        "tank": service.tank,
        "state": service.state,
        "target_percent": float(service.target),
        "start": None if result.start is None else utc_text(result.start),
        "uplift_l": {"mean": float(volume.mean), "p05": float(volume.p05), "p95": float(volume.p95)},
        "truck": service.truck,
    }


def warning_document(caution: Caution) -> Document:
    """One warning; what it is not about is null."""
    return {
        "code": caution.code,
        "severity": caution.severity,
        "aircraft": caution.aircraft or None,
        "leg": caution.leg or None,
        "station": caution.station or None,
        "message": caution.message,
        "remedy": caution.remedy.text if caution.remedy is not None else None,
    }
