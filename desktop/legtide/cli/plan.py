"""`legtide plan DAY`: the cheapest services that the trucks can work, or the runs of one station's trucks."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from legtide.cli.command import (
    BAD_INPUT,
    WRONG_USAGE,
    Command,
    CommandError,
    add_day,
    emit,
    emit_json,
    note,
    open_day,
    writing,
)
from legtide.cli.project import clock, exit_code
from legtide.cli.station import known_station
from legtide.cli.table import lines
from legtide.day.quoting import printable

if TYPE_CHECKING:
    from collections.abc import Iterable

    from legtide.day.document import Day
    from legtide.plan.station import Move


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("-o", "--output", metavar="OUT", type=Path, help="write the day with the plan to this file")
    parser.add_argument("--aircraft", metavar="REG", help="plan this aircraft only, trucks left aside")
    parser.add_argument("--station", metavar="STN", help="plan this station's trucks only")
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def _run(options: Namespace) -> int:
    if options.aircraft is not None and options.station is not None:
        raise CommandError(WRONG_USAGE, "--aircraft and --station are two different plans: ask for one of them")
    day = open_day(options.day).day
    found = _rotations(day, options.aircraft) if options.station is None else _station(day, options.station)
    if options.output is not None:
        from legtide.files import day_file

        with writing(options.output):
            day_file.save(found.day, options.output)
        note(printable(f"note: {options.output} holds the day with this plan"))
    if options.json:
        emit_json(found.document)
    else:
        emit("\n".join(_page(found)))
    from legtide.engine.projection import project

    return exit_code(project(found.day).warnings)


@dataclass(frozen=True, slots=True)
class Found:
    """A plan, however it was made."""

    day: Day
    """The day with it."""
    document: dict[str, Any]
    remarks: list[str]
    objective: str = ""
    """Its figures in the order in which trucks' plans are compared."""


def _rotations(day: Day, registration: str | None) -> Found:
    """Rotations by themselves, or, for all of them where stations have trucks, together with the trucks."""
    from legtide.plan.rotation.proposal import apply_proposal, propose
    from legtide.plan.rotation.records import PlanError
    from legtide.plan.rotation.report import plan_document

    if registration is None and any(row.trucks for row in day.stations):
        return _network(day)
    try:
        proposal = propose(day, None if registration is None else [registration])
    except PlanError as error:
        raise CommandError(BAD_INPUT, printable(str(error))) from None
    remarks = [plan.binding for plan in proposal.plans if plan.binding]
    return Found(apply_proposal(day, proposal), plan_document(proposal), remarks)


def _network(day: Day) -> Found:
    from legtide.plan.network import plan_network
    from legtide.plan.network.rows import network_rows

    plan = plan_network(day)
    remarks = [*_moved(plan.moves), *(row.binding for row in plan.wanted if row.binding)]
    costs = plan.costs
    figures = _objective(plan.delay_min, f"risk {costs.risk:.0f}", costs.services, plan.truck_min)
    return Found(plan.day, network_rows(plan), remarks, f"{figures}, fuel {costs.fuel:.0f}")


def _station(day: Day, code: str) -> Found:
    known_station(day, code)
    from legtide.plan.network import relieved
    from legtide.plan.station import plan_station, station_rows

    plan = relieved(plan_station(day, code))
    figures = plan.result.plan.figures
    most = ", no plan avoids more" if plan.result.gap == 0.0 else ""
    told = _objective(figures.delay_min, f"risk avoided {figures.value:.0f}{most}", figures.cost, figures.truck_min)
    return Found(plan.day, station_rows(plan), _moved(plan.moves), told)


def _objective(delay_min: float, risk: str, services: float, truck_min: float) -> str:
    """The objective in its order."""
    return f"departures delayed {delay_min:.0f} min, {risk}, services {services:.0f}, trucks {truck_min:.0f} min"


def _moved(moves: Iterable[Move]) -> list[str]:
    return [
        f"moved: {move.registration} {_WORDS[move.tank]} at {move.wanted.station}, turn {move.wanted.turn}: {move}"
        for move in moves
        if move.instead
    ]


_WORDS = {"fresh": "fill", "waste": "drain"}
_HEADER = ("aircraft", "station", "service", "start", "end", "truck", "turn", "target")


def _page(found: Found) -> list[str]:
    from datetime import datetime

    from legtide.engine.warnings import percent_text

    document = found.document

    def at(text: str | None) -> str:
        return "" if text is None else clock(datetime.fromisoformat(text))

    rows = [
        (
            row["registration"],
            row["station"],
            _WORDS[row["tank"]],
            at(row["start"]),
            at(row["end"]),
            row["truck"] or "",
            str(row["turn"]),
            f"{row['target_percent']:g} %",
        )
        for row in document["services"]
    ]
    gap = f", no plan costs less than {document['bound']:.0f}"
    out = [f"{document['status'].replace('_', ' ')} plan, cost {document['cost']:.0f}{gap}"]
    out.append(f"largest risk on a leg: {percent_text(document['worst_risk'])}; times in UTC")
    out += [found.objective] if found.objective else []
    out += lines(_HEADER, rows, left=6) if rows else ["no service is needed"]
    for row in document["unserved"]:
        what = f"{row['registration']} {_WORDS[row['tank']]} at {row['station']}, turn {row['turn']}"
        out.append(f"not served: {what}: {row['reason']}")
    return [printable(line) for line in [*out, *found.remarks]]


COMMAND = Command("plan", "propose services for rotations, or runs for a station's trucks", _add_arguments, _run)
