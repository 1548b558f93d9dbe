"""`legtide plan DAY`: the cheapest services for rotations, or the runs of a station's trucks."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
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
    from legtide.day.document import Day


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("-o", "--output", metavar="OUT", type=Path, help="write the day with the plan to this file")
    parser.add_argument("--aircraft", metavar="REG", help="plan this aircraft only")
    parser.add_argument("--station", metavar="STN", help="plan this station's trucks")
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def _run(options: Namespace) -> int:
    if options.aircraft is not None and options.station is not None:
        raise CommandError(WRONG_USAGE, "--aircraft and --station are two different plans: ask for one of them")
    day = open_day(options.day).day
    if options.station is None:
        after, document, remarks = _rotations(day, options.aircraft)
    else:
        after, document, remarks = _station(day, options.station)
    if options.output is not None:
        from legtide.files import day_file

        with writing(options.output):
            day_file.save(after, options.output)
        note(printable(f"note: {options.output} holds the day with this plan"))
    if options.json:
        emit_json(document)
    else:
        emit("\n".join(_page(document, remarks)))
    from legtide.engine.projection import project

    return exit_code(project(after).warnings)


def _rotations(day: Day, registration: str | None) -> tuple[Day, dict[str, Any], list[str]]:
    from legtide.plan.rotation.proposal import apply_proposal, propose
    from legtide.plan.rotation.records import PlanError
    from legtide.plan.rotation.report import plan_document

    try:
        proposal = propose(day, None if registration is None else [registration])
    except PlanError as error:
        raise CommandError(BAD_INPUT, printable(str(error))) from None
    return apply_proposal(day, proposal), plan_document(proposal), [p.binding for p in proposal.plans if p.binding]


def _station(day: Day, code: str) -> tuple[Day, dict[str, Any], list[str]]:
    known_station(day, code)
    from legtide.plan.station import plan_station, station_rows

    plan = plan_station(day, code)
    return plan.day, station_rows(plan), []


_HEADER = ("aircraft", "station", "service", "start", "end", "truck", "turn", "target")


def _page(document: dict[str, Any], remarks: list[str]) -> list[str]:
    from datetime import datetime

    from legtide.engine.warnings import percent_text

    def at(text: str | None) -> str:
        return "" if text is None else clock(datetime.fromisoformat(text))

    rows = [
        (
            row["registration"],
            row["station"],
            "fill" if row["tank"] == "fresh" else "drain",
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
    out += lines(_HEADER, rows, left=6) if rows else ["no service is needed"]
    for row in document["unserved"]:
        word = "fill" if row["tank"] == "fresh" else "drain"
        out.append(
            f"not served: {row['registration']} {word} at {row['station']}, turn {row['turn']}: {row['reason']}"
        )
    return [printable(line) for line in [*out, *remarks]]


COMMAND = Command("plan", "propose services for rotations, or runs for a station's trucks", _add_arguments, _run)
