"""What a choice of services asks of every station's trucks, and which of it they can serve."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from legtide.day.document import Day, Service, Station
from legtide.day.edits import rebuilt
from legtide.day.rotations import Rotation
from legtide.engine.projection import project_rotations
from legtide.engine.types import AircraftProjection, to_datetime
from legtide.plan.bank.answer import BankPlan
from legtide.plan.bank.quick import quick_plan
from legtide.plan.rotation.choices import Pick, Spot
from legtide.plan.rotation.records import PlannedService
from legtide.plan.station.bridge import StationProblem, bank_of
from legtide.plan.station.needs import ASKED, Need, needs_as_planned

HELD = 1e6
"""Value of a service that may not move: it goes before all that may."""


@dataclass(frozen=True, slots=True)
class Bank:
    """One station's trucks at work."""

    station: StationProblem
    plan: BankPlan

    @property
    def left(self) -> list[Need]:
        """Needs that the trucks leave out, in the order of the problem."""
        served = {row.request for row in self.plan.assignments}
        asked = [request.id for request in self.station.problem.requests]
        return [self.station.needs[name] for name in asked if name not in served]


def services_with(rotation: Rotation, pick: Pick) -> tuple[Service, ...]:
    """The rows of a rotation with a choice in the place of what it replaces; new rows have ids of their own."""
    gone = {id(row) for row in pick.plan.replaced}
    by_id = {row.service_id: row for row in pick.chosen.values() if row.service_id}
    out = []
    for row in rotation.services:
        if id(row) not in gone:
            out.append(row)
        elif row.id in by_id:
            new = by_id[row.id]
            out.append(rebuilt(row, target_percent=new.target_percent, start=new.start))
    return (*out, *(_new_row(row) for row in pick.chosen.values() if not row.service_id))


def _new_row(row: PlannedService) -> Service:
    return Service(
        id=f"new {row.registration} {row.turn} {row.tank}",
        aircraft=row.registration,
        turn=row.turn,
        tank=row.tank,
        target_percent=row.target_percent,
        start=row.start,
    )


class Demand:
    """The needs of every aircraft at the stations with trucks; those of a choice are made once."""

    def __init__(self, day: Day, codes: Sequence[Station], earliest: Callable[[str, Spot], float]) -> None:
        self._day, self._stations, self._earliest = day, codes, earliest
        self._kept: dict[tuple[str, int], tuple[Pick | None, tuple[tuple[str, Need], ...]]] = {}

    def needs(self, rows: Iterable[tuple[Rotation, Pick | None]]) -> dict[str, list[Need]]:
        """Station -> needs of all aircraft, in the order given; without a choice an aircraft is as the day has it."""
        rows = list(rows)
        self._make([row for row in rows if _key(*row) not in self._kept])
        out: dict[str, list[Need]] = {station.code: [] for station in self._stations}
        for row in rows:
            for code, need in self._kept[_key(*row)][1]:
                out[code].append(need)
        return out

    def _make(self, rows: list[tuple[Rotation, Pick | None]]) -> None:
        served = [
            rotation if pick is None else replace(rotation, services=services_with(rotation, pick))
            for rotation, pick in rows
        ]
        for (rotation, pick), found in zip(rows, project_rotations(self._day, served), strict=True):
            self._kept[_key(rotation, pick)] = (pick, tuple(self._of(found, pick)))

    def _of(self, found: AircraftProjection, pick: Pick | None) -> Iterable[tuple[str, Need]]:
        chosen = {} if pick is None else pick.chosen
        for station in self._stations:
            for need in needs_as_planned(self._day, station, found.rotation, found):
                spot = (need.service.turn, need.service.tank)
                opens, closes = need.window
                if spot in chosen:
                    opens = max(opens, self._earliest(found.rotation.registration, spot))
                yield station.code, replace(need, window=(opens, closes))


def _key(rotation: Rotation, pick: Pick | None) -> tuple[str, int]:
    """Choices are compared as objects; the kept entry keeps its choice alive."""
    return rotation.registration, id(pick)


def problem_of(
    day: Day, station: Station, needs: Sequence[Need], value: Callable[[Need], float], now: datetime | None
) -> StationProblem:
    """A station's problem in which each need is worth what its aircraft would lose without it."""
    valued = [replace(need, ways=tuple(replace(way, value=value(need)) for way in need.ways)) for need in needs]
    return bank_of(day, station, valued, now)


def solved(station: StationProblem, steps: int, seed: int, before: Bank | None) -> Bank:
    """The trucks' plan; where nothing has changed, the one from before."""
    if before is not None and before.station.problem == station.problem:
        return Bank(station, before.plan)
    return Bank(station, quick_plan(station.problem, None if before is None else before.plan, steps, seed))


def usual_value(need: Need) -> float:
    """Value of a need that is not the plan's to move: pinned ones first, others if there is time."""
    return HELD if need.service.pinned else ASKED


def with_truck(row: PlannedService, bank: BankPlan | None) -> PlannedService:
    """A planned service with the truck and the times that its station's plan gives it."""
    found = None if bank is None else bank.assignment(f"{row.registration} {row.turn} {row.tank}")
    if found is None:
        return row
    return replace(row, truck=found.truck, start=to_datetime(found.start_min), end=to_datetime(found.end_min))
