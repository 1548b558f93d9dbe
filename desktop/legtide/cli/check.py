"""`legtide check DAY`: is the file acceptable, and what is doubtful in it."""

from __future__ import annotations

from argparse import Namespace

from legtide.cli.command import Command, add_day, emit, open_day
from legtide.cli.project import exit_code, warning_lines
from legtide.day.quoting import printable


def _run(options: Namespace) -> int:
    day = open_day(options.day).day
    from legtide.engine.projection import project

    warnings = project(day).warnings
    counts = f"{len(day.aircraft)} aircraft, {len(day.legs)} legs, {len(day.services)} services"
    emit("\n".join([printable(f"{options.day} is acceptable: {counts}"), *warning_lines(warnings)]))
    return exit_code(warnings)


COMMAND = Command("check", "validate a day file; list the warnings", add_day, _run)
