"""Finding what a message is about in a day. Nothing is guessed: what the day does not know is named."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import timedelta
from functools import cache
from typing import Final, Literal

from legtide.day.document import Day, Leg
from legtide.day.quoting import quoted
from legtide.files.messages.flights import flight_key, registration_key
from legtide.files.messages.records import FlightLine
from legtide.language import tr

_ENDS: Final = {"from": "from", "to": "to"}
_FLIGHT_LASTS = timedelta(hours=30)
"""Within this of its first leg, a later leg of one flight number still goes by the first one's date."""


class MatchError(ValueError):
    """A flight, aircraft or station that the day does not know; the text says which."""


class Flights:
    """The legs of a day by flight number, looked up without going through all of them each time."""

    def __init__(self, day: Day) -> None:
        self._legs: dict[str, list[Leg]] = defaultdict(list)
        for leg in day.legs:
            self._legs[flight_key(leg.flight)].append(leg)
        self._aircraft = {registration_key(row.registration): row.registration for row in day.aircraft}

    def registration(self, written: str) -> str:
        """An aircraft's registration as the day writes it. Raises MatchError."""
        found = self._aircraft.get(registration_key(written))
        if found is None:
            raise MatchError(tr("aircraft {aircraft} is not in the day").format(aircraft=written))
        return found

    def leg(self, head: FlightLine, end: Literal["from", "to"], station: str) -> Leg:
        """The leg of a flight that begins or ends at a station. Raises MatchError."""
        registration = self.registration(head.registration)
        flown = self._legs.get(head.flight)
        if not flown:
            raise MatchError(tr("flight {flight} is not in the day").format(flight=head.flight))
        here = [leg for leg in flown if station == (leg.origin if end == "from" else leg.destination)]
        if not here:
            raise MatchError(
                tr("flight {flight} has no leg {end} {station} in the day").format(
                    flight=head.flight, end=tr(_ENDS[end]), station=station
                )
            )
        dated = [leg for leg in here if leg.std.day == head.day] or [
            leg for leg in here if _first(leg, flown) == head.day
        ]
        if not dated:
            days = ", ".join(sorted({f"{leg.std:%Y-%m-%d}" for leg in here}))
            raise MatchError(
                tr("flight {flight} {end} {station} departs on {days}, not on a day {day}").format(
                    flight=head.flight, end=tr(_ENDS[end]), station=station, days=days, day=head.day
                )
            )
        mine = [leg for leg in dated if leg.aircraft == registration]
        if not mine:
            raise MatchError(
                tr("flight {flight} is flown by {aircraft}, not by {registration}").format(
                    flight=head.flight, aircraft=quoted(dated[0].aircraft), registration=quoted(registration)
                )
            )
        if len(mine) > 1:
            raise MatchError(
                tr("flight {flight} {end} {station} stands {n} times on that day").format(
                    flight=head.flight, end=tr(_ENDS[end]), station=station, n=len(mine)
                )
            )
        return mine[0]


def _first(leg: Leg, flown: Iterable[Leg]) -> int:
    """Day of the month on which the flight of a leg begins at its first station."""
    since = leg.std - _FLIGHT_LASTS
    return min(row.std for row in flown if row.aircraft == leg.aircraft and since <= row.std <= leg.std).day


def station_code(codes: Mapping[str, object], indicator: str) -> str:
    """The code under which a day lists the station of a weather report.

    That is the four-letter indicator itself, or the three-letter code that the airport reference library gives for
    it. Raises MatchError.
    """
    if indicator in codes:
        return indicator
    code = _three_letters().get(indicator)
    if code is None or code not in codes:
        known = f" ({code})" if code else ""
        raise MatchError(tr("station {station}{code} is not in the day").format(station=indicator, code=known))
    return code


@cache
def _three_letters() -> Mapping[str, str]:
    import airportsdata

    return {code: row["iata"] for code, row in airportsdata.load("ICAO").items() if row["iata"]}
