"""One row of a schedule: its cells read into a draft of a leg, with everything that is wrong in it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Final, get_args

from pydantic import TypeAdapter, ValidationError

from legtide.day.document import CabinService, Key
from legtide.day.fits import FIT_IDS
from legtide.files.csv_reader import Rejected, Row
from legtide.files.reasons import problems_of
from legtide.files.times import TimeError, moments, read_time
from legtide.language import tr

REQUIRED: Final = ("registration", "flight", "from", "to", "std", "sta")
OPTIONAL: Final = ("pax", "crew", "fit", "etd", "eta", "atd", "ata", "service_style")
DEPARTURES: Final = ("std", "etd", "atd")
ARRIVALS: Final = ("sta", "eta", "ata")
STYLES: Final[tuple[CabinService, ...]] = get_args(CabinService)
_HEADS: Final = re.compile(r"[0-9]{1,4}")
_MOST_HEADS: Final = 2000
_KEY: TypeAdapter[str] = TypeAdapter(Key)

Moments = tuple[datetime, ...]
"""What a written time can mean, in UTC: one moment, or two where clocks show it twice."""


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

    @property
    def registration(self) -> str:
        return self.cells["registration"]

    def at(self, column: str) -> datetime:
        """The moment of a time that is settled."""
        return self.times[column][0]

    def rejected(self, column: str, reason: str) -> Rejected:
        """This row as rejected for one of its cells."""
        return Rejected(self.line, column, self.cells.get(column, ""), reason)


def draft(row: Row, zone_of: Callable[[str], str] | None) -> Draft | list[Rejected]:
    """Reads one row.

    Args:
        row: its cells by column.
        zone_of: the zone of a station for times without one; None where each time has to have its own.

    Returns:
        The draft, or every cell that is wrong.
    """
    wrong: list[Rejected] = []
    cells = {name: row.cells.get(name, "") for name in (*REQUIRED, *OPTIONAL)}

    def reject(column: str, reason: str) -> None:
        wrong.append(Rejected(row.line, column, cells[column], reason))

    for column in ("registration", "flight", "from", "to"):
        reason = _wrong_key(cells[column])
        if reason:
            reject(column, reason)
    times: dict[str, Moments] = {}
    for column in (*DEPARTURES, *ARRIVALS):
        if not cells[column]:
            if column in REQUIRED:
                reject(column, tr("is empty"))
            continue
        zone = zone_of(cells["from" if column in DEPARTURES else "to"]) if zone_of is not None else None
        try:
            times[column] = _moments(cells[column], zone)
        except TimeError as error:
            reject(column, str(error))
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
    return Draft(row.line, cells, times, heads["pax"], heads["crew"], fit, chosen)


@lru_cache(maxsize=50_000)
def _wrong_key(text: str) -> str:
    try:
        _KEY.validate_python(text)
    except ValidationError as error:
        return next(problems_of(error)).reason
    return ""


@lru_cache(maxsize=50_000)
def _moments(text: str, zone: str | None) -> Moments:
    """Raises TimeError."""
    moment = read_time(text)
    if moment.tzinfo is not None:
        return (moment,)
    if zone is None:
        raise TimeError(tr("has no time zone: write it like 2031-03-05T06:10Z, or import local times as such"))
    found = moments(moment, zone)
    if not found:
        raise TimeError(tr("does not exist in {zone}: the clocks are put forward past it").format(zone=zone))
    return found
