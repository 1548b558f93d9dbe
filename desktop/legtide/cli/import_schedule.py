"""`legtide import SCHEDULE -o DAY`: a schedule as CSV, or the trade's schedule file, becomes a day file."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace
from datetime import date
from pathlib import Path

from legtide.cli.command import BAD_INPUT, DONE, WRONG_USAGE, Command, CommandError, emit, note, read_input, writing
from legtide.day.quoting import printable


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument(
        "schedule",
        metavar="SCHEDULE",
        type=Path,
        help="CSV with a header row: registration,flight,...; or a schedule file with records of 200 characters",
    )
    parser.add_argument("-o", "--output", metavar="DAY", type=Path, required=True, help="the day file to write")
    parser.add_argument(
        "--fit", metavar="ID", default="single-aisle-180", help="fit of aircraft that have none there"
    )
    parser.add_argument("--times", choices=("utc", "local"), default="utc", help="what a time without a zone means")
    parser.add_argument("--zones", metavar="FILE", type=Path, help="CSV with the stations' time zones: code,zone")
    parser.add_argument("--date", metavar="YYYY-MM-DD", type=_date, help="which day of a schedule file to take")
    parser.add_argument("--strict", action="store_true", help="refuse the file when one row cannot be taken")


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(f"{text} is not a date written like 2031-03-05") from None


def _run(options: Namespace) -> int:
    if options.output.exists() and options.schedule.exists() and options.output.samefile(options.schedule):
        raise CommandError(WRONG_USAGE, "the day file would take the place of the schedule: name another one with -o")
    data = read_input(options.schedule)
    listed = read_input(options.zones) if options.zones is not None else None
    from legtide.day.fits import UnknownFitError
    from legtide.files import day_file
    from legtide.files.csv_reader import TableError
    from legtide.files.schedule import Options, import_schedule
    from legtide.files.zones import Zones, read_zones

    source = options.schedule
    try:
        zones = Zones()
        if listed is not None:
            source = options.zones
            zones = read_zones(listed)
            source = options.schedule
        title = options.schedule.stem
        local = options.times == "local"
        imported = import_schedule(data, Options(options.fit, local, options.strict, zones, title, options.date))
    except UnknownFitError as error:
        raise CommandError(WRONG_USAGE, f"--fit: {error}") from None
    except TableError as error:
        raise CommandError(
            BAD_INPUT, "\n  ".join([f"{source} cannot be taken:", *map(str, error.problems)])
        ) from None
    for row in imported.rejected:
        note(f"rejected: {row.as_problem()}")
    for text in imported.notes:
        note(f"note: {text}")
    for finding in imported.cautions:
        note(printable(f"{finding.severity}: {finding.message}"))
    with writing(options.output):
        saved = day_file.save(imported.day, options.output)
    if saved.backup_note:
        note(f"note: {saved.backup_note}")
    day, rejected = imported.day, len({row.line for row in imported.rejected})
    counts = f"{len(day.legs)} legs of {len(day.aircraft)} aircraft"
    emit(printable(f"{options.output}: {counts}; rows rejected: {rejected}"))
    return DONE


COMMAND = Command("import", "turn a schedule (CSV or schedule file) into a day file", _add_arguments, _run)
