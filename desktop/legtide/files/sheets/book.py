"""Workbooks (.xlsx, .ods) as grids: the folder is checked here, the content is read in a limited process."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from legtide.day.checks import Problem
from legtide.files.column_names import plain
from legtide.files.grids import Places, TableError
from legtide.files.sheets.archive import checked, is_archive
from legtide.files.sheets.limited import LimitError, run_limited
from legtide.files.sheets.scan import letters
from legtide.files.sheets.worker import read_workbook
from legtide.language import tr

__all__ = ["SheetGrid", "is_archive", "read_book"]

SECONDS: Final = 60.0
MEMORY_MB: Final = 1_536
_EPOCH: Final = datetime(1899, 12, 30)  # noqa: DTZ001 - the days of a workbook have no zone
_EPOCH_1904: Final = datetime(1904, 1, 1)  # noqa: DTZ001
_HEADER_WITHIN: Final = 20
"""Rows at the top of a sheet in which the header may stand."""


@dataclass(frozen=True, slots=True)
class SheetGrid:
    """One sheet: its rows of texts under their header."""

    name: str
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    """Number and texts of the rows that hold something, from the header on."""
    faults: Mapping[tuple[int, int], str]
    """(row, column from 1) -> what is wrong with a cell."""
    epoch: datetime | None

    @property
    def header(self) -> tuple[str, ...]:
        """Names of the columns."""
        return self.rows[0][1] if self.rows else ()

    @property
    def line(self) -> int:
        """Row of the header."""
        return self.rows[0][0] if self.rows else 1

    def about(self, columns: str) -> str:
        """What the header has."""
        return tr("the header row has {columns}").format(columns=columns)

    def places(self, at: Mapping[str, int]) -> Places:
        """Cells of this sheet."""
        return Places("row", self.name, {name: letters(i + 1) for name, i in at.items()})

    def records(self, used: Collection[int]) -> Iterator[tuple[int, list[str] | str]]:
        """The rows below the header, each as long as it."""
        width = len(self.header)
        for line, cells in self.rows[1:]:
            yield line, [*cells[:width], *[""] * (width - len(cells))]

    def fault(self, line: int, index: int) -> str:
        """The error that a formula left in a cell."""
        return self.faults.get((line, index + 1), "")

    def written(self, line: int) -> str:
        """The row's texts."""
        return next((", ".join(cells)[:200] for number, cells in self.rows if number == line), "")


def read_book(
    data: bytes, known: Collection[str], sheet: str = "", watch: Callable[[], object] = lambda: None
) -> tuple[SheetGrid, ...]:
    """The sheets of a workbook that hold something.

    Args:
        data: the file.
        known: normal forms of names by which a header row is found (`column_names.plain`).
        sheet: the one sheet to read; empty for all that are not hidden.
        watch: called while the file is read; what it raises ends the reading.

    Raises:
        TableError: it is damaged, too large, protected, or has no such sheet.
    """
    kind = checked(data)
    try:
        answer = run_limited(
            read_workbook, data, f"{kind}\n{sheet}", seconds=SECONDS, memory_mb=MEMORY_MB, watch=watch
        )
        found = json.loads(answer)
    except LimitError as error:
        raise TableError([Problem("", str(error))]) from None
    except ValueError:
        raise TableError([Problem("", tr("is a workbook whose reader gave no answer"))]) from None
    if "reason" in found:
        raise TableError([Problem(found["place"], found["reason"])])
    epoch = _EPOCH_1904 if found["from_1904"] else _EPOCH
    grids = [_grid(row, known, epoch if kind == "xlsx" else None) for row in found["sheets"] if row["rows"]]
    if not grids:
        raise TableError([Problem("", tr("is a workbook without a cell that holds anything"))])
    return tuple(grids)


def _grid(found: dict[str, Any], known: Collection[str], epoch: datetime | None) -> SheetGrid:
    rows = tuple((number, tuple(texts)) for number, texts in found["rows"])
    top = [len({plain(text) for text in texts} & set(known)) for number, texts in rows[:_HEADER_WITHIN]]
    header = top.index(max(top))
    faults = {(row, column): reason for row, column, reason in found["faults"]}
    return SheetGrid(found["name"], rows[header:], faults, epoch)
