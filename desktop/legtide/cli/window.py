"""`legtide [DAY]`: the window."""

from __future__ import annotations

from pathlib import Path

from legtide.cli.command import WRONG_USAGE, CommandError
from legtide.cli.toolkit import why_no_window


def run(day: Path | None) -> int:
    """Opens the window and returns its exit code. Raises CommandError when there can be none."""
    if day is not None and day.name == str(day) and not day.suffix and not day.exists():
        from legtide.cli.registry import COMMANDS

        names = ", ".join(command.name for command in COMMANDS)
        raise CommandError(WRONG_USAGE, f"{day} is neither a file nor a command; the commands are {names}")
    reason = why_no_window()
    if reason:
        raise CommandError(WRONG_USAGE, reason)
    from legtide import app

    return app.run(day)
