"""`legtide play DAY`: a sampled day without a window, and a score for the calls in a file."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from legtide.cli.command import (
    BAD_INPUT,
    BREACH,
    DONE,
    Command,
    CommandError,
    add_day,
    emit,
    emit_json,
    open_day,
    read_input,
    writing,
)
from legtide.cli.pages import wants
from legtide.cli.project import clock
from legtide.cli.table import lines
from legtide.day.quoting import printable

if TYPE_CHECKING:
    from legtide.play.aftermath import Aftermath
    from legtide.play.rounds import Event, Round
    from legtide.play.scoring import Line, Score


def _number(least: int, most: int) -> object:
    def read(text: str) -> int:
        try:
            value = int(text)
        except ValueError:
            value = least - 1
        if not least <= value <= most:
            raise ArgumentTypeError(f"{text!r} is not a whole number from {least} to {most}")
        return value

    return read


def _moment(text: str) -> datetime:
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        found = None
    if found is None or found.tzinfo is None:
        raise ArgumentTypeError(f"{text!r} is not a time with its zone, such as 2031-03-05T06:10Z")
    return found.astimezone(UTC)


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("--seed", type=_number(0, 2**31), default=1, help="which day is sampled (1)")  # type: ignore[arg-type]
    parser.add_argument(
        "--calls", metavar="FILE", type=Path, help="a group's calls (JSON); the plan alone without it"
    )
    parser.add_argument("--from", dest="begin", metavar="TIME", type=_moment, help="when the round begins")
    parser.add_argument(
        "--days",
        type=_number(100, 20_000),  # type: ignore[arg-type]
        default=1000,
        help="sampled days to average over (1000)",
    )
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, help="write the score as .csv or .xlsx")
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def _run(options: Namespace) -> int:
    suffix = "" if options.output is None else wants(options.output, ".csv", ".xlsx")
    day = open_day(options.day).day
    from legtide.play.calls import CallError
    from legtide.play.calls_file import CallsFileError, calls_of, read_calls
    from legtide.play.report import play_document
    from legtide.play.rounds import begin_round, played
    from legtide.play.scoring import score

    try:
        start = begin_round(day, options.seed, options.begin)
        found = None if options.calls is None else read_calls(read_input(options.calls))
        log = () if found is None else calls_of(found, start)
        end = played(start, log)
        made = score(start, log, group=found.group if found is not None else "", days=options.days)
    except (CallError, CallsFileError) as error:
        where = f"{options.calls}: " if options.calls is not None else ""
        raise CommandError(BAD_INPUT, printable(f"{where}{error}")) from None
    if options.output is not None:
        _write(options.output, suffix, made)
    if options.json:
        emit_json(play_document(end, made))
    else:
        emit("\n".join(_page(end, made)))
    return BREACH if made.group.breaches else DONE


def _write(path: Path, suffix: str, made: Score) -> None:
    from legtide.files.atomic import replace_file
    from legtide.files.tables import csv_bytes, workbook_bytes
    from legtide.play.report import score_table

    table = score_table([made])
    with writing(path):
        replace_file(path, csv_bytes(table) if suffix == ".csv" else workbook_bytes([table]))


_HEADER = (
    "player", "services", "breaches", "came out", "risk", "risked", "average", "+-", "over best", "+-", "luck",
)  # fmt: skip
_WORDS = {
    "best": "best plan, same readings",
    "plan": "the day's plan",
    "never": "never a service",
    "always": "always both services",
    "hindsight": "hindsight",
}
_EVENTS = {"done": "done", "missed": "did not take place", "read": "read", "dry": "ran dry", "full": "filled up"}
_BLEMISHES = {"left": "left out", "missed": "missed", "partial": "done in part", "late": "late"}


def _page(end: Round, made: Score) -> list[str]:
    head = f"{end.source.title or 'Day'}, seed {end.seed}, from {clock(end.begin)} to {clock(end.end)}, times in UTC"
    rows = [_row(made.group, made.group.player or "these calls")]
    rows += [_row(line, _WORDS[line.player]) for line in made.references]
    out = [head, "", *lines(_HEADER, rows, left=1), ""]
    out.append(f"averages over {made.days} days that read the same; costs in price units; +- is one standard error")
    out += [f"Brier score of the projection's risks at departure: {made.brier:.4f}", ""]
    out += [_event(row) for row in end.events if row.kind != "done"]
    from legtide.play.aftermath import aftermaths

    for row in aftermaths(end):
        out += _aftermath(row)
    return [printable(line) for line in out]


def _row(line: Line, name: str) -> tuple[str, ...]:
    def count(value: int | None) -> str:
        return "" if value is None else str(value)

    return (
        printable(name),
        count(line.services),
        count(line.breaches),
        f"{line.came_out:.0f}",
        "" if line.risk is None else f"{line.risk:.2f}",
        "" if line.risked is None else f"{line.risked:.0f}",
        f"{line.average.mean:.0f}",
        f"{line.average.error:.0f}",
        f"{line.over_best.mean:+.0f}",
        f"{line.over_best.error:.0f}",
        f"{line.luck:+.0f}",
    )


def _event(row: Event) -> str:
    percent = "" if row.percent is None or row.kind != "read" else f" {row.percent:g} %"
    return f"{clock(row.time)} {row.aircraft} turn {row.turn} {row.tank} {_EVENTS[row.kind]}{percent}"


def _aftermath(row: Aftermath) -> list[str]:
    what = "fill" if row.tank == "fresh" else "drain"
    late = f" by {row.late_min:.0f} min" if row.blemish == "late" else ""
    out = [f"{row.aircraft} {what} at {row.station}, turn {row.turn}, {_BLEMISHES[row.blemish]}{late}:"]
    for leg in row.legs:
        beyond = ", beyond the limit" if leg.breached else ""
        saved = " (not with it whole)" if leg.breached and not leg.would_have else ""
        levels = f"{leg.as_it_was:.0f} L on arrival, {leg.as_it_could:.0f} L with it whole"
        out.append(f"    {leg.flight}: {levels}{beyond}{saved}")
    return out


COMMAND = Command("play", "play a sampled day; score calls against the best plan", _add_arguments, _run)
