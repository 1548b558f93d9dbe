"""Tables that people send, whatever they came in: a header, rows of texts, and how a place in them is said.

A CSV file (`csv_reader`) and a sheet of a workbook (`sheets`) are both a `Grid`; `table_of` gives the columns their
meaning. A column has it by its name, or by what the user says (`columns`: field -> name in the header).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import islice
from typing import Final, Protocol

from legtide.day.checks import Problem
from legtide.day.quoting import quoted
from legtide.language import tr

MOST_REJECTED: Final = 50_000
_MOST_NAMES_SHOWN: Final = 20

Columns = Mapping[str, str]
"""Field -> name of its column as the header writes it."""


class TableError(ValueError):
    """A table that cannot be taken at all; `problems` has every place and reason."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = tuple(problems)


class ColumnsError(TableError):
    """A header in which columns are missing, or stand twice; `grid` is the table that it heads."""

    def __init__(self, problems: Sequence[Problem], grid: Grid) -> None:
        super().__init__(problems)
        self.grid = grid


@dataclass(frozen=True, slots=True)
class Places:
    """How the places of a table are said: lines of a file, or rows and cells of a sheet."""

    word: str = "line"
    sheet: str = ""
    letters: Mapping[str, str] = field(default_factory=dict)
    """Field -> letters of its column, in a sheet."""

    def row(self, line: int) -> str:
        """Such as "line 7" or "row 7"."""
        return (tr("row {n}") if self.word == "row" else tr("line {n}")).format(n=line)

    def cell(self, line: int, column: str) -> str:
        """Such as "B7", or "7" where columns have no letters."""
        return f"{self.letters.get(column, '')}{line}"

    def place(self, line: int, column: str = "") -> str:
        """Such as `line 7, std` or `sheet "Plan", cell B7, std`."""
        lettered = column in self.letters
        where = tr("cell {cell}").format(cell=self.cell(line, column)) if lettered else self.row(line)
        if self.sheet:
            where = tr("sheet {sheet}, {place}").format(sheet=quoted(self.sheet), place=where)
        return f"{where}, {column}" if column else where


LINES: Final = Places()


@dataclass(frozen=True, slots=True)
class Rejected:
    """One row, or one cell of it, that was not taken."""

    line: int
    """Line of the file, or row of the sheet, counted from 1."""
    column: str
    """Column that is wrong; empty where the whole row is."""
    value: str
    reason: str
    places: Places = LINES

    def as_problem(self) -> Problem:
        """The same as a problem with its place."""
        value = tr(" (it is {value})").format(value=quoted(self.value)) if self.value else ""
        return Problem(self.places.place(self.line, self.column), self.reason + value)


@dataclass(frozen=True, slots=True)
class Row:
    """One row that could be split, as texts by column; cells are stripped, and a missing column is empty."""

    line: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """A table with its rows in the order of the file."""

    rows: tuple[Row, ...]
    rejected: tuple[Rejected, ...]
    notes: tuple[str, ...]
    places: Places = LINES
    epoch: datetime | None = None
    """Day 0 of dates that stand as numbers; none where numbers are no dates."""


class Grid(Protocol):
    """A header and rows of texts."""

    @property
    def header(self) -> tuple[str, ...]:
        """Names of the columns as written."""

    @property
    def line(self) -> int:
        """Line or row of the header."""

    def about(self, columns: str) -> str:
        """A sentence about what the header has: the names of its columns."""

    @property
    def epoch(self) -> datetime | None:
        """Day 0 of dates that stand as numbers."""

    def places(self, at: Mapping[str, int]) -> Places:
        """How places are said when fields stand in columns of those indices."""

    def records(self, used: Collection[int]) -> Iterator[tuple[int, list[str] | str]]:
        """Line and cells of each row below the header, or the reason why it cannot be taken.

        Args:
            used: indices of the columns that are read; what is wrong in others does not matter.
        """

    def fault(self, line: int, index: int) -> str:
        """What is wrong with a cell whatever its column means; empty where nothing is."""

    def written(self, line: int) -> str:
        """The row as written, for a message."""


def table_of(
    grid: Grid,
    required: Collection[str],
    optional: Collection[str] = (),
    columns: Columns | None = None,
    *,
    most: int | None = None,
) -> Table:
    """Gives the columns of a grid their meaning.

    Args:
        grid: the table.
        required: fields that must be there, in lower case.
        optional: fields that may be; other columns are left out with a note.
        columns: columns that have another name than their field.
        most: how many rows are read; None for all.

    Raises:
        ColumnsError: a column is missing, or stands twice.
        TableError: too many rows cannot be read.
    """
    at = found_columns(grid, required, optional, columns or {})
    places = grid.places(at)
    used = set(at.values())
    unused = [name for i, name in enumerate(grid.header) if name and i not in used]
    notes = [tr("column {name} is not used").format(name=quoted(name)) for name in unused]
    rows: list[Row] = []
    rejected: list[Rejected] = []
    for line, found in islice(grid.records(used), most):
        if isinstance(found, str):
            rejected.append(Rejected(line, "", grid.written(line), found, places))
        else:
            faults = [(name, reason) for name, i in at.items() if (reason := grid.fault(line, i))]
            rejected += [Rejected(line, name, "", reason, places) for name, reason in faults]
            if not faults and any(found):
                rows.append(Row(line, {name: found[i] for name, i in at.items()}))
        check_rejected(len(rejected))
    return Table(tuple(rows), tuple(rejected), tuple(notes), places, grid.epoch)


def check_rejected(rows: int) -> None:
    """Refuses a table of which so many rows cannot be taken. Raises TableError."""
    if rows > MOST_REJECTED:
        words = tr("more than {n} rows cannot be read: is it the right file?")
        raise TableError([Problem("", words.format(n=MOST_REJECTED))])


def found_columns(
    grid: Grid, required: Collection[str], optional: Collection[str], columns: Columns
) -> dict[str, int]:
    """Field -> index of its column, in the order of the fields; arguments as of `table_of`. Raises ColumnsError."""
    names = [name.lower() for name in grid.header]
    given = {name: other.strip().lower() for name, other in columns.items()}
    claimed = set(given.values())
    at: dict[str, int] = {}
    found: list[Problem] = []
    place = grid.places({}).place(grid.line)
    for name in (*required, *optional):
        # A column that the user gives to another field no longer means what its name says.
        wanted = given.get(name, "" if name in claimed else name)
        stands = [i for i, other in enumerate(names) if wanted and other == wanted]
        if not stands and (name in required or name in given):
            words = (
                tr("column {column} is missing (for {field})") if name in given else tr("column {column} is missing")
            )
            found.append(Problem(place, words.format(column=quoted(columns.get(name, name)), field=name)))
        elif len(stands) > 1:
            found.append(Problem(place, tr("column {column} stands twice").format(column=quoted(wanted))))
        elif stands:
            at[name] = stands[0]
    if found:
        shown = ", ".join(quoted(name) for name in grid.header[:_MOST_NAMES_SHOWN] if name) or tr("nothing")
        more = ", ..." if len(grid.header) > _MOST_NAMES_SHOWN else ""
        raise ColumnsError([*found, Problem(place, grid.about(shown + more))], grid)
    return at
