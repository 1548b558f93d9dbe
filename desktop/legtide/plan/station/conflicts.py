"""What in a day's own truck assignments cannot be worked: for the board while a service is dragged."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from legtide.day.document import Day
from legtide.day.rotations import stations
from legtide.engine.truck_run import Piece, TruckRun, breaks_of, station_runs
from legtide.engine.types import Projection, to_datetime, to_minutes
from legtide.language import tr
from legtide.plan.station.needs import Need, planned_needs

_EPS = 1e-6


@dataclass(frozen=True, slots=True)
class Conflict:
    """A service that its truck cannot work at the time at which the day has it."""

    service_id: str
    truck: str
    text: str


def station_conflicts(day: Day, projection: Projection, station: str) -> tuple[Conflict, ...]:
    """Every service with a truck and a start that cannot be worked as it stands, in the order of starts.

    Services are taken as they come: of two that clash the later one is named. No search and no projection: some
    milliseconds for a large bank. Raises KeyError for a station that the day does not list.
    """
    return tuple(_conflict(need, why) for need, why in station_troubles(day, projection, station))


def station_troubles(day: Day, projection: Projection, station: str) -> tuple[tuple[Need, str], ...]:
    """The same services, each with the reason alone."""
    place = stations(day)[station]
    runs = station_runs(place, projection.aircraft.values())
    pieces = {piece.service: (run, piece) for run in runs for piece in run.services}
    trucks = {truck.id: truck.tank for truck in place.trucks}
    needs = planned_needs(day, projection, station)
    mates = _mates(pieces.values(), needs)
    out = []
    for need in needs:
        row = need.service
        if row.truck is None or row.start is None or row.state == "done":
            continue
        if trucks.get(row.truck) != row.tank:
            out.append((need, tr("it is no truck of the station for this tank")))
        elif row.id in pieces:
            run, piece = pieces[row.id]
            why = _why(need, run, piece, mates.get(row.id))
            if why:
                out.append((need, why))
    return tuple(sorted(out, key=lambda row: _when(row[0])))


def _mates(pieces: Iterable[tuple[TruckRun, Piece]], needs: Iterable[Need]) -> dict[str, Piece]:
    """Service -> the aircraft's other service in the same turn."""
    found = {piece.service: piece for _, piece in pieces}
    turns: dict[tuple[str, int], list[str]] = {}
    for need in needs:
        if need.service.id in found:
            turns.setdefault((need.service.aircraft, need.service.turn), []).append(need.service.id)
    pairs = [(a, b) for ids in turns.values() for a in ids for b in ids if a != b]
    return {a: found[b] for a, b in pairs}


def _why(need: Need, run: TruckRun, piece: Piece, mate: Piece | None) -> str:
    """Why a service cannot be worked as it stands; empty where it can."""
    opens, closes = need.window
    if piece.start < opens - _EPS or piece.end > closes + _EPS:
        return tr("the time lies outside the service's window in the turn")
    if (
        mate is not None
        and (mate.start, mate.service) < (piece.start, piece.service)
        and mate.end > piece.start + _EPS
    ):
        return tr("the aircraft's other service is in the way")
    return piece_trouble(run, piece)


def _when(need: Need) -> tuple[float, str]:
    start = need.service.start
    return (0.0 if start is None else to_minutes(start), need.id)


def _conflict(need: Need, why: str) -> Conflict:
    row = need.service
    at = "" if row.start is None else tr(" at {time:%H:%M}").format(time=to_datetime(to_minutes(row.start)))
    return Conflict(
        row.id,
        row.truck or "",
        tr("Truck {truck} cannot serve {aircraft}{at}: {why}").format(
            truck=row.truck, aircraft=row.aircraft, at=at, why=why
        ),
    )


def piece_trouble(run: TruckRun, piece: Piece) -> str:
    """Why a truck cannot work a service as its run has it; empty where it can."""
    if piece.over_l > 0.0:
        if run.truck.tank == "fresh":
            return tr("its tank lacks {litres:.0f} L for it").format(litres=piece.over_l)
        return tr("its tank has no room for {litres:.0f} L of it").format(litres=piece.over_l)
    if piece.late_min > 0.0:
        return tr("it can be there {minutes:.0f} min later at the earliest").format(minutes=math.ceil(piece.late_min))
    if any(start < piece.end - _EPS and piece.start + _EPS < end for start, end in breaks_of(run.truck)):
        return tr("its crew has a break then")
    if run.back_min > _EPS and piece is run.services[-1]:
        return tr("its shift ends {minutes:.0f} min before it is back").format(minutes=math.ceil(run.back_min))
    return ""
