"""`legtide explain DAY WHAT`: where one number comes from."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from legtide.cli.command import BAD_INPUT, DONE, Command, CommandError, add_day, emit, emit_json, open_day
from legtide.day.quoting import printable


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("what", metavar="WHAT", help="such as figure:usage.rinse_l or risk:REG:LEG:fresh")
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def _run(options: Namespace) -> int:
    day = open_day(options.day).day
    from legtide.plan.explain import ExplainError, explain, explanation_document, explanation_text

    try:
        found = explain(day, options.what)
    except ExplainError as error:
        raise CommandError(BAD_INPUT, "\n".join(printable(line) for line in str(error).split("\n"))) from None
    if options.json:
        emit_json(explanation_document(found))
    else:
        emit("\n".join(printable(line) for line in explanation_text(found).split("\n")))
    return DONE


COMMAND = Command("explain", "say where one number comes from: inputs, formula, sources", _add_arguments, _run)
