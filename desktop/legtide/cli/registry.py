"""All commands, in the order in which the help lists them. A new command: its module, and one entry here."""

from __future__ import annotations

from typing import Final

from legtide.cli import (
    brief,
    calls,
    check,
    desktop_entry,
    explain,
    import_schedule,
    learn,
    messages,
    picture,
    plan,
    play,
    project,
    runs,
    schema,
    tables,
    triggers,
)
from legtide.cli.command import Command

COMMANDS: Final[tuple[Command, ...]] = (
    project.COMMAND,
    check.COMMAND,
    plan.COMMAND,
    triggers.COMMAND,
    explain.COMMAND,
    play.COMMAND,
    learn.COMMAND,
    brief.COMMAND,
    runs.COMMAND,
    tables.COMMAND,
    calls.COMMAND,
    import_schedule.COMMAND,
    messages.COMMAND,
    picture.COMMAND,
    schema.COMMAND,
    desktop_entry.COMMAND,
)
