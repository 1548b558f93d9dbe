"""`legtide learn DAY...`: usage rates and spreads from the readings of past days."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from legtide.cli.command import DONE, Command, emit, emit_json, open_day
from legtide.cli.table import lines
from legtide.day.quoting import printable

if TYPE_CHECKING:
    from legtide.engine.learn import Learning


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("days", metavar="DAY", nargs="+", type=Path, help="day files of past days with readings")
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def _run(options: Namespace) -> int:
    days = [open_day(path).day for path in options.days]
    from legtide.engine.learn import learn, learning_document

    found = learn(days)
    if options.json:
        emit_json(learning_document(found))
    else:
        emit("\n".join(_page(found)))
    return DONE


_HEADER = ("figure", "learned", "5-95 %", "assumed")


def _page(found: Learning) -> list[str]:
    out: list[str] = []
    for group in found.groups:
        name = ", ".join(part for part in (group.fit, group.cabin_service) if part) or "all together"
        out.append(f"{name}: {group.readings} readings of {group.aircraft_days} aircraft days")
        rows = [
            (one.field, f"{one.value:.3g}", f"{one.low:.3g}-{one.high:.3g}", f"{one.assumed:.3g}")
            for one in group.estimates
        ]
        out += [*lines(_HEADER, rows), ""]
    return [printable(line) for line in [*out, *(f"note: {text}" for text in found.notes)]]


COMMAND = Command("learn", "estimate usage rates and spreads from the readings of past days", _add_arguments, _run)
