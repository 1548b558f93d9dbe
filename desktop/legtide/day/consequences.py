"""What an edit takes along besides what it names: services, readings and stands that follow, move or go."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from legtide.day.document import Day, Service
from legtide.day.rotations import scheduled, station_at


@dataclass(frozen=True, slots=True)
class Moved:
    """A service that takes place at another station than before."""

    service: Service
    """As it is afterwards."""
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Consequences:
    """What else is different in the day after an edit."""

    legs_gone: int = 0
    services_gone: tuple[Service, ...] = ()
    readings_gone: int = 0
    ground_gone: int = 0
    moved: tuple[Moved, ...] = ()
    without_truck: tuple[Service, ...] = ()
    """Services that had a truck and have none now, as they were before, at the station where they still are."""
    stands_gone: int = 0
    """Legs and aircraft whose stand is not known any more."""
    doubled: tuple[Service, ...] = ()
    """Planned services that are now the second of their kind at one turn."""

    def __bool__(self) -> bool:
        return self != Consequences()


def consequences(before: Day, after: Day) -> Consequences:
    """What of a day is gone, elsewhere or doubled after an edit; a leg that another aircraft flies is not gone."""
    if before is after:
        return Consequences()
    stations_before, stations_after = _stations(before), _stations(after)
    renamed = _renamed(before, after)
    kept = {row.id: row for row in after.services}
    gone, moved, bare = [], [], []
    for row in before.services:
        new = kept.get(row.id)
        if new is None:
            gone.append(row)
            continue
        here, there = stations_before.get(row.id), stations_after.get(row.id)
        if here != there and renamed.get(here or "") != there:
            moved.append(Moved(new, here or "", there or ""))
        elif row.truck is not None and new.truck is None:
            bare.append(row)
    legs_after = {leg.id for leg in after.legs}
    return Consequences(
        legs_gone=sum(leg.id not in legs_after for leg in before.legs),
        services_gone=tuple(gone),
        readings_gone=max(len(before.readings) - len(after.readings), 0),
        ground_gone=max(len(before.ground) - len(after.ground), 0),
        moved=tuple(moved),
        without_truck=tuple(bare),
        stands_gone=_stands_gone(before, after),
        doubled=tuple(_doubled(before, after)),
    )


def _stations(day: Day) -> dict[str, str | None]:
    """Service id -> code of its station."""
    legs = scheduled(day.legs)
    return {row.id: station_at(legs.get(row.aircraft, []), row.turn) for row in day.services}


def _renamed(before: Day, after: Day) -> dict[str, str]:
    """Old code -> new code, where a station kept its place in the list under another code."""
    if len(before.stations) != len(after.stations):
        return {}
    pairs = zip(before.stations, after.stations, strict=True)
    return {old.code: new.code for old, new in pairs if old.code != new.code}


def _stands_gone(before: Day, after: Day) -> int:
    legs = {leg.id: leg for leg in after.legs}
    lost = sum(leg.stand is not None and leg.id in legs and legs[leg.id].stand is None for leg in before.legs)
    planes = {row.registration: row for row in after.aircraft}
    return lost + sum(
        row.start_stand is not None and row.registration in planes and planes[row.registration].start_stand is None
        for row in before.aircraft
    )


def _doubled(before: Day, after: Day) -> list[Service]:
    earlier = Counter(_kind(row) for row in before.services if row.state == "planned")
    last: dict[tuple[str, int, str], Service] = {}
    now: Counter[tuple[str, int, str]] = Counter()
    for row in after.services:
        if row.state == "planned":
            now[_kind(row)] += 1
            last[_kind(row)] = row
    return [last[kind] for kind, count in now.items() if count > max(earlier[kind], 1)]


def _kind(row: Service) -> tuple[str, int, str]:
    return row.aircraft, row.turn, row.tank
