"""Pasted text as lines, within bounds that keep every pattern cheap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from legtide.files.messages.records import NotUnderstood
from legtide.language import tr

LONGEST_LINE: Final = 200
MOST_LINES: Final = 5_000
_SHOWN: Final = 200


@dataclass(frozen=True, slots=True)
class Line:
    """One line without the blanks around it."""

    number: int
    """Counted from 1."""
    text: str
    indented: bool = False
    """Whether it began with blanks, as continued weather reports do."""

    def refused(self, reason: str) -> NotUnderstood:
        """This line as one that was not taken."""
        return NotUnderstood(self.number, self.text[:_SHOWN], reason)


def split_lines(text: str) -> tuple[list[Line], list[NotUnderstood]]:
    """The lines that can be read, empty ones among them, and those that lie beyond the bounds."""
    raw = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    lines: list[Line] = []
    refused: list[NotUnderstood] = []
    for number, row in enumerate(raw[:MOST_LINES], start=1):
        line = Line(number, row.strip(), row[:1] in (" ", "\t"))
        if len(row) > LONGEST_LINE:
            refused.append(line.refused(tr("is longer than {n} characters").format(n=LONGEST_LINE)))
            # What follows must not join what went before: an empty line stands in for it.
            line = Line(number, "")
        lines.append(line)
    refused += _beyond(raw[MOST_LINES:])
    return lines, refused


def _beyond(rest: Sequence[str]) -> list[NotUnderstood]:
    count = sum(1 for row in rest if row.strip())
    if not count:
        return []
    reason = tr("lies beyond line {line}; lines not read: {n}. Paste the rest in a second step").format(
        line=MOST_LINES, n=count
    )
    return [Line(MOST_LINES + 1, rest[0].strip()).refused(reason)]
