"""Where a service may land: the turns of its row in which it can be worked, and the start nearest to a pointer."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from legtide.day.document import Day, Service
from legtide.day.rotations import Rotation, Turn, service_minutes, stations
from legtide.day.windows import turn_window
from legtide.engine.types import to_minutes


@dataclass(frozen=True, slots=True)
class Landing:
    """A turn with the earliest and latest start, whole minutes since 1970."""

    turn: int
    first: float
    last: float

    def distance(self, minutes: float) -> float:
        """Minutes from a time to this landing; 0 inside."""
        return max(self.first - minutes, minutes - self.last, 0.0)

    def nearest(self, minutes: float) -> float:
        """The whole minute inside this landing that is nearest to a time."""
        return min(max(float(round(minutes)), self.first), self.last)


def landings(day: Day, rotation: Rotation, service: Service, now: datetime | None) -> tuple[Landing, ...]:
    """All places where the service may land, in the order of time.

    A turn counts when the station works the tank's service there, the service fits between the policy's margins,
    no other service of the tank takes place in it, and, for a planned service, it is not over. The turn where the
    service already is always counts, so that it can be put back.
    """
    earliest = to_minutes(now) if now is not None and service.state == "planned" else -math.inf
    taken = {
        row.turn
        for row in rotation.services
        if row.tank == service.tank and row.id != service.id and row.state in ("planned", "done")
    }
    found: list[Landing] = []
    for turn in rotation.turns:
        if turn.number not in taken or turn.number == service.turn:
            found += _in_turn(day, rotation, turn, service, earliest)
    if service.start is not None and not any(row.turn == service.turn for row in found):
        here = to_minutes(service.start)
        found.append(Landing(service.turn, here, here))
    return tuple(sorted(found, key=lambda row: row.first))


def _in_turn(day: Day, rotation: Rotation, turn: Turn, service: Service, earliest: float) -> Iterator[Landing]:
    window = turn_window(turn, day.policy)
    station = stations(day).get(turn.station)
    if window is None or station is None:
        return
    needed = service_minutes(rotation.fit, service)
    opens, closes = to_minutes(window[0]), to_minutes(window[1])
    for offer in station.offers:
        if offer.tank != service.tank:
            continue
        hours = [(to_minutes(span.start), to_minutes(span.end)) for span in offer.hours] or [(opens, closes)]
        for start, end in hours:
            first = float(math.ceil(max(opens, start, earliest)))
            last = float(math.floor(min(closes, end) - needed))
            if last >= first:
                yield Landing(turn.number, first, last)


def snapped(places: tuple[Landing, ...], minutes: float) -> tuple[int, float] | None:
    """Turn and start nearest to a time; None when the service may land nowhere."""
    if not places:
        return None
    best = min(places, key=lambda row: row.distance(minutes))
    return best.turn, best.nearest(minutes)


def next_landing(places: tuple[Landing, ...], turn: int, forward: bool) -> Landing | None:
    """The nearest landing in a later (or earlier) turn."""
    if forward:
        return next((row for row in places if row.turn > turn), None)
    return next((row for row in reversed(places) if row.turn < turn), None)
