"""What the commands about a station share."""

from __future__ import annotations

from typing import TYPE_CHECKING

from legtide.cli.command import BAD_INPUT, CommandError
from legtide.day.quoting import printable

if TYPE_CHECKING:
    from legtide.day.document import Day


def known_station(day: Day, code: str) -> None:
    """Raises CommandError for a station that the day does not list."""
    if all(row.code != code for row in day.stations):
        listed = ", ".join(row.code for row in day.stations) or "none"
        raise CommandError(BAD_INPUT, printable(f"--station: {code} is not in the day; it lists {listed}"))
