"""The entry of the program: finds the command, runs it, and ends with an exit code and at most a sentence."""

from __future__ import annotations

import os
import sys
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from legtide import __version__
from legtide.cli import window
from legtide.cli.command import FAULT, STOPPED, WRONG_USAGE, CommandError, emit, note
from legtide.cli.faults import keep_fault
from legtide.cli.registry import COMMANDS

_ADVICE = "Legtide advises: the operator's manuals, local rules and licensed staff decide."


def main(argv: Sequence[str] | None = None) -> int:
    """Runs the program and returns its exit code; nothing but that code and sentences leaves it.

    Args:
        argv: arguments without the program's name; those of the process when None.
    """
    _make_streams_safe()
    try:
        return _run(list(sys.argv[1:] if argv is None else argv))
    except CommandError as error:
        if str(error):
            note(f"legtide: {error}")
        return error.code
    except SystemExit as error:
        return error.code if isinstance(error.code, int) else WRONG_USAGE
    except KeyboardInterrupt:
        note("legtide: stopped")
        return STOPPED
    except BaseException as error:  # noqa: BLE001 - pydantic's panics are no Exceptions, and nobody wants a traceback
        note(f"legtide: {keep_fault(error)}")
        return FAULT


def _run(argv: list[str]) -> int:
    for command in COMMANDS:
        if argv and argv[0] == command.name:
            parser = ArgumentParser(
                prog=f"legtide {command.name}", description=command.summary, epilog=_ADVICE, allow_abbrev=False
            )
            command.add_arguments(parser)
            return command.run(parser.parse_args(argv[1:]))
    options = _top_parser().parse_args(argv)
    if options.version:
        emit(f"legtide {__version__}")
        return 0
    return window.run(options.day)


def _top_parser() -> ArgumentParser:
    width = max(len(command.name) for command in COMMANDS)
    listing = "\n".join(f"  {command.name:{width}}  {command.summary}" for command in COMMANDS)
    parser = ArgumentParser(
        prog="legtide",
        usage="legtide [DAY]\n       legtide COMMAND ...",
        description="Plan when each aircraft's drinking-water tank is filled and its toilet-waste tank drained.",
        epilog=f"commands (legtide COMMAND --help says more):\n{listing}\n\n{_ADVICE}",
        formatter_class=RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("day", metavar="DAY", nargs="?", type=Path, help="the day to open; a demo day without it")
    parser.add_argument("--version", action="store_true", help="print the version")
    return parser


def _make_streams_safe() -> None:
    """Output is UTF-8 whatever the locale; what cannot be encoded is spelled out instead of ending the program."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            with suppress(OSError, ValueError):
                terminal = os.name == "nt" or not stream.isatty()
                reconfigure(encoding="utf-8" if terminal else None, errors="backslashreplace")
