"""`legtide calls DAY -o FILE.ics`: the calls for services as a calendar with alarms."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from legtide.cli.command import BAD_INPUT, Command, CommandError, add_day, open_day, writing
from legtide.cli.pages import wants
from legtide.cli.project import exit_code
from legtide.cli.station import known_station
from legtide.day.quoting import printable


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("--aircraft", metavar="REG", help="this aircraft's services only")
    parser.add_argument("--station", metavar="STN", help="services at this station only")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the .ics file to write")


def _run(options: Namespace) -> int:
    wants(options.output, ".ics")
    day = open_day(options.day).day
    if options.station is not None:
        known_station(day, options.station)
    if options.aircraft is not None and all(row.registration != options.aircraft for row in day.aircraft):
        raise CommandError(BAD_INPUT, printable(f"--aircraft: {options.aircraft} is not in the day"))
    from datetime import UTC, datetime

    from legtide.engine.projection import project
    from legtide.files.atomic import replace_file
    from legtide.files.calls_calendar import calls_calendar

    projection = project(day)
    made = calls_calendar(projection, datetime.now(UTC), aircraft=options.aircraft, station=options.station)
    with writing(options.output):
        replace_file(options.output, made)
    return exit_code(projection.warnings)


COMMAND = Command("calls", "write the calls for services as a calendar (.ics) with alarms", _add_arguments, _run)
