"""`legtide tables DAY -o FILE`: plan, levels and warnings for a spreadsheet."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from legtide.cli.command import WRONG_USAGE, Command, CommandError, add_day, open_day, writing
from legtide.cli.pages import wants
from legtide.cli.project import exit_code

_NAMES = ("plan", "levels", "warnings")


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument(
        "--table", choices=_NAMES, action="append", help="which one; may be given again; all of them without it"
    )
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        type=Path,
        required=True,
        help="ends in .csv (one table) or .xlsx (a sheet for each)",
    )


def _run(options: Namespace) -> int:
    suffix = wants(options.output, ".csv", ".xlsx")
    names = list(dict.fromkeys(options.table or _NAMES))
    if suffix == ".csv" and len(names) > 1:
        raise CommandError(WRONG_USAGE, f"--table: a .csv file holds one table: name one of {', '.join(names)}")
    day = open_day(options.day).day
    from legtide.engine.projection import project
    from legtide.files.atomic import replace_file
    from legtide.files.tables import TABLES, csv_bytes, workbook_bytes

    projection = project(day)
    tables = [TABLES[name](projection) for name in names]
    with writing(options.output):
        replace_file(options.output, csv_bytes(tables[0]) if suffix == ".csv" else workbook_bytes(tables))
    return exit_code(projection.warnings)


COMMAND = Command("tables", "write plan, levels and warnings as .csv or .xlsx", _add_arguments, _run)
