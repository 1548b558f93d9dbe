"""What a command is, how it ends, and how it speaks.

A command lives in a module of its own and is listed in `registry.py`. Its module is imported for every `--help`, so
whatever takes time to import (pydantic, numpy, the toolkit) is imported inside `run`.
"""

from __future__ import annotations

import json
import os
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TextIO

from legtide.day.quoting import printable

if TYPE_CHECKING:
    from legtide.files.day_file import Loaded

DONE: Final = 0
BREACH: Final = 1
"""Done, and the result has a warning of severity `breach`."""
WRONG_USAGE: Final = 2
BAD_INPUT: Final = 3
"""The input is not acceptable; the message names the place."""
NOT_WRITTEN: Final = 4
"""The output could not be written; an old file is intact."""
FAULT: Final = 70
"""An error of the program itself (EX_SOFTWARE of sysexits.h)."""
STOPPED: Final = 130
"""Stopped by the user (128 plus the number of the signal)."""


@dataclass(frozen=True, slots=True)
class Command:
    """One command of the program."""

    name: str
    summary: str
    """One line for the list of commands."""
    add_arguments: Callable[[ArgumentParser], None]
    run: Callable[[Namespace], int]
    """Does it and returns the exit code. Raises CommandError with a sentence for the user."""


class CommandError(Exception):
    """The end of a command that did not work out: an exit code and a sentence (or none) for the user."""

    def __init__(self, code: int, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code


# output ---------------------------------------------------------------------------------------------------


def emit(text: str) -> None:
    """Writes text and a line end on standard output. Raises CommandError when that cannot be written."""
    if sys.stdout is None:
        raise CommandError(NOT_WRITTEN, "there is no standard output to write on")
    try:
        sys.stdout.write(text + "\n")
        sys.stdout.flush()
    except BrokenPipeError:
        _abandon(sys.stdout)
        raise CommandError(NOT_WRITTEN, "") from None
    except OSError as error:
        _abandon(sys.stdout)
        raise CommandError(NOT_WRITTEN, f"standard output could not be written: {error.strerror}") from None


def emit_json(document: Any) -> None:
    """Writes one JSON document on standard output and nothing else."""
    emit(json.dumps(document, ensure_ascii=False, allow_nan=False, indent=2))


def note(text: str) -> None:
    """Writes text on standard error, where names from files are only text; a closed one is no reason to stop."""
    with suppress(OSError, ValueError):
        print("\n".join(map(printable, text.split("\n"))), file=sys.stderr, flush=True)


def _abandon(stream: TextIO) -> None:
    """Lets what is still buffered go to nowhere: the interpreter would complain about it at its end."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


# files ----------------------------------------------------------------------------------------------------


def add_day(parser: ArgumentParser) -> None:
    """The argument DAY."""
    parser.add_argument("day", metavar="DAY", type=Path, help="a day file (*.day.json)")


def open_day(path: Path) -> Loaded:
    """Reads a day file; what is doubtful about the file goes to standard error.

    Raises CommandError with every problem and its place.
    """
    from legtide.files.day_file import DayFileError, load

    try:
        loaded = load(path)
    except DayFileError as error:
        raise CommandError(BAD_INPUT, str(error)) from None
    for finding in loaded.cautions:
        note(f"caution: {finding.message}")
    if loaded.migrated_from is not None:
        note(f"note: the file is of version {loaded.migrated_from}; the next save writes the present one")
    return loaded


def read_input(path: Path) -> bytes:
    """The bytes of an input file. Raises CommandError."""
    from legtide.files.day_file import DayFileError, read_bytes

    try:
        return read_bytes(path)
    except DayFileError as error:
        raise CommandError(BAD_INPUT, str(error)) from None


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Turns what goes wrong while an output file is written into the end of the command."""
    from legtide.files.atomic import SaveError

    try:
        yield
    except SaveError as error:
        raise CommandError(NOT_WRITTEN, str(error)) from None
    except OSError as error:
        raise CommandError(NOT_WRITTEN, f"{path} could not be written: {error.strerror or error}") from None
