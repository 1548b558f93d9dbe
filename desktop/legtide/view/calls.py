"""Calls to make: services that somebody has to ask for, and warnings with a moment after which it is too late."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil, floor

from legtide.day.document import Day
from legtide.draw.words import TANK_SERVICE, hhmm
from legtide.engine.types import Caution, Projection, ServiceResult
from legtide.language import tr
from legtide.view.panels.remedies import headline
from legtide.view.planning_words import Places


@dataclass(frozen=True, slots=True)
class Call:
    """One call, with the moment at which it becomes too late."""

    by: datetime
    aircraft: str
    text: str
    detail: str = ""
    service: str = ""
    """Id of the service to ask for; empty for a warning."""
    start: datetime | None = None
    """When the service is to start."""
    caution: Caution | None = None


def calls(day: Day, projection: Projection) -> tuple[Call, ...]:
    """All calls that are still to be made, the one that becomes too late first at the top."""
    found = [*_services(day, projection), *_warnings(projection)]
    return tuple(sorted(found, key=lambda row: (row.by, row.aircraft, row.service)))


def _services(day: Day, projection: Projection) -> Iterator[Call]:
    """Planned services that nobody has asked for at the time at which they stand now."""
    lead, places = timedelta(minutes=day.policy.call_lead_min.value), Places(day)
    for one in projection.aircraft.values():
        for result in one.services:
            row, start = result.service, result.start
            if row.state == "planned" and start is not None and row.asked_start != start:
                yield Call(
                    start - lead,
                    row.aircraft,
                    tr("{service} {time} at {station}").format(
                        service=tr(TANK_SERVICE[row.tank]), time=hhmm(start), station=places.station(result.station)
                    ),
                    _detail(result),
                    row.id,
                    start,
                )


def _detail(result: ServiceResult) -> str:
    row = result.service
    parts = []
    if row.asked_start is not None:
        parts.append(tr("asked for at {time}: ask again").format(time=hhmm(row.asked_start)))
    parts.append(tr("about {volume:.0f} L").format(volume=result.volume.mean))
    parts.append(tr("no truck yet") if row.truck is None else tr("truck {truck}").format(truck=row.truck))
    return " · ".join(parts)


def _warnings(projection: Projection) -> Iterator[Call]:
    """Warnings that have to be decided by some moment; a service outside its turn is asked for as a service."""
    for row in projection.warnings:
        if row.act_by is not None and row.severity != "note" and row.code != "service-outside-turn":
            yield Call(row.act_by, row.aircraft, headline(row), row.message, caution=row)


def left_text(by: datetime, now: datetime | None) -> str:
    """How long there is until a call becomes too late; only its time where no moment is now."""
    at = tr("by {time}").format(time=hhmm(by))
    if now is None:
        return at
    minutes = (by - now).total_seconds() / 60.0
    if minutes < 0.0:
        return tr("{at}, {minutes} min too late").format(at=at, minutes=ceil(-minutes))
    return tr("{at}, in {minutes} min").format(at=at, minutes=floor(minutes))
