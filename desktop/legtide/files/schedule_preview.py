"""The first rows of a schedule as they would be read, for a user who says what its columns are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from legtide.files.grids import Columns, Grid, Rejected, table_of
from legtide.files.row_times import Moments
from legtide.files.schedule import Options, row_times
from legtide.files.schedule_rows import OPTIONAL, REQUIRED, Draft, draft
from legtide.language import tr

ROWS: Final = 5


@dataclass(frozen=True, slots=True)
class Previewed:
    """One row: its cells by field as they would be read, or why it would not be taken."""

    place: str
    cells: dict[str, str]
    reason: str = ""


def preview(grid: Grid, columns: Columns, options: Options) -> list[Previewed]:
    """The first rows of a table.

    Args:
        grid: the table.
        columns: what its columns are.
        options: how times are read.

    Raises:
        ColumnsError: a column is missing.
    """
    table = table_of(grid, REQUIRED, OPTIONAL, columns, most=ROWS)
    times = row_times(options, table.epoch, options.zones.known)
    rows: dict[int, Previewed] = {}
    for row in table.rejected:
        rows.setdefault(row.line, Previewed(table.places.row(row.line), {}, _why([row])))
    for record in table.rows:
        read = draft(record, times, table.places)
        place = table.places.row(record.line)
        if isinstance(read, Draft):
            moments = {name: _shown(found) for name, found in read.times.items()}
            rows[record.line] = Previewed(place, {**record.cells, **moments})
        else:
            rows[record.line] = Previewed(place, record.cells, _why(read))
    return [rows[line] for line in sorted(rows)]


def _why(rejected: Iterable[Rejected]) -> str:
    return "; ".join(f"{row.column}: {row.reason}" if row.column else row.reason for row in rejected)


def _shown(found: Moments) -> str:
    return tr(" or ").join(f"{moment:%Y-%m-%d %H:%MZ}" for moment in found)
