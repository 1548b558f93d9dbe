"""What is likely next: the leg after the last one, the return flight, an aircraft like the others.

A suggestion only fills in a form; the medians are over what the day itself has.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from itertools import pairwise
from statistics import median
from typing import Final

from legtide.day.document import CabinService, Day, Fit, Leg
from legtide.day.rotations import scheduled

USUAL_TURN: Final = timedelta(minutes=45)
"""Taken where the day has no turn to learn from (status: assumed)."""
USUAL_BLOCK: Final = timedelta(minutes=75)
"""Taken where the day has no leg of the kind (status: assumed)."""
USUAL_LOAD: Final = 0.8
"""Share of the seats taken where nothing is known, as on import."""
_FIRST_STD: Final = time(6, tzinfo=UTC)
_NUMBER: Final = re.compile(r"(.*?)(\d{1,6})(\D?)")


@dataclass(frozen=True, slots=True)
class Suggested:
    """A leg as it would usually be; texts are empty where nothing suggests itself."""

    flight: str
    origin: str
    destination: str
    std: datetime
    sta: datetime
    passengers: int
    crew: int
    cabin_service: CabinService = "average"


def next_leg(day: Day, registration: str, after: str | None = None) -> Suggested:
    """The leg after the one of the id `after`, or after the aircraft's last one.

    Where legs do not chain, that is the missing one. At the end of a rotation the aircraft goes back to where it
    came from.
    """
    legs = scheduled(day.legs).get(registration, [])
    number = next((n for n, leg in enumerate(legs) if leg.id == after), len(legs) - 1)
    passengers, crew = _heads(day, registration)
    if not legs:
        std = datetime.combine(day.date, _FIRST_STD)
        codes = [row.code for row in day.stations]
        origin = codes[0] if codes else ""
        destination = codes[1] if len(codes) > 1 else ""
        sta = std + block_time(day, origin, destination)
        return Suggested("", origin, destination, std, sta, passengers, crew)
    last = legs[number]
    following = legs[number + 1] if number + 1 < len(legs) else None
    chained = following is None or following.origin == last.destination
    destination = last.origin if chained or following is None else following.origin
    std = last.sta + turn_time(day, registration)
    return Suggested(
        next_flight(last.flight),
        last.destination,
        destination,
        std,
        std + block_time(day, last.destination, destination),
        passengers,
        crew,
    )


def return_leg(day: Day, leg: Leg) -> Suggested:
    """The flight back of a leg: as long, with as many heads, after the usual turn."""
    std = leg.sta + turn_time(day, leg.aircraft)
    return Suggested(
        next_flight(leg.flight),
        leg.destination,
        leg.origin,
        std,
        std + block_time(day, leg.destination, leg.origin, leg.sta - leg.std),
        leg.passengers,
        leg.crew,
        leg.cabin_service,
    )


def block_time(day: Day, origin: str, destination: str, otherwise: timedelta = USUAL_BLOCK) -> timedelta:
    """Scheduled block time between two stations: the median that way, else the other way, else what is given."""
    for pair in ((origin, destination), (destination, origin)):
        found = [leg.sta - leg.std for leg in day.legs if (leg.origin, leg.destination) == pair]
        if found:
            return _median(found)
    return otherwise


def turn_time(day: Day, registration: str) -> timedelta:
    """Scheduled ground time between legs: the aircraft's median, else the day's, else the usual one."""
    rotations = scheduled(day.legs)
    for chosen in (rotations.get(registration, []),), rotations.values():
        found = [after.std - before.sta for legs in chosen for before, after in pairwise(legs)]
        if found:
            return _median(found)
    return USUAL_TURN


def next_flight(flight: str) -> str:
    """The flight number one higher, in as many digits; empty when there is no number in it."""
    found = _NUMBER.fullmatch(flight)
    if found is None:
        return ""
    return f"{found[1]}{int(found[2]) + 1:0{len(found[2])}d}{found[3]}"


def _median(times: Iterable[timedelta]) -> timedelta:
    return timedelta(minutes=5 * round(median(one.total_seconds() for one in times) / 300.0))


def _heads(day: Day, registration: str) -> tuple[int, int]:
    """Passengers and crew: the fit's, at the usual load."""
    wanted = next((row.fit for row in day.aircraft if row.registration == registration), None)
    fit = next((row for row in day.fits if row.id == wanted), Fit(id="usual"))
    return round(USUAL_LOAD * fit.seats.value), round(fit.crew.value)
