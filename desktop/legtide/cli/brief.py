"""`legtide brief DAY --aircraft REG -o FILE.pdf`: the briefing page of an aircraft."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from legtide.cli.command import BAD_INPUT, Command, CommandError, add_day, open_day, writing
from legtide.cli.pages import add_language, add_paper, painted_in, pdf_possible, wants
from legtide.cli.project import exit_code
from legtide.day.quoting import printable


def _add_arguments(parser: ArgumentParser) -> None:
    add_day(parser)
    parser.add_argument("--aircraft", metavar="REG", required=True, help="registration of the aircraft")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the .pdf file to write")
    add_paper(parser)
    add_language(parser)


def _run(options: Namespace) -> int:
    wants(options.output, ".pdf")
    day = open_day(options.day).day
    pdf_possible()
    from datetime import UTC, datetime

    from legtide.brief.briefing import briefing_pages
    from legtide.brief.content import NoAircraftError, briefing, origin_of
    from legtide.brief.paper import pdf_bytes
    from legtide.files.atomic import replace_file

    try:
        with painted_in(options.language):
            content = briefing(day, options.aircraft, origin_of(day, options.day.name, datetime.now(UTC)))
            pages = briefing_pages(content, options.paper)
    except NoAircraftError:
        listed = ", ".join(row.registration for row in day.aircraft) or "none"
        raise CommandError(
            BAD_INPUT, printable(f"--aircraft: {options.aircraft} is not in the day; it lists {listed}")
        ) from None
    with writing(options.output):
        title = f"Briefing {options.aircraft} {day.date.isoformat()}"
        with painted_in(options.language):
            made = pdf_bytes(pages, title)
        replace_file(options.output, made)
    return exit_code(content.warnings)


COMMAND = Command("brief", "write the briefing page of an aircraft as a PDF", _add_arguments, _run)
