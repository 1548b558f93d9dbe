"""What the commands that write files for people share."""

from __future__ import annotations

from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from legtide.cli.command import NOT_WRITTEN, WRONG_USAGE, CommandError
from legtide.cli.toolkit import why_no_picture
from legtide.language import ENGLISH, languages, load_language


def add_paper(parser: ArgumentParser) -> None:
    """The option --paper."""
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="size of the paper (a4)")


def add_language(parser: ArgumentParser) -> None:
    """The option --language."""
    parser.add_argument("--language", choices=languages(), default=ENGLISH, help="of what is painted (en)")


@contextmanager
def painted_in(name: str) -> Iterator[None]:
    """Speaks a language while something is painted: what the command itself prints is always English."""
    load_language(name)
    try:
        yield
    finally:
        load_language(ENGLISH)


def wants(output: Path, *suffixes: str) -> str:
    """The suffix of an output file in small letters. Raises CommandError for one that is not offered."""
    suffix = output.suffix.lower()
    if suffix not in suffixes:
        raise CommandError(WRONG_USAGE, f"-o: {output.name} does not end in {' or '.join(suffixes)}")
    return suffix


def pdf_possible() -> None:
    """Raises CommandError when libraries are missing that painting needs."""
    reason = why_no_picture()
    if reason:
        raise CommandError(NOT_WRITTEN, reason)
