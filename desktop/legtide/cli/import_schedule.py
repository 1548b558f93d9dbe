"""`legtide import SCHEDULE -o DAY`: a schedule (CSV, a workbook, the trade's schedule file) becomes a day file."""

from __future__ import annotations

import csv
import io
import shlex
from argparse import ArgumentParser, ArgumentTypeError, Namespace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from legtide.cli.command import BAD_INPUT, DONE, WRONG_USAGE, Command, CommandError, emit, note, read_input, writing
from legtide.day.quoting import printable

if TYPE_CHECKING:
    from legtide.files.grids import ColumnsError


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument(
        "schedule",
        metavar="SCHEDULE",
        type=Path,
        help="CSV or a workbook (.xlsx, .ods) with a header row: registration,flight,from,to,std,sta,...; or a "
        "schedule file with records of 200 characters",
    )
    parser.add_argument("-o", "--output", metavar="DAY", type=Path, required=True, help="the day file to write")
    parser.add_argument(
        "--fit", metavar="ID", default="single-aisle-180", help="fit of aircraft that have none there"
    )
    parser.add_argument(
        "--times",
        choices=("utc", "local"),
        default="zoned",
        help="what a time without a zone is; such times are refused without it",
    )
    parser.add_argument(
        "--columns",
        metavar="FIELD=NAME,...",
        type=_columns,
        action="append",
        default=[],
        help='columns that are called otherwise, such as "registration=A/C,flight=FLT"; may be given again',
    )
    parser.add_argument("--sheet", metavar="NAME", default="", help="which sheet of a workbook to take")
    parser.add_argument("--zones", metavar="FILE", type=Path, help="CSV with the stations' time zones: code,zone")
    parser.add_argument(
        "--date",
        metavar="YYYY-MM-DD",
        type=_date,
        help="which day of a schedule file to take; or the date of times without one",
    )
    parser.add_argument("--strict", action="store_true", help="refuse the file when one row cannot be taken")


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(f"{text} is not a date written like 2031-03-05") from None


def _columns(text: str) -> dict[str, str]:
    from legtide.files.column_names import FIELDS

    found: dict[str, str] = {}
    for pair in next(csv.reader([text], skipinitialspace=True)):
        field, equals, name = pair.partition("=")
        field = field.strip().lower()
        if not equals or not name.strip():
            raise ArgumentTypeError(printable(f"{pair} is not written like registration=A/C"))
        if field not in FIELDS:
            raise ArgumentTypeError(printable(f"{field} is not one of {', '.join(FIELDS)}"))
        found[field] = name.strip()
    return found


def _run(options: Namespace) -> int:
    if options.output.exists() and options.schedule.exists() and options.output.samefile(options.schedule):
        raise CommandError(WRONG_USAGE, "the day file would take the place of the schedule: name another one with -o")
    data = read_input(options.schedule)
    listed = read_input(options.zones) if options.zones is not None else None
    from legtide.day.fits import UnknownFitError
    from legtide.files import day_file
    from legtide.files.grids import ColumnsError, TableError
    from legtide.files.schedule import Options, import_schedule
    from legtide.files.zones import Zones, read_zones

    source = options.schedule
    try:
        zones = Zones()
        if listed is not None:
            source = options.zones
            zones = read_zones(listed)
            source = options.schedule
        columns = {field: name for given in options.columns for field, name in given.items()}
        title, sheet = options.schedule.stem, options.sheet
        how = Options(
            options.fit, options.times, options.strict, zones, title, options.date, columns=columns, sheet=sheet
        )
        imported = import_schedule(data, how, options.schedule.name)
    except UnknownFitError as error:
        raise CommandError(WRONG_USAGE, f"--fit: {error}") from None
    except TableError as error:
        lines = [f"{source} cannot be taken:", *map(str, error.problems)]
        if isinstance(error, ColumnsError) and source == options.schedule:
            lines.append(_way_out(error, columns))
        raise CommandError(BAD_INPUT, "\n  ".join(lines)) from None
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


def _way_out(error: ColumnsError, given: dict[str, str]) -> str:
    """How the columns of a header can be named, with what is probably meant."""
    from legtide.files.column_names import guessed
    from legtide.files.schedule_rows import REQUIRED
    from legtide.files.schedule_source import sample

    found = {**guessed(error.grid.header, sample(error.grid)), **given}
    pairs = [f"{field}={found.get(field, '...')}" for field in REQUIRED if found.get(field, "").lower() != field]
    pairs += [f"{field}={name}" for field, name in found.items() if field not in REQUIRED and name.lower() != field]
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(pairs)
    text = out.getvalue()
    safe = shlex.quote(text) if '"' in text else f'"{text}"'
    return f"say which columns are meant: --columns {safe}"


COMMAND = Command("import", "turn a schedule (CSV, workbook or schedule file) into a day file", _add_arguments, _run)
