"""The trade's schedule file becomes the legs of one day, with aircraft followed by their onward flights.

The file says which flight an aircraft goes on with, and never which aircraft that is: each chain of legs gets a
number in place of a registration, and a note says so.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from legtide.day.checks import Problem
from legtide.files.grids import Rejected, TableError
from legtide.files.schedule_records import LENGTH, LegRecord, RecordError, read_leg
from legtide.files.schedule_rows import Draft
from legtide.files.seasons import season_dates
from legtide.files.strict_json import BadJsonError, decoded
from legtide.language import tr

_TITLE: Final = b"1AIRLINE STANDARD SCHEDULE DATA SET"
_MOST_RECORDS: Final = 1_000_000
_MOST_LEGS: Final = 100_000
_MOST_DATES: Final = 365


@dataclass(frozen=True, slots=True)
class _Flown:
    """A leg on its date."""

    record: LegRecord
    std: datetime
    sta: datetime


def is_schedule_file(data: bytes) -> bool:
    """Whether bytes begin as the header record of a schedule file does."""
    return data.removeprefix(b"\xef\xbb\xbf").lstrip(b"\r\n").startswith(_TITLE)


def read_schedule_file(data: bytes, day: date | None) -> tuple[list[Draft], list[Rejected], list[str]]:
    """The legs of all flights of one date (none: the first on which any operates), rejected records, and notes.

    Raises:
        TableError: the file is not text, is too large, or nothing operates on that date.
    """
    records, rejected, notes = _records(data)
    if not records:
        reasons = [row.as_problem() for row in rejected]
        raise TableError([*reasons, Problem("", tr("no leg of the schedule file can be read"))])
    chosen = day or _first_day(records)
    flown = _flown(records, chosen)
    if not flown:
        first, last = min(row.begins for row in records), max(row.ends for row in records)
        raise TableError(
            [
                Problem(
                    "",
                    tr("no flight operates on {date}: the file is for {first} to {last}").format(
                        date=chosen, first=first, last=last
                    ),
                )
            ]
        )
    if day is None:
        notes.append(
            tr("the flights of {date} are taken, the first day on which any operates; --date takes another").format(
                date=chosen
            )
        )
    chains, loose = _chains(flown)
    notes += loose
    notes.append(
        tr(
            "a schedule file names no registrations: aircraft are numbered by onward flights (aircraft: {n}); "
            "give them their registrations and fits"
        ).format(n=len(chains))
    )
    types = sorted({leg.record.type for leg in flown if leg.record.type})
    notes.append(
        tr("types in the file: {types}; fits are not guessed from them").format(types=", ".join(types) or tr("none"))
    )
    rows = [_draft(leg, f"LINE-{number:03d}") for number, chain in enumerate(chains, start=1) for leg in chain]
    return rows, rejected, notes


def dates_covered(data: bytes) -> dict[date, int]:
    """The dates on which a schedule file has legs, and how many, in order; the first year of them at most.

    Raises TableError: the file is not text, or is too large.
    """
    records, _, _ = _records(data)
    begins = _first_day(records) if records else date.min
    # A season has many flights, and few patterns of days.
    patterns: dict[tuple[object, ...], list[LegRecord]] = defaultdict(list)
    for record in records:
        patterns[record.begins, record.ends, record.days, record.fortnightly].append(record)
    legs: dict[date, int] = defaultdict(int)
    for alike in patterns.values():
        one = alike[0]
        first, last = max(begins, one.begins), min(one.ends, begins + timedelta(days=_MOST_DATES))
        for step in range((last - first).days + 1):
            if one.operates(day := first + timedelta(days=step)):
                legs[day] += len(alike)
    return dict(sorted(legs.items()))


def _records(data: bytes) -> tuple[list[LegRecord], list[Rejected], list[str]]:
    try:
        lines = decoded(data).replace("\r\n", "\n").split("\n")
    except BadJsonError as error:
        raise TableError(error.problems) from None
    if len(lines) > _MOST_RECORDS:
        raise TableError([Problem("", tr("has more than {n} records").format(n=_MOST_RECORDS))])
    records: list[LegRecord] = []
    rejected: list[Rejected] = []
    notes: list[str] = []
    mode = ""
    for number, line in enumerate(lines, start=1):
        kind = line[:1]
        if kind == "2" and len(line) <= LENGTH:
            mode = line[1:2]
            notes += _season(line)
        elif kind == "3":
            try:
                records.append(_leg(line, number, mode))
            except RecordError as error:
                rejected.append(Rejected(number, error.column, error.value, str(error)))
        elif line.strip() and (kind not in "01245" or len(line) > LENGTH):
            rejected.append(
                Rejected(
                    number, "", line[:200], tr("is not a record of {n} characters of type 1 to 5").format(n=LENGTH)
                )
            )
    return records, rejected, notes


def _leg(line: str, number: int, mode: str) -> LegRecord:
    if len(line) > LENGTH:
        raise RecordError("", line[:60], tr("is longer than {n} characters").format(n=LENGTH))
    if mode not in ("U", "L"):
        raise RecordError(
            "", line[:60], tr("follows no carrier record that says whether times are U (UTC) or L (local)")
        )
    return read_leg(line, number, mode == "L")


def _season(line: str) -> list[str]:
    try:
        first, last = season_dates(line[10:13])
    except ValueError:
        return []
    return [tr("season {season}: {first} to {last}").format(season=line[10:13], first=first, last=last)]


def _first_day(records: list[LegRecord]) -> date:
    """The first day on which any flight operates, else the first day of all periods."""
    found = [day for row in records if (day := row.first_day()) is not None]
    return min(found, default=min(row.begins for row in records))


def _flown(records: list[LegRecord], day: date) -> list[_Flown]:
    """The legs of the flights of a date, in the order of departure."""
    legs = [_Flown(row, *row.times(day)) for row in records if row.operates(day)]
    if len(legs) > _MOST_LEGS:
        raise TableError([Problem("", tr("more than {n} legs operate on {date}").format(n=_MOST_LEGS, date=day))])
    return sorted(legs, key=lambda leg: (leg.std, leg.record.flight, leg.record.number, leg.record.line))


def _chains(flown: list[_Flown]) -> tuple[list[list[_Flown]], list[str]]:
    """Legs strung together by flight and onward flight, and notes on links that lead nowhere."""
    by_flight: dict[str, list[_Flown]] = defaultdict(list)
    for leg in flown:
        by_flight[leg.record.flight].append(leg)
    following: dict[int, _Flown] = {}
    taken: set[int] = set()
    loose: list[str] = []
    for leg in flown:
        later = _next_of_flight(leg, by_flight)
        onward = leg.record.onward
        if later is None and onward is not None and onward.layover_days == 0:
            later = _departing(leg, by_flight[onward.flight])
            if later is None:
                loose.append(
                    tr("line {line}: onward flight {flight} does not follow that day").format(
                        line=leg.record.line, flight=onward.flight
                    )
                )
        if later is not None and id(later) in taken:
            loose.append(
                tr("line {line}: {flight} follows another flight already").format(
                    line=leg.record.line, flight=later.record.flight
                )
            )
        elif later is not None:
            following[id(leg)] = later
            taken.add(id(later))
    chains = []
    for leg in flown:
        if id(leg) not in taken:
            chain = [leg]
            while (after := following.get(id(chain[-1]))) is not None:
                chain.append(after)
            chains.append(chain)
    return chains, loose


def _next_of_flight(leg: _Flown, by_flight: dict[str, list[_Flown]]) -> _Flown | None:
    record = leg.record
    same = [row for row in by_flight[record.flight] if row.record.variation == record.variation]
    return _departing(leg, [row for row in same if row.record.number == record.number + 1])


def _departing(leg: _Flown, candidates: list[_Flown]) -> _Flown | None:
    """The first of some legs that leaves where and after a leg arrives."""
    fitting = (row for row in candidates if row.record.origin == leg.record.destination and row.std >= leg.sta)
    return min(fitting, key=lambda row: row.std, default=None)


def _draft(leg: _Flown, name: str) -> Draft:
    record = leg.record
    cells = {
        "registration": name,
        "flight": record.flight,
        "from": record.origin,
        "to": record.destination,
        "std": f"{leg.std:%Y-%m-%dT%H:%MZ}",
        "sta": f"{leg.sta:%Y-%m-%dT%H:%MZ}",
    }
    return Draft(record.line, cells, {"std": (leg.std,), "sta": (leg.sta,)}, None, None, "", "average")
