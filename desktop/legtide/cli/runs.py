"""`legtide runs DAY --station STN -o FILE.csv`: what each truck does, in order."""

from __future__ import annotations

import csv
import io
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from legtide.cli.command import DONE, WRONG_USAGE, Command, CommandError, add_day, emit, note, open_day, writing
from legtide.cli.station import known_station
from legtide.day.quoting import printable

if TYPE_CHECKING:
    from legtide.plan.bank.replan import Change


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("--station", metavar="STN", required=True, help="the station whose trucks are meant")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the .csv file to write")


def _run(options: Namespace) -> int:
    if options.output.suffix.lower() != ".csv":
        raise CommandError(WRONG_USAGE, f"-o: {options.output.name} does not end in .csv")
    day = open_day(options.day).day
    known_station(day, options.station)
    from legtide.files.atomic import replace_file
    from legtide.plan.station import replan_station, run_rows
    from legtide.plan.stop import AfterIterations

    # The sheet shows the day's own plan: nothing is searched for that would be better.
    plan = replan_station(day, options.station, stop=AfterIterations(0))
    for text in _remarks(plan.changes):
        note(printable(f"note: {text}"))
    rows = run_rows(plan)
    with writing(options.output):
        replace_file(options.output, table(rows))
    emit(printable(f"{options.output}: {len(rows)} lines for the trucks at {options.station}"))
    return DONE


def _remarks(changes: tuple[Change, ...]) -> list[str]:
    """How the sheet differs from the day: what had no truck, and what could not be worked as the day has it."""
    new = sum(row.kind == "new" for row in changes)
    out = [f"{row.request}: {row.why}" for row in changes if row.kind != "new"]
    if new:
        out.append(f"{new} services had no truck and were given one; `legtide plan --station` with -o keeps that")
    return out


def table(rows: list[dict[str, str]]) -> bytes:
    """The rows as CSV in UTF-8; text that a spreadsheet would run as a formula is made harmless."""
    from legtide.files.cells import neutralised

    out = io.StringIO(newline="")
    names = ("truck", "what", "start", "end", "from", "to", "registration", "tank", "target_percent", "litres")
    writer = csv.DictWriter(out, names)
    writer.writeheader()
    writer.writerows({name: neutralised(value) for name, value in row.items()} for row in rows)
    return out.getvalue().encode()


COMMAND = Command("runs", "write the run of each truck of a station as a table", _add_arguments, _run)
