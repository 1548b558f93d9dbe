"""`legtide triggers DAY`: the gauge readings at which going on without a service changes its answer."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from legtide.cli.command import Command, add_day, emit, emit_json, open_day
from legtide.cli.project import exit_code
from legtide.cli.table import lines
from legtide.day.quoting import printable

if TYPE_CHECKING:
    from legtide.plan.triggers import Triggers


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def _run(options: Namespace) -> int:
    day = open_day(options.day).day
    from legtide.engine.projection import project
    from legtide.plan.triggers import triggers, triggers_document

    found = triggers(day)
    if options.json:
        emit_json(triggers_document(found))
    else:
        emit("\n".join(_page(found)))
    return exit_code(project(day).warnings)


_HEADER = ("aircraft", "turn", "station", "gauge", "next service", "answer")


def _page(found: Triggers) -> list[str]:
    from legtide.plan.triggers import trigger_text

    rows = [
        (
            row.registration,
            str(row.turn),
            row.station,
            row.tank,
            "none" if row.next_service_turn is None else f"turn {row.next_service_turn}",
            trigger_text(row),
        )
        for row in found.turns
    ]
    if not rows:
        return ["no turns"]
    limit = found.day.policy.risk_limit.value
    table = lines(_HEADER, rows, left=len(_HEADER))
    return [printable(line) for line in [f"risk limit per leg: {limit * 100:g} %", *table]]


COMMAND = Command(
    "triggers", "list the gauge reading at each turn that decides about a service", _add_arguments, _run
)
