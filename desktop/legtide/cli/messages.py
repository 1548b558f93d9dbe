"""`legtide messages DAY < TEXT`: what pasted messages change in a day; with `-o` the day that comes of it."""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from legtide.cli.command import BAD_INPUT, Command, CommandError, add_day, emit, note, open_day, writing
from legtide.cli.project import exit_code
from legtide.day.quoting import printable

if TYPE_CHECKING:
    from legtide.files.messages import Outcome

_MOST_BYTES: Final = 8_000_000


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("-o", "--output", metavar="OUT", type=Path, help="write the changed day to this file")


def _run(options: Namespace) -> int:
    day = open_day(options.day).day
    text = _standard_input()
    from legtide.engine.projection import project
    from legtide.files import day_file
    from legtide.files.messages import apply, read_messages

    messages = read_messages(text)
    outcome = apply(day, messages)
    if not (outcome.changes or outcome.notes):
        reasons = [f"line {row.line}: {row.reason}" for row in outcome.not_understood] or ["it is empty"]
        raise CommandError(BAD_INPUT, _printable_lines(["nothing on standard input can be taken:", *reasons]))
    if options.output is not None:
        with writing(options.output):
            saved = day_file.save(outcome.day, options.output)
        if saved.backup_note:
            note(f"note: {saved.backup_note}")
    emit(_printable_lines(_page(outcome, options.output)))
    return exit_code(project(outcome.day).warnings)


def _standard_input() -> str:
    """What is piped in. Raises CommandError."""
    if sys.stdin is None:
        raise CommandError(BAD_INPUT, "there is no standard input to read messages from")
    try:
        data = sys.stdin.buffer.read(_MOST_BYTES + 1)
    except OSError as error:
        raise CommandError(BAD_INPUT, f"standard input could not be read: {error.strerror}") from None
    if len(data) > _MOST_BYTES:
        raise CommandError(BAD_INPUT, f"standard input is larger than {_MOST_BYTES // 1_000_000} MB")
    # A byte that is no text spoils its own line and no other.
    return data.decode("utf-8", "replace")


def _page(outcome: Outcome, output: Path | None) -> list[str]:
    """What changes, what messages say besides, and what was not taken; times in UTC."""
    page = [f"changes: {len(outcome.changes)}; times in UTC"]
    page += [f"  line {row.line}: {row}" for row in outcome.changes]
    page += [f"note, line {row.line}: {row.text}" for row in outcome.notes]
    if outcome.not_understood:
        page.append(f"not taken: {len(outcome.not_understood)}")
        page += [f"  line {row.line}: {row.text}\n    {row.reason}" for row in outcome.not_understood]
    page.append("a preview: nothing is written without -o" if output is None else f"written to {output}")
    return page


def _printable_lines(page: list[str]) -> str:
    """Lines of text in which names and pasted text are only text."""
    return "\n".join(printable(line) for row in page for line in row.split("\n"))


COMMAND = Command("messages", "apply movement and load messages and weather reports", _add_arguments, _run)
