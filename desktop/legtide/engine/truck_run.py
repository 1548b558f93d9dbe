"""What one truck does all day, derived from the day: drives, reloads, waits, breaks and services, without gaps.

Where trucks reload is not in the day. This is the one place that finds it: lanes, run sheets, tables and conflict
marks are all made of these runs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal
from weakref import WeakKeyDictionary

from legtide.day.document import Service, Station, Truck
from legtide.day.rotations import Same, minutes_at_aircraft, pump_minutes
from legtide.engine.driving import ELSEWHERE, base_of, driving
from legtide.engine.reload_choice import Call, Choice, Spans, choose_reloads, clear, latest_clear, steps
from legtide.engine.types import AircraftProjection, ServiceResult, to_minutes

PieceKind = Literal["drive", "reload", "wait", "break", "service"]
_EPS: Final = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Visit:
    """A service that a truck has been given, as the projection sees it; compared by identity."""

    service: Service
    station: str
    place: str
    start: float
    """Minutes since 1970."""
    litres: float
    connect_min: float
    pump_min: float
    """At the aircraft's own pace."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One stretch of a truck's day."""

    kind: PieceKind
    start: float
    """Minutes since 1970."""
    end: float
    origin: str
    destination: str
    service: str = ""
    """Id of the service."""
    aircraft: str = ""
    litres: float = 0.0
    """What a service takes from the truck's tank or brings into it."""
    late_min: float = 0.0
    """Minutes after the start of a service at which the truck is there at the earliest."""
    over_l: float = 0.0
    """Litres of a service that the truck's tank does not have, or has no room for."""


@dataclass(frozen=True, slots=True)
class TruckRun:
    """One truck's day.

    Services stand where the day has them. Each piece begins where the one before ends; only where a truck is late for
    a service or has two at once do they overlap, by as much as there is too little time.
    """

    truck: Truck
    pieces: tuple[Piece, ...]
    back_min: float = 0.0
    """Minutes that it is home after the end of its shift."""

    @property
    def services(self) -> tuple[Piece, ...]:
        """The services among the pieces."""
        return tuple(piece for piece in self.pieces if piece.kind == "service")


def mean_litres(result: ServiceResult) -> float:
    """Litres to expect of a service: the mean uplift of a fill, the mean waste drained."""
    return max(0.0, result.volume.mean)


def station_runs(station: Station, projections: Iterable[AircraftProjection]) -> tuple[TruckRun, ...]:
    """The runs of a station's trucks, in their order; the same objects as long as nothing of them changes."""
    given: dict[str, list[Visit]] = {}
    for projection in projections:
        for visit in visits(projection):
            if visit.station == station.code and visit.service.truck is not None:
                given.setdefault(visit.service.truck, []).append(visit)
    same = Same(station)
    return tuple(_run(same, Same(truck), tuple(given.get(truck.id, ()))) for truck in station.trucks)


_visits: Final = WeakKeyDictionary[AircraftProjection, tuple[Visit, ...]]()


def visits(projection: AircraftProjection) -> tuple[Visit, ...]:
    """What trucks have to do at one aircraft; the same objects as long as the projection is the same."""
    known = _visits.get(projection)
    if known is None:
        rows = (_visit(projection, result) for result in projection.services)
        known = _visits[projection] = tuple(row for row in rows if row is not None)
    return known


def _visit(projection: AircraftProjection, result: ServiceResult) -> Visit | None:
    service, rotation = result.service, projection.rotation
    if result.start is None or service.truck is None or service.state not in ("planned", "done"):
        return None
    place = rotation.turns[service.turn].stand or ELSEWHERE
    litres = mean_litres(result)
    pump = pump_minutes(rotation.fit, service, litres)
    connect = rotation.fit.connect_min.value
    return Visit(service, result.station, place, to_minutes(result.start), litres, connect, pump)


@lru_cache(maxsize=1024)
def _run(station: Same[Station], truck: Same[Truck], given: tuple[Visit, ...]) -> TruckRun:
    return truck_run(station.it, truck.it, given)


def truck_run(station: Station, truck: Truck, given: Iterable[Visit]) -> TruckRun:
    """One truck's day: its services as the day has them, and what it does between them.

    Reloads are chosen by `choose_reloads`. A reload is made as soon as the truck is free, the last drive to a service
    put off until it is due, so that a truck waits where it is and not at an empty stand; after its last service it
    drives home. Without a shift it sets out when it has to.
    """
    rows = sorted(given, key=lambda row: (row.start, row.service.id))
    calls = [_call(truck, row) for row in rows]
    breaks = breaks_of(truck)
    base = base_of(station, truck)
    free = -math.inf if truck.shift is None else to_minutes(truck.shift.start)
    ways = driving(station)
    tank = (truck.capacity_l, used_at_start(truck))
    log = _Log(base, free, breaks)
    for row, call, choice in zip(
        rows, calls, choose_reloads(ways, ways.points[truck.tank], breaks, (base, free), tank, calls), strict=True
    ):
        log.come(steps(ways, log.place, call.place, choice.point, choice.used_l), call, choice)
        log.serve(row, call, choice)
    if rows:
        log.home(ways.minutes(log.place, base), base)
    late = 0.0 if truck.shift is None or not rows else max(0.0, log.t - to_minutes(truck.shift.end))
    log.until(max((end for _, end in breaks), default=log.t))
    return TruckRun(truck, tuple(sorted(log.pieces, key=lambda piece: (piece.start, piece.end))), late)


def used_at_start(truck: Truck) -> float:
    """Litres of its tank that are used up when its day begins: water gone, or waste aboard."""
    aboard = truck.aboard_l
    if aboard is None:
        return 0.0
    aboard = min(aboard, truck.capacity_l)
    return truck.capacity_l - aboard if truck.tank == "fresh" else aboard


def _call(truck: Truck, row: Visit) -> Call:
    end = row.start + minutes_at_aircraft(truck, row.connect_min, row.pump_min, row.litres)
    litres = row.litres if row.service.tank == truck.tank else 0.0
    return Call(row.place, row.start, end, litres, row.service.state == "done")


def breaks_of(truck: Truck) -> Spans:
    """Its breaks in order; those that touch are one."""
    out: list[tuple[float, float]] = []
    for start, end in sorted((to_minutes(span.start), to_minutes(span.end)) for span in truck.breaks):
        if out and start <= out[-1][1]:
            out[-1] = (out[-1][0], max(end, out[-1][1]))
        else:
            out.append((start, end))
    return tuple(out)


class _Log:
    """The pieces of one run, put together in the order of time."""

    def __init__(self, place: str, free: float, breaks: Spans) -> None:
        self.place, self.t, self.breaks = place, free, breaks
        self.pieces: list[Piece] = []
        self.served = -math.inf
        """When the last service so far ends."""

    def until(self, moment: float) -> None:
        """Waits, and has its breaks."""
        if self.t == -math.inf:
            self.t = min([moment, *(start for start, _ in self.breaks)])
        for start, end in self.breaks:
            if self.t < end and start < moment:
                self._still("wait", start)
                self._still("break", min(end, moment))
        self._still("wait", moment)

    def _still(self, kind: PieceKind, end: float) -> None:
        if end > self.t + _EPS:
            self.pieces.append(Piece(kind, self.t, end, self.place, self.place))
            self.t = end

    def come(self, minutes: tuple[float, ...], call: Call, choice: Choice) -> None:
        """From where it is to a service, by way of a reload where one was chosen."""
        begins = self._begins(minutes, call.start)
        stops = (call.place,) if choice.point is None else (choice.point.place, choice.point.place, call.place)
        for number, (begin, needed, stop) in enumerate(zip(begins, minutes, stops, strict=True)):
            self._do("reload" if number == 1 else "drive", begin, needed, stop)

    def _begins(self, minutes: tuple[float, ...], due: float) -> list[float]:
        """When each step begins: as early as can be, the last one as late as can be; without a shift all of them."""
        latest, t = [], due
        for needed in reversed(minutes):
            t = latest_clear(self.breaks, t - needed, needed)
            latest.append(t)
        latest.reverse()
        if self.t == -math.inf:
            return latest
        earliest, t = [], self.t
        for needed in minutes:
            t = clear(self.breaks, t, needed)
            earliest.append(t)
            t += needed
        return [*earliest[:-1], max(earliest[-1], latest[-1])]

    def _do(self, kind: PieceKind, begin: float, minutes: float, stop: str) -> None:
        if minutes > _EPS:
            self.until(begin)
            self.pieces.append(Piece(kind, begin, begin + minutes, self.place, stop))
            self.t = begin + minutes
        self.place = stop

    def serve(self, row: Visit, call: Call, choice: Choice) -> None:
        """The service, where the day has it."""
        self.until(call.start)
        service = row.service
        stand, trouble = call.place, (choice.late_min, choice.over_l)
        self.pieces.append(
            Piece("service", call.start, call.end, stand, stand, service.id, service.aircraft, row.litres, *trouble)
        )
        self.place = stand
        self.t = self.served = max(self.served, call.end)

    def home(self, minutes: float, base: str) -> None:
        """Back to where it started."""
        self._do("drive", clear(self.breaks, self.t, minutes), minutes, base)
