"""Where in a turn a service that is called for now can take place: inside the window, the station's hours and the
lead time with which services have to be asked for."""

from __future__ import annotations

from datetime import datetime, timedelta

from legtide.day.document import Day, Service, Tank
from legtide.day.rotations import Rotation, service_minutes, service_start, stations
from legtide.engine.types import to_datetime, to_minutes
from legtide.language import tr
from legtide.plan.rotation.slots import Interval, preferred, single, spans, window_minutes
from legtide.play.calls import CallError


def placed(day: Day, rotation: Rotation, turn: int, tank: Tank, target_percent: float, asked: datetime) -> datetime:
    """The start of a service called for at a moment. Raises CallError when the turn cannot take it."""
    policy, place = day.policy, rotation.turns[turn]
    station = stations(day).get(place.station)
    window = window_minutes(place, policy)
    if station is None or all(offer.tank != tank for offer in station.offers):
        raise CallError(tr("{station} does not offer that service").format(station=place.station))
    if tank == "fresh" and not station.approved_water:
        raise CallError(tr("{station} is not an approved point for water").format(station=place.station))
    lead = policy.call_lead_min.value
    found = spans(window, station, tank, policy, to_minutes(asked + timedelta(minutes=lead)))
    row = Service(aircraft=rotation.registration, turn=turn, tank=tank, target_percent=target_percent)
    minutes = service_minutes(rotation.fit, row)
    busy = sorted(_busy(day, rotation, turn))
    slot = single(preferred(found, place), minutes, busy) or single(found, minutes, busy)
    if slot is None:
        raise CallError(
            tr(
                "{aircraft} turn {turn} at {station}: too late, a service has to be asked for {lead} min ahead and "
                "takes {minutes} min"
            ).format(
                aircraft=rotation.registration,
                turn=turn,
                station=place.station,
                lead=f"{lead:g}",
                minutes=f"{minutes:.0f}",
            )
        )
    return to_datetime(slot.start)


def _busy(day: Day, rotation: Rotation, turn: int) -> list[Interval]:
    margin, found = day.policy.margin_after_on_blocks_min.value, []
    for row in rotation.services:
        start = service_start(rotation, row, margin) if row.turn == turn else None
        if start is not None and row.state in ("planned", "done"):
            at = to_minutes(start)
            found.append((at, at + service_minutes(rotation.fit, row)))
    return found
