"""What the fields of a day cannot say alone: problems, for which a day is refused, all found at once.

What is only doubtful (a broken chain, a figure outside its usual range) is in `cautions.py`; both are asked
for here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from legtide.day.cautions import Finding, cautions
from legtide.day.document import Day, Leg, Station, Truck
from legtide.day.quoting import quoted
from legtide.day.rotations import scheduled, station_at
from legtide.language import counted, tr

__all__ = ["Finding", "Problem", "cautions", "problems"]


@dataclass(frozen=True, slots=True)
class Problem:
    """One reason why an input is refused."""

    place: str
    """Where, as in `legs[3].sta`; empty where the whole input is meant."""
    reason: str

    def __str__(self) -> str:
        return f"{self.place}: {self.reason}" if self.place else self.reason


def problems(day: Day) -> tuple[Problem, ...]:
    """All that is wrong in a day beyond its fields, in the order of the file's parts."""
    return tuple(_found(day))


def _found(day: Day) -> Iterator[Problem]:
    yield from _repeated("fits", "id", (row.id for row in day.fits))
    yield from _stations(day)
    yield from _repeated("aircraft", "registration", (row.registration for row in day.aircraft))
    yield from _aircraft(day)
    yield from _repeated("legs", "id", (row.id for row in day.legs))
    yield from _legs(day)
    yield from _overlaps(day)
    yield from _repeated("services", "id", (row.id for row in day.services))
    yield from _turns(day)
    yield from _trucks(day)


def _repeated(part: str, key: str, ids: Iterable[str]) -> Iterator[Problem]:
    """Ids that stand twice; services may leave theirs out."""
    seen: dict[str, int] = {}
    for index, name in enumerate(ids):
        if name in seen:
            yield Problem(
                f"{part}[{index}].{key}",
                tr("{name} stands already at {place}").format(name=quoted(name), place=f"{part}[{seen[name]}]"),
            )
        elif name:
            seen[name] = index


# stations and aircraft ------------------------------------------------------------------------------------


def _stations(day: Day) -> Iterator[Problem]:
    yield from _repeated("stations", "code", (row.code for row in day.stations))
    for index, station in enumerate(day.stations):
        at = f"stations[{index}]"
        yield from _repeated(f"{at}.places", "id", (row.id for row in station.places))
        yield from _repeated(f"{at}.trucks", "id", (row.id for row in station.trucks))
        known = {row.id for row in station.places}
        for number, travel in enumerate(station.travel):
            for end, name in enumerate(travel.between):
                if name not in known:
                    yield _not_a_place(f"{at}.travel[{number}].between[{end}]", name, station)
        for number, truck in enumerate(station.trucks):
            if truck.start_place is not None and truck.start_place not in known:
                yield _not_a_place(f"{at}.trucks[{number}].start_place", truck.start_place, station)


def _unlisted(place: str, name: str, what: str) -> Problem:
    return Problem(place, tr("{what} {name} is not listed").format(what=what, name=quoted(name)))


def _not_a_place(place: str, name: str, station: Station) -> Problem:
    return Problem(
        place, tr("{name} is not a place of {station}").format(name=quoted(name), station=quoted(station.code))
    )


def _aircraft(day: Day) -> Iterator[Problem]:
    fits = {fit.id for fit in day.fits}
    listed = {station.code: station for station in day.stations}
    legs = scheduled(day.legs)
    for index, row in enumerate(day.aircraft):
        if row.fit not in fits:
            yield _unlisted(f"aircraft[{index}].fit", row.fit, tr("fit"))
        if row.start_stand is not None and row.registration in legs:
            station = listed.get(legs[row.registration][0].origin)
            yield from _stand(f"aircraft[{index}].start_stand", row.start_stand, station)


def _stand(place: str, stand: str, station: Station | None) -> Iterator[Problem]:
    """A stand has to be a place of its station; where a station lists no places, stands are labels."""
    if station is not None and station.places and all(row.id != stand for row in station.places):
        yield _not_a_place(place, stand, station)


# legs -----------------------------------------------------------------------------------------------------


def _legs(day: Day) -> Iterator[Problem]:
    aircraft = {row.registration for row in day.aircraft}
    listed = {station.code: station for station in day.stations}
    for index, leg in enumerate(day.legs):
        at = f"legs[{index}]"
        if leg.aircraft not in aircraft:
            yield _unlisted(f"{at}.aircraft", leg.aircraft, tr("aircraft"))
        if leg.origin not in listed:
            yield _unlisted(f"{at}.from", leg.origin, tr("station"))
        if leg.destination not in listed:
            yield _unlisted(f"{at}.to", leg.destination, tr("station"))
        if leg.stand is not None:
            yield from _stand(f"{at}.stand", leg.stand, listed.get(leg.destination))
        yield from ends_before_start(at, leg)


_PAIRS = (("sta", "std"), ("eta", "etd"), ("ata", "atd"))


def ends_before_start(at: str, leg: Leg) -> Iterator[Problem]:
    """Pairs of times of a leg that are the wrong way round; `at` is the leg's place."""
    for arrival, departure in _PAIRS:
        end, start = getattr(leg, arrival), getattr(leg, departure)
        if end is not None and start is not None and end <= start:
            yield Problem(
                f"{at}.{arrival}",
                tr("the leg ends before it starts: {arrival} {end} is not after {departure} {start}").format(
                    arrival=arrival.upper(), end=_utc(end), departure=departure.upper(), start=_utc(start)
                ),
            )


def _utc(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M}Z"


def _overlaps(day: Day) -> Iterator[Problem]:
    """Legs of one aircraft that overlap by schedule. Delays may overlap for a while: that is a caution."""
    order = sorted(range(len(day.legs)), key=lambda i: (day.legs[i].std, day.legs[i].sta, i))
    latest: dict[str, int] = {}
    found: list[tuple[int, int]] = []
    for index in order:
        leg = day.legs[index]
        before = latest.get(leg.aircraft)
        if before is not None and leg.std < day.legs[before].sta and leg.sta > leg.std:
            found.append((index, before))
        if leg.sta > leg.std and (before is None or leg.sta > day.legs[before].sta):
            latest[leg.aircraft] = index
    for index, before in sorted(found):
        leg, other = day.legs[index], day.legs[before]
        yield Problem(
            f"legs[{index}].std",
            tr(
                "{flight} {start} overlaps legs[{place}] of the same aircraft: {other} is under way until {end}"
            ).format(flight=leg.flight, start=_utc(leg.std), place=before, other=other.flight, end=_utc(other.sta)),
        )


# services, readings, ground times -------------------------------------------------------------------------


def _turns(day: Day) -> Iterator[Problem]:
    """Rows that hang on a turn: their aircraft is listed and flies as many legs."""
    legs: dict[str, int] = {row.registration: 0 for row in day.aircraft}
    for leg in day.legs:
        if leg.aircraft in legs:
            legs[leg.aircraft] += 1
    for part in ("services", "readings", "ground"):
        for index, row in enumerate(getattr(day, part)):
            count = legs.get(row.aircraft)
            if count is None:
                yield _unlisted(f"{part}[{index}].aircraft", row.aircraft, tr("aircraft"))
            elif row.turn > count or count == 0:
                words = tr("turn {turn} does not exist: {aircraft} has no legs")
                if count:
                    words = counted(
                        count,
                        "turn {{turn}} does not exist: {{aircraft}} flies {n} leg, so that its last turn is {n}",
                        "turn {{turn}} does not exist: {{aircraft}} flies {n} legs, so that its last turn is {n}",
                    )
                text = words.format(turn=row.turn, aircraft=quoted(row.aircraft))
                yield Problem(f"{part}[{index}].turn", text)


def _trucks(day: Day) -> Iterator[Problem]:
    """Trucks named by services: they belong to the station of the turn and handle the service's tank."""
    legs = scheduled(day.legs)
    trucks: dict[str, dict[str, Truck]] = {}
    for station in day.stations:
        trucks.setdefault(station.code, {truck.id: truck for truck in station.trucks})
    for index, service in enumerate(day.services):
        code = station_at(legs.get(service.aircraft, []), service.turn)
        if service.truck is None or code not in trucks:
            continue
        truck = trucks[code].get(service.truck)
        place = f"services[{index}].truck"
        if truck is None:
            yield Problem(
                place,
                tr("{name} is not a truck of {station}").format(name=quoted(service.truck), station=quoted(code)),
            )
        elif truck.tank != service.tank:
            yield Problem(
                place,
                tr("{truck} handles {does} and is asked for {asked}: one vehicle never handles both").format(
                    truck=quoted(service.truck), does=tr(_TRUCK[truck.tank]), asked=tr(_TRUCK[service.tank])
                ),
            )


_TRUCK = {"fresh": "fresh water", "waste": "waste"}
