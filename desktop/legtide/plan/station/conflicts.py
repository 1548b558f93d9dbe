"""What in a day's own truck assignments cannot be worked: for the board while a service is dragged."""

from __future__ import annotations

from dataclasses import dataclass, replace

from legtide.day.document import Day
from legtide.day.rotations import stations
from legtide.engine.types import Projection, to_datetime, to_minutes
from legtide.language import tr
from legtide.plan.bank.first import pinned_routes
from legtide.plan.bank.problem import Pin, Request
from legtide.plan.bank.ticks import Core
from legtide.plan.station.bridge import bank_of
from legtide.plan.station.needs import Need, planned_needs


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
    found = bank_of(day, stations(day)[station], planned_needs(day, projection, station))
    trucks = {vehicle.id: vehicle.tank for vehicle in found.problem.vehicles}
    rows, wrong = [], []
    for request in found.problem.requests:
        row = found.needs[request.id].service
        if row.truck is None or row.start is None or row.state == "done":
            rows.append(request)
        elif trucks.get(row.truck) != row.tank:
            wrong.append(request.id)
        else:
            rows.append(replace(request, pin=Pin(row.truck, to_minutes(row.start))))
    core = Core(replace(found.problem, requests=tuple(rows)))
    routes = pinned_routes(core)
    left = [core.requests[r] for r, v in enumerate(routes.vehicle) if v < 0 and core.pinned[r]]
    out = [(found.needs[name], tr("it is no truck of the station for this tank")) for name in wrong]
    out += [(found.needs[request.id], _why(core, request)) for request in left]
    return tuple(_conflict(need, why) for need, why in sorted(out, key=lambda row: _when(row[0])))


def _why(core: Core, request: Request) -> str:
    if request.id in core.broken:
        return tr("the time lies outside the service's window in the turn")
    return tr("it cannot be there then, or the aircraft's other service is in the way")


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
