"""`legtide project DAY`: both tanks over every leg, and the warnings."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from legtide.cli.command import BREACH, DONE, Command, add_day, emit, emit_json, open_day
from legtide.cli.table import lines
from legtide.day.quoting import printable

if TYPE_CHECKING:
    from legtide.engine.types import AircraftProjection, Caution, Projection, ServiceResult, Spread


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def _run(options: Namespace) -> int:
    day = open_day(options.day).day
    from legtide.engine.projection import project
    from legtide.files.reports import projection_document

    projection = project(day)
    if options.json:
        emit_json(projection_document(projection))
    else:
        emit("\n".join(_page(projection)))
    return exit_code(projection.warnings)


def exit_code(warnings: Iterable[Caution]) -> int:
    """1 when a warning is a breach, else 0."""
    return BREACH if any(row.severity == "breach" for row in warnings) else DONE


def _page(projection: Projection) -> list[str]:
    day = projection.day
    out = [printable(f"{day.title or 'Day'}, {day.date:%Y-%m-%d}, times in UTC, levels in L: median (5-95 %)"), ""]
    for aircraft in projection.aircraft.values():
        out += [*_aircraft(aircraft), ""]
    return [*out, *warning_lines(projection.warnings)]


_HEADER = (
    "  flight", "from", "to", "off", "on", "pax",
    "fresh off", "fresh on", "waste off", "waste on", "water kg", "risk fresh", "risk waste",
)  # fmt: skip


def _aircraft(aircraft: AircraftProjection) -> list[str]:
    from legtide.day.rotations import off_blocks, on_blocks
    from legtide.engine.warnings import percent_text

    rotation = aircraft.rotation
    rows = []
    for result in aircraft.legs:
        leg = rotation.legs[result.index]
        rows.append(
            (
                f"  {leg.flight}",
                leg.origin,
                leg.destination,
                clock(off_blocks(leg)),
                clock(on_blocks(leg)),
                str(leg.passengers),
                _level(result.fresh_departure),
                _level(result.fresh_arrival),
                _level(result.waste_departure),
                _level(result.waste_arrival),
                f"{result.water_mass_kg:.0f}",
                percent_text(result.risk_fresh_below_reserve),
                percent_text(result.risk_waste_over_limit),
            )
        )
    name = printable(f"{rotation.registration}  {rotation.fit.name or rotation.fit.id}")
    body = lines(_HEADER, rows, left=3) if rows else ["  no legs"]
    return [name, *body, *(f"  {_service(row)}" for row in aircraft.services)]


def clock(moment: datetime) -> str:
    """A time of day in UTC."""
    return f"{moment:%H:%M}"


def _level(spread: Spread) -> str:
    return f"{spread.p50:.0f} ({spread.p05:.0f}-{spread.p95:.0f})"


def _service(result: ServiceResult) -> str:
    service = result.service
    what = "fill to" if service.tank == "fresh" else "drain to"
    when = f" {clock(result.start)}" if result.start is not None else ""
    volume = f"{result.volume.mean:.0f} L ({result.volume.p05:.0f}-{result.volume.p95:.0f})"
    truck = f", truck {service.truck}" if service.truck else ""
    where = f"at {result.station}{when}, turn {service.turn}"
    return printable(f"{what} {service.target:g} % {where}, {service.state}: {volume}{truck}")


def warning_lines(warnings: Iterable[Caution]) -> list[str]:
    """The warnings as lines of text, each with its way out below it."""
    out = []
    for row in warnings:
        out.append(printable(f"{row.severity}: {row.aircraft}{': ' if row.aircraft else ''}{row.message}"))
        if row.remedy is not None:
            out.append(printable(f"    {row.remedy.text}"))
    return out or ["no warnings"]


COMMAND = Command("project", "project both tanks over every leg; list the warnings", _add_arguments, _run)
