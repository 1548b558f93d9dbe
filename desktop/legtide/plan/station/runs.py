"""What the trucks of a station do in a day, as run sheets and the table of `legtide runs` tell it.

The runs are those that the board's lanes show (`engine.truck_run`): the day's own services with their trucks and
starts. Only where the day gives no service of the station a truck are trucks found for them first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from legtide.day.document import Day
from legtide.day.rotations import stations
from legtide.engine.projection import project
from legtide.engine.truck_run import Piece, TruckRun, station_runs
from legtide.engine.types import Projection, to_datetime, utc_text
from legtide.language import tr
from legtide.plan.station.conflicts import station_troubles
from legtide.plan.station.needs import Need, planned_needs
from legtide.plan.station.planning import replan_station
from legtide.plan.stop import AfterIterations

_LEAST_WAIT_MIN = 0.5
"""Shorter waits are not worth a line."""


@dataclass(frozen=True, slots=True)
class StationRuns:
    """The runs of a station's trucks, and what is on none of them."""

    day: Day
    station: str
    runs: tuple[TruckRun, ...]
    needs: Mapping[str, Need]
    """Service id -> the service, for all that the day wants at the station."""
    troubles: Mapping[str, str]
    """Service id -> why its truck cannot work it as it stands."""
    left_out: tuple[tuple[Need, str], ...]
    """Services that are on no truck's run, each with its reason."""
    found_trucks: int = 0
    """How many services had no truck in the day that was asked for, and were given one."""


def runs_at(day: Day, station: str) -> StationRuns:
    """The runs of a station's trucks. Raises KeyError for a station that the day does not list."""
    projection = project(day)
    shown = _runs_in(day, projection, station)
    if not shown.left_out:
        return shown
    # The day's own plan: nothing is searched for that would be better.
    plan = replan_station(day, station, projection=projection, stop=AfterIterations(0))
    needs = plan.station.needs
    reasons = {needs[row.request].service.id: row.text for row in plan.result.plan.unserved}
    if any(run.services for run in shown.runs):
        return _with_reasons(shown, reasons)
    new = sum(row.kind == "new" for row in plan.changes)
    return replace(_with_reasons(_runs_in(plan.day, project(plan.day), station), reasons), found_trucks=new)


def _with_reasons(found: StationRuns, reasons: Mapping[str, str]) -> StationRuns:
    left = tuple((need, reasons.get(need.service.id, why)) for need, why in found.left_out)
    return replace(found, left_out=left)


def _runs_in(day: Day, projection: Projection, station: str) -> StationRuns:
    runs = station_runs(stations(day)[station], projection.aircraft.values())
    needs = {need.service.id: need for need in planned_needs(day, projection, station)}
    served = {piece.service for run in runs for piece in run.services}
    left = [row for key, row in needs.items() if key not in served and row.service.state == "planned"]
    troubles = {need.service.id: why for need, why in station_troubles(day, projection, station)}
    return StationRuns(day, station, runs, needs, troubles, tuple((row, tr("no truck yet")) for row in left))


def run_rows(found: StationRuns) -> list[dict[str, str]]:
    """One row per piece of each truck's run, in order: what a run sheet lists."""
    return [
        _row(found, run, piece)
        for run in found.runs
        if run.services
        for piece in run.pieces
        if piece.kind != "wait" or piece.end - piece.start >= _LEAST_WAIT_MIN
    ]


def _row(found: StationRuns, run: TruckRun, piece: Piece) -> dict[str, str]:
    need, served = found.needs.get(piece.service), piece.kind == "service"
    remarks = ("" if need is None else need.service.remark, found.troubles.get(piece.service, ""))
    return {
        "truck": run.truck.id,
        "what": piece.kind,
        "start": _utc(piece.start),
        "end": _utc(piece.end),
        "from": piece.origin,
        "to": piece.destination,
        "registration": piece.aircraft,
        "tank": "" if need is None else need.service.tank,
        "target_percent": "" if need is None else f"{need.service.target:g}",
        "litres": f"{piece.litres:.0f}" if served else "",
        "window_start": "" if need is None else _utc(need.window[0]),
        "window_end": "" if need is None else _utc(need.window[1]),
        "remark": "; ".join(filter(None, remarks)),
    }


def _utc(minutes: float) -> str:
    return utc_text(to_datetime(minutes))
