"""Tables on a terminal, from texts that may come from a file."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from legtide.day.quoting import printable


def width(text: str) -> int:
    """Columns that a text takes on a terminal."""
    return sum(0 if unicodedata.combining(c) else 1 + (unicodedata.east_asian_width(c) in "WF") for c in text)


def lines(header: Sequence[str], rows: Sequence[Sequence[str]], left: int = 1) -> list[str]:
    """Lines of a table: the first `left` columns flush left, the others flush right."""
    whole = [[printable(cell) for cell in row] for row in (header, *rows)]
    widths = [max(width(row[i]) for row in whole) for i in range(len(header))]
    out = []
    for row in whole:
        cells = []
        for i, cell in enumerate(row):
            gap = " " * (widths[i] - width(cell))
            cells.append(cell + gap if i < left else gap + cell)
        out.append("  ".join(cells).rstrip())
    return out
