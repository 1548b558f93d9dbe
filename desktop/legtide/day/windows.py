"""When a service can take place: the window of a turn inside the policy's margins, and the station's hours."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from legtide.day.document import Fit, Policy, Service, Station, Tank
from legtide.day.rotations import Rotation, Turn, service_minutes

_OPEN = timedelta(hours=12)
"""How far a service may lie from the one known end of the day's first or last turn."""


def turn_window(turn: Turn, policy: Policy) -> tuple[datetime, datetime] | None:
    """From when to when a service may be worked in a turn; none where the turn is too short for any."""
    after = timedelta(minutes=policy.margin_after_on_blocks_min.value)
    before = timedelta(minutes=policy.margin_before_off_blocks_min.value)
    if turn.start is not None:
        start = turn.start + after
        end = turn.end - before if turn.end is not None else start + _OPEN
    elif turn.end is not None:
        end = turn.end - before
        start = end - _OPEN
    else:
        return None
    return (start, end) if end > start else None


def offered(station: Station | None, tank: Tank, start: datetime, end: datetime) -> bool:
    """Whether a station works that service all through that time. A station that is not listed offers nothing."""
    if station is None:
        return False
    for offer in station.offers:
        if offer.tank == tank:
            return not offer.hours or any(span.start <= start and end <= span.end for span in offer.hours)
    return False


def latest_start(
    rotation: Rotation, turn: Turn, station: Station | None, service: Service, policy: Policy
) -> datetime | None:
    """The latest start at which a service fits into a turn and the station's hours; none if it does not fit."""
    window = turn_window(turn, policy)
    if window is None or station is None:
        return None
    return max((last for _, last in _spans(rotation.fit, window, station, service)), default=None)


def nearest_start(
    rotation: Rotation, turn: Turn, station: Station | None, service: Service, policy: Policy, wanted: datetime
) -> datetime | None:
    """The start nearest to a wanted one at which a service fits into a turn and the station's hours.

    None where it fits nowhere; else it is a whole minute where there is one.
    """
    window = turn_window(turn, policy)
    if window is None or station is None:
        return None
    spans = _spans(rotation.fit, window, station, service)
    starts = [_whole_minute(min(max(wanted, first), last), first, last) for first, last in spans]
    return min(starts, key=lambda start: abs(start - wanted), default=None)


def _whole_minute(start: datetime, first: datetime, last: datetime) -> datetime:
    down = start.replace(second=0, microsecond=0)
    return next((whole for whole in (down, down + timedelta(minutes=1)) if first <= whole <= last), start)


def _spans(
    fit: Fit, window: tuple[datetime, datetime], station: Station, service: Service
) -> Iterator[tuple[datetime, datetime]]:
    """Earliest and latest start of a service in each stretch of time in which it can be worked."""
    needed = timedelta(minutes=service_minutes(fit, service))
    for offer in station.offers:
        if offer.tank != service.tank:
            continue
        for opens, closes in [(span.start, span.end) for span in offer.hours] or [window]:
            first, last = max(window[0], opens), min(window[1], closes) - needed
            if last >= first:
                yield first, last
