"""CSV files as people send them: the separator is found by a vote, and every row that cannot be read is named.

The separator is the one under which the header shows the most known columns (the standard library's guess once called
the letter a a separator). A quotation mark that is never closed costs its own row and no other.
"""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from legtide.day.checks import Problem
from legtide.files.cells import restored
from legtide.files.grids import LINES, Places, Table, TableError, table_of
from legtide.files.strict_json import BadJsonError, decoded
from legtide.language import counted, tr

_SEPARATORS: Final = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
_OPEN: Final = "unexpected end"
"""What the standard reader says of a quotation mark that is never closed."""
_LONGEST_LINE: Final = 20_000
_MOST_LINES: Final = 1_000_000
_LINES_IN_A_RECORD: Final = 20


@dataclass(frozen=True, slots=True)
class CsvGrid:
    """The lines of a CSV file under their header."""

    lines: Sequence[str]
    header: tuple[str, ...]
    separator: str
    first: int
    """Lines before the first row."""

    @property
    def line(self) -> int:
        """Line of the header."""
        return max(self.first, 1)

    def about(self, columns: str) -> str:
        """What the header has."""
        separator = tr(_SEPARATORS[self.separator])
        return tr("the header, separated by {separator}, has {columns}").format(separator=separator, columns=columns)

    @property
    def epoch(self) -> None:
        """Numbers in text are no dates."""
        return

    def places(self, at: Mapping[str, int]) -> Places:
        """Lines, whatever stands where."""
        return LINES

    def records(self, used: Collection[int]) -> Iterator[tuple[int, list[str] | str]]:
        """The rows, with what was put before risky cells taken off again."""
        for line, found in _records(self.lines, self.first, self.separator, len(self.header), set(used)):
            yield line, found if isinstance(found, str) else [restored(cell) for cell in found]

    def fault(self, line: int, index: int) -> str:
        """A text has none by itself."""
        return ""

    def written(self, line: int) -> str:
        """The start of a line."""
        return self.lines[line - 1][:200]


def csv_grid(data: bytes, known: Collection[str], *, instead: Sequence[str] = ()) -> CsvGrid:
    """Splits a CSV file.

    Args:
        data: UTF-8 text with or without a byte order mark.
        known: column names, in lower case, by which the separator is found; where none stands there, the one that
            makes the most columns is taken.
        instead: the header of a file whose first line has none of its names: that line is data then.

    Raises:
        TableError: the file is not text, is empty, or is too large.
    """
    lines = _lines(data)
    first = next((i for i, line in enumerate(lines) if line.strip()), None)
    if first is None:
        raise TableError([Problem("", tr("is empty"))])
    header, separator = _header(lines[first], set(known))
    if instead and not any(name.lower() in instead for name in header):
        return CsvGrid(lines, tuple(instead), separator, first)
    return CsvGrid(lines, tuple(header), separator, first + 1)


def read_table(
    data: bytes, required: Collection[str], optional: Collection[str] = (), *, header_may_lack: bool = False
) -> Table:
    """Splits a CSV file and finds its columns.

    Args:
        data: UTF-8 text with or without a byte order mark.
        required: names of columns that must be there, in lower case.
        optional: names of columns that may be; others are left out with a note.
        header_may_lack: whether a first line without any known name is data of the required columns in their order.

    Raises:
        TableError: the file is not text, has no usable header, or is too large.
    """
    instead = tuple(required) if header_may_lack else ()
    return table_of(csv_grid(data, {*required, *optional}, instead=instead), required, optional)


def _lines(data: bytes) -> list[str]:
    """The lines without their ends. Only the line ends of files count: text may hold other separators."""
    try:
        text = decoded(data)
    except BadJsonError as error:
        raise TableError(error.problems) from None
    text = text.replace("\r\n", "\n")
    if "\n" not in text.strip("\n"):
        text = text.replace("\r", "\n")
    lines = text.split("\n")
    if len(lines) > _MOST_LINES:
        raise TableError([Problem("", tr("has more than {n} lines").format(n=_MOST_LINES))])
    return lines


def _header(line: str, known: set[str]) -> tuple[list[str], str]:
    """The column names, and the separator that shows the most known ones, else the most (of equals the first)."""
    best: tuple[tuple[int, int], list[str], str] | None = None
    for separator in _SEPARATORS:
        cells = _split(line, separator)
        names = cells if isinstance(cells, list) else []
        shown = len(known & {name.lower() for name in names})
        score = (shown, 0 if shown else len(names))
        if best is None or score > best[0]:
            best = score, names, separator
    assert best is not None  # noqa: S101 - there are separators
    return best[1], best[2]


# rows -----------------------------------------------------------------------------------------------------


def _records(
    lines: Sequence[str], first: int, separator: str, width: int, used: set[int]
) -> Iterator[tuple[int, list[str] | str]]:
    """Line number and cells of each row, or the reason why it cannot be split; empty lines are left out."""
    at = first
    while at < len(lines):
        line, here = lines[at], at + 1
        taken = 1
        if not line.strip():
            at += 1
            continue
        cells: list[str] | str
        if len(line) > _LONGEST_LINE:
            cells = tr("is longer than {n} characters").format(n=_LONGEST_LINE)
        elif '"' not in line:
            cells = _split(line, separator)
        else:
            cells, taken = _quoted_record(lines, at, separator, used)
        if isinstance(cells, list):
            cells = _fitted(cells, line, separator, width)
            if isinstance(cells, str):
                taken = 1
        yield here, cells
        at += taken


def _split(line: str, separator: str) -> list[str] | str:
    """The cells of one line, or what is wrong with it."""
    if "\0" in line:
        return tr("holds a NUL character")
    if '"' not in line:
        return [cell.strip() for cell in line.split(separator)]
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=separator, strict=True))]
    except csv.Error as error:
        return _words(error)


def _quoted_record(lines: Sequence[str], at: int, separator: str, used: set[int]) -> tuple[list[str] | str, int]:
    """The cells of a row with quotation marks, and how many lines it takes.

    A row over several lines is taken only if its line ends lie in columns that are not used; else a quotation mark
    was left open, and the lines after it are rows of their own.
    """
    alone = _split(lines[at], separator)
    if isinstance(alone, list) or alone != _words(csv.Error(_OPEN)):
        return alone, 1
    block = [f"{line}\n" for line in lines[at : at + _LINES_IN_A_RECORD]]
    if any("\0" in line or len(line) > _LONGEST_LINE for line in block):
        return alone, 1
    reader = csv.reader(block, delimiter=separator, strict=True)
    try:
        cells = next(reader)
    except csv.Error:
        return alone, 1
    if any("\n" in cell for i, cell in enumerate(cells) if i in used):
        return alone, 1
    return [cell.strip() for cell in cells], reader.line_num


def _words(error: csv.Error) -> str:
    text = str(error)
    if _OPEN in text:
        return tr("has a quotation mark that is never closed")
    if "expected after" in text:
        return tr("has text after a closing quotation mark")
    return tr("cannot be split: {reason}").format(reason=text)


def _fitted(cells: list[str], line: str, separator: str, width: int) -> list[str] | str:
    """The cells, as many as the header has, or what is wrong; empty ones past the end are let go."""
    if len(cells) == width or (len(cells) > width and not any(cells[width:])):
        return cells[:width]
    reason = counted(
        len(cells), "has {n} cell where the header has {{width}}", "has {n} cells where the header has {{width}}"
    ).format(width=width)
    for other, name in _SEPARATORS.items():
        if other != separator and len(line.split(other)) == width and width > 1:
            return tr("{reason}: it is separated by {name}, the header by {header}").format(
                reason=reason, name=tr(name), header=tr(_SEPARATORS[separator])
            )
    return reason
