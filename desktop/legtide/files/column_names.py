"""What the columns of schedules are called in the trade: guesses for a user to look at, never taken unseen.

The words are common practice of the trade, without a published source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Final

from legtide.files.row_times import only_clock
from legtide.files.schedule_rows import OPTIONAL, REQUIRED

FIELDS: Final = (*REQUIRED, *OPTIONAL)
_STATION: Final = re.compile(r"[A-Za-z]{2,4}")
_TIME_FIELDS: Final = ("std", "sta", "etd", "eta", "atd", "ata")
_CALLED: Final[Mapping[str, tuple[str, ...]]] = {
    "registration": (
        *("registration", "reg", "regn", "acreg", "aircraftreg", "aircraftregistration", "tail", "tailno"),
        *("tailnumber", "ac", "aircraft"),
    ),
    "flight": ("flight", "flt", "fltno", "flightno", "flightnumber", "fltnumber", "fn", "flightid", "designator"),
    "from": (
        *("from", "dep", "orig", "origin", "adep", "depstn", "depapt", "depairport", "departureairport"),
        *("departurestation", "departure"),
    ),
    "to": (
        *("to", "arr", "dest", "destination", "ades", "arrstn", "arrapt", "arrairport", "arrivalairport"),
        *("arrivalstation", "arrival"),
    ),
    "std": (
        *("std", "sobt", "scheddep", "scheduleddeparture", "deptime", "departuretime", "offblocks", "dep"),
        "departure",
    ),
    "sta": (*("sta", "sibt", "schedarr", "scheduledarrival", "arrtime", "arrivaltime", "onblocks", "arr"), "arrival"),
    "pax": ("pax", "passengers", "paxno", "paxtotal", "totalpax", "booked", "bookedpax", "guests", "load"),
    "crew": ("crew", "crewno", "totalcrew", "pob", "crewcount"),
    "fit": ("fit", "fitid"),
    "etd": ("etd", "eobt", "estimateddeparture"),
    "eta": ("eta", "eibt", "estimatedarrival"),
    "atd": ("atd", "aobt", "actualdeparture"),
    "ata": ("ata", "aibt", "actualarrival"),
    "service_style": ("servicestyle", "cabinservice", "catering"),
    "date": ("date", "day", "fltdate", "flightdate", "dof", "dateofflight", "depdate", "departuredate", "opsdate"),
    "arrival_date": ("arrivaldate", "arrdate"),
}
_ZONES: Final = {"utc": ("utc", "zulu", "gmt", "z"), "local": ("local", "lcl", "lt", "loc")}


def plain(name: str) -> str:
    """A column's name without case, blanks and marks: "A/C Reg." is "acreg"."""
    return "".join(letter for letter in name.lower() if letter.isalnum())


KNOWN: Final = frozenset(word for words in _CALLED.values() for word in words) | {plain(name) for name in FIELDS}
"""Normal forms of all names, by which a header is found."""


def guessed(header: Sequence[str], sample: Sequence[Sequence[str]]) -> dict[str, str]:
    """Fields and the columns that they probably stand in.

    Args:
        header: the names of the columns.
        sample: the first rows; a column of times is no station, and the other way round.
    """
    found: dict[str, str] = {}
    for field in FIELDS:
        for word in (plain(field), *_CALLED[field]):
            name = next(
                (
                    name
                    for i, name in enumerate(header)
                    if name not in found.values() and _bare(name, field) == word and _fits(field, i, sample)
                ),
                None,
            )
            if name is not None:
                found[field] = name
                break
    return found


def guessed_zone(columns: Mapping[str, str]) -> str:
    """What the names of the columns of times say of their zone: "utc", "local", or nothing."""
    for zone in _ZONES:
        if any(_zone_in(columns.get(field, ""), field) == zone for field in ("std", "sta")):
            return zone
    return ""


def _bare(name: str, field: str) -> str:
    """The normal form without the zone that a column of times may have in its name."""
    word = plain(name)
    if field not in _TIME_FIELDS or word in _CALLED[field]:
        return word
    for endings in _ZONES.values():
        for ending in endings:
            if word.endswith(ending) and word.removesuffix(ending) in _CALLED[field]:
                return word.removesuffix(ending)
    return word


def _zone_in(name: str, field: str) -> str:
    word, bare = plain(name), _bare(name, field)
    return next((zone for zone, endings in _ZONES.items() if word != bare and word[len(bare) :] in endings), "")


def _fits(field: str, column: int, sample: Sequence[Sequence[str]]) -> bool:
    """Whether most of the first texts of a column can be what a field is: a station has letters, a time digits."""
    texts = [row[column] for row in sample if column < len(row) and row[column]]
    if not texts or field not in ("from", "to", *_TIME_FIELDS):
        return True
    stations = sum(_STATION.fullmatch(text) is not None for text in texts)
    return (2 * stations > len(texts)) == (field in ("from", "to"))


def times_lack_dates(columns: Mapping[str, int], sample: Sequence[Sequence[str]]) -> bool:
    """Whether the planned times of the first rows are clock times, and no column gives their date."""
    if "date" in columns:
        return False
    at = [columns[field] for field in ("std", "sta") if field in columns]
    return any(only_clock(row[i]) for row in sample for i in at if i < len(row) and row[i])
