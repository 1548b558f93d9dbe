"""`legtide runs DAY --station STN -o FILE.pdf|.csv`: what each truck does, in order, on paper or as a table."""

from __future__ import annotations

import csv
import io
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from legtide.cli.command import BAD_INPUT, DONE, Command, CommandError, add_day, emit, note, open_day, writing
from legtide.cli.pages import add_language, add_paper, painted_in, pdf_possible, wants
from legtide.cli.station import known_station
from legtide.day.quoting import printable

if TYPE_CHECKING:
    from legtide.day.document import Day
    from legtide.plan.station import StationRuns


_NAMES: Final = (
    *("truck", "what", "start", "end", "from", "to", "registration", "tank", "target_percent", "litres"),
    *("window_start", "window_end", "remark"),
)


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("--station", metavar="STN", required=True, help="the station whose trucks are meant")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="ends in .pdf or .csv")
    add_paper(parser)
    add_language(parser)


def _run(options: Namespace) -> int:
    suffix = wants(options.output, ".pdf", ".csv")
    day = open_day(options.day).day
    known_station(day, options.station)
    if suffix == ".pdf":
        pdf_possible()
    from legtide.files.atomic import replace_file
    from legtide.plan.station import run_rows, runs_at

    found = runs_at(day, options.station)
    for text in _remarks(found):
        note(printable(f"note: {text}"))
    rows = run_rows(found)
    with writing(options.output):
        replace_file(options.output, table(rows) if suffix == ".csv" else _pdf(day, options))
    emit(printable(f"{options.output}: {len(rows)} lines for the trucks at {options.station}"))
    return DONE


def _pdf(day: Day, options: Namespace) -> bytes:
    from datetime import UTC, datetime

    from legtide.brief.content import origin_of
    from legtide.brief.paper import pdf_bytes
    from legtide.brief.run_pages import run_pages
    from legtide.brief.runs import run_sheets
    from legtide.plan.station import runs_at

    with painted_in(options.language):
        # Once more: its reasons are sentences, and those that the command prints are English.
        found = runs_at(day, options.station)
        sheets = run_sheets(found, origin_of(day, options.day.name, datetime.now(UTC)))
        pages = run_pages(sheets, options.paper)
        if pages:
            return pdf_bytes(pages, f"Run sheets {options.station} {day.date.isoformat()}")
    raise CommandError(BAD_INPUT, printable(f"--station: no truck at {options.station} has a service to do"))


def _remarks(found: StationRuns) -> list[str]:
    """What on the sheets cannot be worked as the day has it, what is on none of them, and what is not in the day."""
    out = [f"{found.needs[key].id}: {why}" for key, why in found.troubles.items()]
    out += [f"{need.id}: {why}" for need, why in found.left_out]
    if found.found_trucks:
        words = "services had no truck and were given one; `legtide plan --station` with -o keeps that"
        out.append(f"{found.found_trucks} {words}")
    return out


def table(rows: list[dict[str, str]]) -> bytes:
    """The rows as CSV in UTF-8; text that a spreadsheet would run as a formula is made harmless."""
    from legtide.files.cells import neutralised

    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, _NAMES)
    writer.writeheader()
    writer.writerows({name: neutralised(value) for name, value in row.items()} for row in rows)
    return out.getvalue().encode()


COMMAND = Command("runs", "write the run of each truck of a station as .pdf or .csv", _add_arguments, _run)
