"""Plan, levels and warnings as tables: CSV with formulas made harmless, or an Excel workbook in which text is text.

Times are ISO 8601 in UTC with `Z`, levels litres, masses kilograms, risks 0 to 1; each column says its unit.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final, TypeAlias

from legtide.day.rotations import off_blocks, on_blocks
from legtide.engine.types import Projection, Spread, utc_text
from legtide.files.cells import neutralised

Cell: TypeAlias = str | int | float | None
_MOST_CELL: Final = 32_767
"""Characters that a cell of a workbook holds."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under named columns."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


# tables ---------------------------------------------------------------------------------------------------

_SPREAD: Final = ("mean", "p05", "p50", "p95")
_LEVELS: Final = ("fresh_departure", "fresh_arrival", "waste_departure", "waste_arrival")


def plan_table(projection: Projection) -> Table:
    """The services of all aircraft, in the order of the day."""
    columns = (
        *("registration", "turn", "station", "stand", "tank", "state", "target_percent", "start", "end"),
        *("litres_mean", "litres_p05", "litres_p95", "truck", "remark"),
    )

    def rows() -> Iterator[tuple[Cell, ...]]:
        for name, aircraft in projection.aircraft.items():
            for found in aircraft.services:
                service, volume = found.service, found.volume
                yield (
                    *(name, service.turn, found.station, aircraft.rotation.turns[service.turn].stand),
                    *(service.tank, service.state, service.target),
                    *(_time(found.start), _time(found.end)),
                    *(_tenths(volume.mean), _tenths(volume.p05), _tenths(volume.p95)),
                    *(service.truck, service.remark),
                )

    return Table("plan", columns, tuple(rows()))


def levels_table(projection: Projection) -> Table:
    """Both tanks at both ends of each leg, water mass and risks."""
    columns = (
        *("registration", "leg", "flight", "from", "to", "off_blocks", "on_blocks", "passengers", "crew"),
        *(f"{level}_l_{part}" for level in _LEVELS for part in _SPREAD),
        "water_mass_kg",
        *("risk_fresh_below_reserve", "risk_fresh_dry", "risk_waste_over_limit", "risk_waste_full"),
    )

    def rows() -> Iterator[tuple[Cell, ...]]:
        for name, aircraft in projection.aircraft.items():
            for result in aircraft.legs:
                leg = aircraft.rotation.legs[result.index]
                yield (
                    *(name, leg.id, leg.flight, leg.origin, leg.destination),
                    *(utc_text(off_blocks(leg)), utc_text(on_blocks(leg)), leg.passengers, leg.crew),
                    *(part for level in _LEVELS for part in _parts(getattr(result, level))),
                    _tenths(result.water_mass_kg),
                    *(round(getattr(result, risk), 4) for risk in columns[-4:]),
                )

    return Table("levels", columns, tuple(rows()))


def warnings_table(projection: Projection) -> Table:
    """The warnings with their way out, the gravest first."""
    columns = (
        "severity",
        "code",
        "aircraft",
        "leg",
        "station",
        "turn",
        "tank",
        "risk",
        "act_by",
        "message",
        "remedy",
    )
    rows = tuple(
        (
            *(row.severity, row.code, row.aircraft, row.leg, row.station),
            None if row.turn < 0 else row.turn,
            *(row.tank, round(row.risk, 4)),
            *(_time(row.act_by), row.message, "" if row.remedy is None else row.remedy.text),
        )
        for row in projection.warnings
    )
    return Table("warnings", columns, rows)


TABLES: Final[Mapping[str, Callable[[Projection], Table]]] = {
    "plan": plan_table,
    "levels": levels_table,
    "warnings": warnings_table,
}
"""Name of a table -> what makes it."""


def _parts(spread: Spread) -> Iterator[float]:
    return (_tenths(getattr(spread, part)) for part in _SPREAD)


def _time(moment: datetime | None) -> str | None:
    return None if moment is None else utc_text(moment.replace(microsecond=0))


def _tenths(value: float) -> float:
    return round(float(value), 1)


# files ----------------------------------------------------------------------------------------------------


def csv_bytes(table: Table) -> bytes:
    """A table as CSV in UTF-8: text that a spreadsheet would run as a formula gets an apostrophe, numbers none."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(table.columns)
    writer.writerows([neutralised(cell) if isinstance(cell, str) else cell for cell in row] for row in table.rows)
    return out.getvalue().encode("utf-8")


def workbook_bytes(tables: list[Table]) -> bytes:
    """Tables as the sheets of an Excel workbook. Every text is stored as text: no cell is a formula."""
    # It takes time to import, and only workbooks need it.
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    for table in tables:
        sheet = book.create_sheet(table.name)
        sheet.freeze_panes = "A2"

        def made(cell: Cell, sheet: object = sheet) -> WriteOnlyCell:
            one = WriteOnlyCell(sheet, value=_storable(cell) if isinstance(cell, str) else cell)
            if isinstance(cell, str):
                one.data_type = "s"  # what begins with "=" would be taken for a formula
            return one

        sheet.append([made(name) for name in table.columns])
        for row in table.rows:
            sheet.append([made(cell) for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _storable(text: str) -> str:
    """What XML can hold of a text, cut to what a cell can hold."""
    allowed = (c if c in "\t\n\r" or (ord(c) >= 0x20 and ord(c) not in (0xFFFE, 0xFFFF)) else "\ufffd" for c in text)
    return "".join(allowed)[:_MOST_CELL]
