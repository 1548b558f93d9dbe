"""One row of a schedule: its cells read into a draft of a leg, with everything that is wrong in it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Final, get_args

from pydantic import TypeAdapter, ValidationError

from legtide.day.document import CabinService, Key
from legtide.day.fits import FIT_IDS
from legtide.files.grids import LINES, Places, Rejected, Row
from legtide.files.reasons import problems_of
from legtide.files.row_times import DATES, Moments, RowTimes
from legtide.language import tr

REQUIRED: Final = ("registration", "flight", "from", "to", "std", "sta")
OPTIONAL: Final = ("pax", "crew", "fit", "etd", "eta", "atd", "ata", "service_style", *DATES)
STYLES: Final[tuple[CabinService, ...]] = get_args(CabinService)
_HEADS: Final = re.compile(r"[0-9]{1,4}")
_MOST_HEADS: Final = 2000
_KEY: TypeAdapter[str] = TypeAdapter(Key)


@dataclass(slots=True)
class Draft:
    """A row that can be read; times that clocks show twice are not settled yet."""

    line: int
    cells: Mapping[str, str]
    times: dict[str, Moments]
    passengers: int | None
    crew: int | None
    fit: str
    """Id of a shipped fit, empty where the row names none."""
    style: CabinService
    places: Places = LINES

    @property
    def registration(self) -> str:
        return self.cells["registration"]

    def at(self, column: str) -> datetime:
        """The moment of a time that is settled."""
        return self.times[column][0]

    def rejected(self, column: str, reason: str) -> Rejected:
        """This row as rejected for one of its cells."""
        return Rejected(self.line, column, self.cells.get(column, ""), reason, self.places)

    def place(self, column: str = "") -> str:
        """Where the row, or one of its cells, stands."""
        return self.places.place(self.line, column)


def draft(row: Row, times: RowTimes, places: Places = LINES) -> Draft | list[Rejected]:
    """Reads one row.

    Args:
        row: its cells by column.
        times: how its times are read.
        places: how places in its table are said.

    Returns:
        The draft, or every cell that is wrong.
    """
    wrong: list[Rejected] = []
    cells = {name: row.cells.get(name, "") for name in (*REQUIRED, *OPTIONAL)}

    def reject(column: str, reason: str) -> None:
        wrong.append(Rejected(row.line, column, cells[column], reason, places))

    for column in ("registration", "flight", "from", "to"):
        reason = _wrong_key(cells[column])
        if reason:
            reject(column, reason)
    found, wrong_times = times.read(cells)
    for column, reason in wrong_times.items():
        reject(column, reason)
    heads: dict[str, int | None] = {}
    for column in ("pax", "crew"):
        text = cells[column]
        heads[column] = int(text) if _HEADS.fullmatch(text) and int(text) <= _MOST_HEADS else None
        if text and heads[column] is None:
            reject(column, tr("is not a whole number of heads from 0 to {n}").format(n=_MOST_HEADS))
    fit, style = cells["fit"], cells["service_style"].lower()
    if fit and fit not in FIT_IDS:
        reject("fit", tr("is not a shipped fit; there are {ids}").format(ids=", ".join(FIT_IDS)))
    chosen: CabinService | None = next((known for known in STYLES if known == (style or "average")), None)
    if chosen is None:
        reject("service_style", tr("is not one of {styles}").format(styles=", ".join(STYLES)))
    if wrong or chosen is None:
        return wrong
    return Draft(row.line, cells, found, heads["pax"], heads["crew"], fit, chosen, places)


@lru_cache(maxsize=50_000)
def _wrong_key(text: str) -> str:
    try:
        _KEY.validate_python(text)
    except ValidationError as error:
        return next(problems_of(error)).reason
    return ""
