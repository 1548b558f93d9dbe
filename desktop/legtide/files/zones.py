"""Time zones of stations: from the user's own list, else from the airport reference library, else UTC."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache

from pydantic import TypeAdapter, ValidationError

from legtide.day.checks import Problem
from legtide.day.document import ZoneName
from legtide.day.quoting import quoted
from legtide.files.csv_reader import read_table
from legtide.files.grids import Rejected, TableError
from legtide.language import tr

_ZONE: TypeAdapter[str] = TypeAdapter(ZoneName)


@dataclass(frozen=True, slots=True)
class Zones:
    """Where the zones of stations come from."""

    given: Mapping[str, str] = field(default_factory=dict)
    """Station code -> zone, as the user lists them."""

    def of(self, code: str) -> str | None:
        """The zone of a station; none where nothing is known of it."""
        zone = self.given.get(code) or _airport_zone(code)
        return zone if zone is not None and is_zone(zone) else None

    def known(self, code: str) -> str:
        """The zone of a station, UTC where nothing is known of it."""
        return self.of(code) or "UTC"


@lru_cache(maxsize=2_000)
def is_zone(name: str) -> bool:
    """Whether a time zone of that name exists on this machine."""
    try:
        _ZONE.validate_python(name)
    except ValidationError:
        return False
    return True


@cache
def _zones_of_airports(letters: int) -> Mapping[str, str]:
    """Zones of real airports by their three-letter (IATA) or four-letter (ICAO) code."""
    import airportsdata

    rows = airportsdata.load("IATA") if letters == 3 else airportsdata.load("ICAO")
    return {code: row["tz"] for code, row in rows.items()}


def _airport_zone(code: str) -> str | None:
    return _zones_of_airports(len(code)).get(code.upper()) if len(code) in (3, 4) else None


def read_zones(data: bytes) -> Zones:
    """Zones from a CSV file with the columns `code,zone`; the header may be missing.

    Raises TableError with every line that is wrong.
    """
    table = read_table(data, ("code", "zone"), header_may_lack=True)
    wrong = list(table.rejected)
    given: dict[str, str] = {}
    for row in table.rows:
        code, zone = row.cells["code"], row.cells["zone"]
        if not code:
            wrong.append(Rejected(row.line, "code", code, tr("is empty")))
        elif not is_zone(zone):
            wrong.append(Rejected(row.line, "zone", zone, tr("is not a known time zone")))
        elif given.get(code, zone) != zone:
            wrong.append(
                Rejected(
                    row.line, "code", code, tr("has the zone {zone} further up").format(zone=quoted(given[code]))
                )
            )
        else:
            given[code] = zone
    if wrong:
        raise TableError([row.as_problem() for row in sorted(wrong, key=lambda row: row.line)])
    if not given:
        raise TableError([Problem("", tr("names no zone"))])
    return Zones(given)
