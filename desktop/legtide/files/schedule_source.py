"""A schedule as it was sent, opened once: a CSV file, the sheets of a workbook, or the trade's schedule file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import islice
from pathlib import PurePath
from typing import Final

from legtide.day.checks import Problem
from legtide.day.quoting import quoted
from legtide.files.column_names import FIELDS, KNOWN, plain, times_lack_dates
from legtide.files.csv_reader import CsvGrid, csv_grid
from legtide.files.grids import Columns, ColumnsError, Grid, TableError, found_columns
from legtide.files.schedule_file import is_schedule_file
from legtide.files.schedule_rows import OPTIONAL, REQUIRED
from legtide.files.sheets.book import SheetGrid, is_archive, read_book
from legtide.language import tr

BOOK_SUFFIXES: Final = (".xlsx", ".xlsm", ".ods")
TEXT_SUFFIXES: Final = (".csv", ".txt")
_SAMPLE: Final = 5


@dataclass(frozen=True, slots=True)
class ScheduleSource:
    """What a file holds before its columns have a meaning."""

    records: bytes | None = None
    """The trade's schedule file; none where it is tables."""
    tables: tuple[CsvGrid | SheetGrid, ...] = ()
    """The one table of a CSV file, or the sheets of a workbook."""

    @property
    def sheets(self) -> tuple[str, ...]:
        """Names of the sheets; none in a file that is no workbook."""
        return tuple(table.name for table in self.tables if isinstance(table, SheetGrid))

    def table(self, sheet: str = "", columns: Columns | None = None) -> CsvGrid | SheetGrid:
        """The table of a sheet; without a name the first one that has all columns, else the first that has most.

        Raises TableError where there is no such sheet.
        """
        if sheet and self.sheets:
            found = next((row for row in self.tables if isinstance(row, SheetGrid) and row.name == sheet), None)
            if found is None:
                words = tr("has no sheet {sheet}; it has {sheets}")
                raise TableError([Problem("", words.format(sheet=quoted(sheet), sheets=_listed(self.sheets)))])
            return found
        return next(
            (table for table in self.tables if not missing(table, columns)),
            max(self.tables, key=lambda table: len({plain(name) for name in table.header} & KNOWN)),
        )


def read_source(
    data: bytes, name: str = "", sheet: str = "", watch: Callable[[], object] = lambda: None
) -> ScheduleSource:
    """Opens a schedule.

    Args:
        data: the file.
        name: its name, whose ending has to suit what is in it; empty where it has none.
        sheet: the one sheet of a workbook to read; empty for all that are not hidden.
        watch: called while a workbook is read; what it raises ends the reading.

    Raises:
        TableError: it is damaged, too large, or something else than its name says.
    """
    suffix = PurePath(name).suffix.lower()
    if is_archive(data):
        if suffix in TEXT_SUFFIXES:
            words = tr("is a workbook, though its name ends in {ending}: name it .xlsx or .ods")
            raise TableError([Problem("", words.format(ending=suffix))])
        return ScheduleSource(tables=read_book(data, KNOWN, sheet, watch))
    if suffix in BOOK_SUFFIXES:
        words = (
            tr(
                "is no workbook, though its name ends in {ending}: save it anew, or name it .csv where it is a table "
                "in text"
            )
            if data
            else tr("is empty: save it anew")
        )
        raise TableError([Problem("", words.format(ending=suffix))])
    if sheet:
        raise TableError([Problem("", tr("is no workbook: it has no sheet {sheet}").format(sheet=quoted(sheet)))])
    if is_schedule_file(data):
        return ScheduleSource(records=data)
    return ScheduleSource(tables=(csv_grid(data, {*FIELDS, *KNOWN}),))


def sample(table: Grid) -> list[list[str]]:
    """The first rows that can be split."""
    first = islice(table.records(range(len(table.header))), _SAMPLE)
    return [cells for _, cells in first if not isinstance(cells, str)]


def lacks_dates(table: Grid, columns: Columns) -> bool:
    """Whether times stand without dates in a table that has no column of dates."""
    try:
        found = found_columns(table, REQUIRED, OPTIONAL, columns)
    except ColumnsError:
        return False
    return times_lack_dates(found, sample(table))


def missing(table: Grid, columns: Columns | None = None) -> bool:
    """Whether the header lacks a column that has to be there."""
    try:
        found_columns(table, REQUIRED, OPTIONAL, columns or {})
    except ColumnsError:
        return True
    return False


def _listed(names: tuple[str, ...]) -> str:
    return ", ".join(quoted(name) for name in names[:20]) + (", ..." if len(names) > 20 else "")
