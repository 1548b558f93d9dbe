"""Edits of the list of stations: adding, changing, renaming, removing, and what refers to them following."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from legtide.day.document import Day, Leg, Service, Station
from legtide.day.edits import EditError, rebuilt
from legtide.day.rotations import scheduled, station_at
from legtide.language import tr


def add_station(day: Day, station: Station) -> Day:
    """One more station. Raises EditError when its code is taken."""
    _refuse_taken(day, station.code)
    return day.model_copy(update={"stations": (*day.stations, station)})


def remove_station(day: Day, code: str) -> Day:
    """The day without a station. Raises EditError while a leg uses it."""
    kept = tuple(row for row in day.stations if row.code != code)
    if len(kept) == len(day.stations):
        raise EditError(tr("station {station} is not in the day").format(station=code))
    users = [leg.flight for leg in day.legs if code in (leg.origin, leg.destination)]
    if users:
        few = len(users) <= 3
        words = tr("{users} use the station {station}") if few else tr("{users} and others use the station {station}")
        raise EditError(words.format(users=", ".join(users[:3]), station=code))
    return day.model_copy(update={"stations": kept})


def put_station(
    day: Day,
    code: str,
    station: Station,
    *,
    places: Mapping[str, str] | None = None,
    trucks: Mapping[str, str] | None = None,
) -> Day:
    """A station in the place of another, with all that refers to it following.

    `places` and `trucks` give the new ids of those that were renamed. Stands of legs and aircraft follow; where their
    place is gone, they have none any more. Services follow their truck; where it is gone, or handles the other tank
    now, they have none. Raises EditError when there is no station of the old code, or one of the new.
    """
    old = next((row for row in day.stations if row.code == code), None)
    if old is None:
        raise EditError(tr("station {station} is not in the day").format(station=code))
    if station.code != code:
        _refuse_taken(day, station.code)
    if old == station:
        return day
    changes: dict[str, Any] = {"stations": tuple(station if row is old else row for row in day.stations)}
    follow = _Followers(day, old, station, places or {}, trucks or {})
    changes |= follow.changes()
    return day.model_copy(update=changes)


class _Followers:
    """What refers to a station that changes."""

    def __init__(
        self, day: Day, old: Station, new: Station, places: Mapping[str, str], trucks: Mapping[str, str]
    ) -> None:
        self._day, self._old, self._new = day, old, new
        self._places, self._trucks = places, trucks
        self._legs = scheduled(day.legs)

    def changes(self) -> dict[str, Any]:
        """The branches of the day that are others now."""
        out: dict[str, Any] = {}
        for part, change in (("legs", self._leg), ("aircraft", self._aircraft), ("services", self._service)):
            rows = getattr(self._day, part)
            new = tuple(change(row) for row in rows)
            if any(one is not other for one, other in zip(new, rows, strict=True)):
                out[part] = new
        return out

    def _leg(self, leg: Leg) -> Leg:
        changes: dict[str, Any] = {}
        if leg.origin == self._old.code:
            changes["origin"] = self._new.code
        if leg.destination == self._old.code:
            changes["destination"] = self._new.code
            changes["stand"] = self._stand(leg.stand)
        return rebuilt(leg, **changes) if changes else leg

    def _aircraft(self, aircraft: Any) -> Any:
        if station_at(self._legs.get(aircraft.registration, []), 0) != self._old.code:
            return aircraft
        return rebuilt(aircraft, start_stand=self._stand(aircraft.start_stand))

    def _stand(self, stand: str | None) -> str | None:
        """Where a station lists no places, stands are labels and stay."""
        if stand is None:
            return None
        name = self._places.get(stand, stand)
        return name if not self._new.places or any(row.id == name for row in self._new.places) else None

    def _service(self, service: Service) -> Service:
        if service.truck is None:
            return service
        if station_at(self._legs.get(service.aircraft, []), service.turn) != self._old.code:
            return service
        name = self._trucks.get(service.truck, service.truck)
        fits = any(row.id == name and row.tank == service.tank for row in self._new.trucks)
        return rebuilt(service, truck=name if fits else None)


def _refuse_taken(day: Day, code: str) -> None:
    if any(row.code == code for row in day.stations):
        raise EditError(tr("station {station} is in the day already").format(station=code))
