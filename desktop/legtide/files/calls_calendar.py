"""The calls for services as a calendar (iCalendar, RFC 5545): an entry for each planned service, with an alarm.

Section numbers are those of RFC 5545: content lines end with CRLF and are folded at 75 octets (3.1), text is escaped
(3.3.11), times are in UTC form (3.3.5), every entry has UID and DTSTAMP (3.6.1).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Final

from legtide.day.document import Policy
from legtide.engine.course import happens
from legtide.engine.types import AircraftProjection, Projection, ServiceResult
from legtide.language import tr

_FOLD_OCTETS: Final = 75
_WORD: Final = {"fresh": "Water service", "waste": "Toilet service"}


def calls_calendar(
    projection: Projection, stamp: datetime, *, aircraft: str | None = None, station: str | None = None
) -> bytes:
    """The planned services of a day as a calendar.

    Args:
        projection: the day's projection.
        stamp: when the calendar is made (DTSTAMP).
        aircraft: only the services of this registration.
        station: only the services at this station.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Legtide//Calls for services//EN", "CALSCALE:GREGORIAN"]
    for name, row in projection.aircraft.items():
        if aircraft is not None and name != aircraft:
            continue
        for found in row.services:
            if station is None or found.station == station:
                lines += _event(projection, row, found, stamp)
    lines.append("END:VCALENDAR")
    return b"".join(folded(line) for line in lines)


def _event(
    projection: Projection, aircraft: AircraftProjection, found: ServiceResult, stamp: datetime
) -> Iterator[str]:
    policy, service = projection.day.policy, found.service
    planned = service.state == "planned" and happens(service, policy) > 0.0
    if not planned or found.start is None or found.end is None:
        return
    name = aircraft.rotation.registration
    title = tr("{service} {aircraft} at {station}").format(
        service=tr(_WORD[service.tank]), aircraft=name, station=found.station
    )
    stand = aircraft.rotation.turns[service.turn].stand
    yield "BEGIN:VEVENT"
    yield f"UID:{_uid(projection, found)}"
    yield f"DTSTAMP:{_utc(stamp)}"
    yield f"DTSTART:{_utc(found.start)}"
    # An entry has to end after it starts (3.6.1), and its times are whole seconds.
    yield f"DTEND:{_utc(max(found.end, found.start + timedelta(minutes=1)))}"
    yield f"SUMMARY:{escaped(title)}"
    where = found.station if not stand else tr("{station}, stand {stand}").format(station=found.station, stand=stand)
    yield f"LOCATION:{escaped(where)}"
    yield f"DESCRIPTION:{escaped(_description(found))}"
    yield from _alarm(policy, title)
    yield "END:VEVENT"


def _alarm(policy: Policy, title: str) -> Iterator[str]:
    minutes = round(policy.call_lead_min.value)
    yield "BEGIN:VALARM"
    yield "ACTION:DISPLAY"
    yield f"TRIGGER:-PT{minutes}M"
    words = tr("Ask now: {service}").format(service=title)
    yield f"DESCRIPTION:{escaped(words)}"
    yield "END:VALARM"


def _description(found: ServiceResult) -> str:
    service, volume = found.service, found.volume
    amount = tr("{mean:.0f} L expected, 5-95 %: {low:.0f}-{high:.0f} L").format(
        mean=volume.mean, low=volume.p05, high=volume.p95
    )
    parts = [tr("To {percent:g} %, {amount}").format(percent=service.target, amount=amount)]
    parts += [tr("Truck {truck}").format(truck=service.truck)] if service.truck else []
    parts += [service.remark] if service.remark else []
    return "\n".join([*parts, tr("The operator's manuals and local rules decide.")])


def _uid(projection: Projection, found: ServiceResult) -> str:
    """The same service of the same day keeps its name, so that a calendar taken in again replaces its entries."""
    service = found.service
    which = service.id or f"{service.turn} {service.tank}"
    key = f"{projection.day.date.isoformat()}\n{service.aircraft}\n{which}"
    return f"{hashlib.sha256(key.encode()).hexdigest()[:32]}@legtide.invalid"


def _utc(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def escaped(text: str) -> str:
    """A TEXT value (3.3.11): backslash, semicolon and comma escaped, a line end as `\\n`."""
    for plain, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        text = text.replace(plain, written)
    return text


def folded(line: str) -> bytes:
    """A content line with its line end, cut so that no part is longer than 75 octets and no character is split."""
    parts: list[bytes] = [b""]
    for letter in line:
        octets = letter.encode("utf-8")
        if len(parts[-1]) + len(octets) > _FOLD_OCTETS:
            parts.append(b" ")  # the space that says that the line goes on counts as an octet
        parts[-1] += octets
    return b"\r\n".join(parts) + b"\r\n"
