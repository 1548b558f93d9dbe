"""A station's plan written into the day."""

from __future__ import annotations

from legtide.day.document import Day, Service
from legtide.day.edits import rebuilt, replace_services
from legtide.engine.types import to_datetime
from legtide.plan.bank.answer import BankPlan
from legtide.plan.station.bridge import StationProblem


def apply_station_plan(day: Day, station: StationProblem, plan: BankPlan) -> Day:
    """The day with truck, start and target of every service that the plan serves.

    Services that the plan leaves out stay planned without a truck, so that the board shows what is open; done, pinned
    and started ones are not touched; proposals that the plan serves are added.
    """
    rows = {need.service.id: need for need in station.needs.values() if need.service.id}
    requests = {request.id: request for request in station.problem.requests}
    out: list[Service] = []
    for row in day.services:
        need = rows.get(row.id)
        request = None if need is None else requests.get(need.id)
        if need is None or request is None or request.pin is not None:
            out.append(row)
            continue
        assignment = plan.assignment(need.id)
        if assignment is None:
            out.append(rebuilt(row, truck=None))
        else:
            target = need.ways[assignment.option].target_percent
            start = row.start if row.pinned else to_datetime(assignment.start_min)
            out.append(rebuilt(row, truck=assignment.truck, start=start, target_percent=target))
    for assignment in plan.assignments:
        need = station.needs[assignment.request]
        if not need.service.id:
            changes = {"truck": assignment.truck, "start": to_datetime(assignment.start_min)}
            target = need.ways[assignment.option].target_percent
            out.append(rebuilt(need.service, target_percent=target, **changes))
    return replace_services(day, out)
