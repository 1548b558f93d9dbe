"""`legtide picture DAY -o FILE`: the board as a picture, without a window."""

from __future__ import annotations

import re
from argparse import ArgumentParser, ArgumentTypeError, Namespace
from pathlib import Path

from legtide.cli.command import DONE, NOT_WRITTEN, WRONG_USAGE, Command, CommandError, add_day, open_day, writing
from legtide.cli.pages import add_language, painted_in
from legtide.cli.toolkit import why_no_picture


def _size(text: str) -> tuple[int, int]:
    found = re.fullmatch(r"([0-9]{1,5})x([0-9]{1,5})", text)
    if found is None:
        raise ArgumentTypeError(f"{text!r} is not a size such as 1600x1000")
    return int(found[1]), int(found[2])


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="ends in .png, .svg or .pdf")
    parser.add_argument("--dark", action="store_true", help="the dark palette")
    parser.add_argument("--size", metavar="WxH", type=_size, default=(1600, 1000), help="in pixels (1600x1000)")
    add_language(parser)


def _run(options: Namespace) -> int:
    day = open_day(options.day).day
    reason = why_no_picture()
    if reason:
        raise CommandError(NOT_WRITTEN, reason)
    from legtide.draw.picture import write_picture

    try:
        with writing(options.output), painted_in(options.language):
            write_picture(day, options.output, dark=options.dark, size=options.size)
    except ValueError as error:
        raise CommandError(WRONG_USAGE, str(error)) from None
    return DONE


COMMAND = Command("picture", "draw the board as .png, .svg or .pdf, without a window", _add_arguments, _run)
