"""A schedule becomes a day: every row is a leg, or is listed with what is wrong in it.

The stages: split a CSV file (`csv_reader`) and read each row (`schedule_rows`), or read the trade's schedule file,
which is known by its first line (`schedule_file`); then, for both, give each aircraft one fit, settle the
times that clocks show twice, refuse legs that overlap, and build the day.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Final

from pydantic import ValidationError

from legtide.day.cautions import Finding, cautions
from legtide.day.checks import Problem
from legtide.day.checks import problems as problems_of_day
from legtide.day.document import Aircraft, Day, Leg, Station
from legtide.day.fits import DEFAULT_FIT, FIT_IDS, shipped_fit
from legtide.day.quoting import printable, quoted
from legtide.files.csv_reader import Rejected, TableError, read_table
from legtide.files.reasons import problems_of
from legtide.files.repeats import settle_repeats
from legtide.files.schedule_file import is_schedule_file, read_schedule_file
from legtide.files.schedule_rows import OPTIONAL, REQUIRED, Draft, draft
from legtide.files.zones import Zones
from legtide.language import tr

SEATS_TAKEN: Final = 0.8
"""Share of the seats that is taken where the schedule gives no passengers (contract of the import)."""
_PAIRS: Final = (("std", "sta"), ("etd", "eta"), ("atd", "ata"))


@dataclass(frozen=True, slots=True)
class Options:
    """How a schedule is read."""

    fit: str = DEFAULT_FIT
    """Fit of aircraft for which the schedule names none."""
    local: bool = False
    """Whether times without a zone are local to their station."""
    strict: bool = False
    """Whether one row that is wrong refuses the whole file."""
    zones: Zones = field(default_factory=Zones)
    title: str = ""
    day: date | None = None
    """Which day of a schedule file is taken; none: the first on which any flight operates."""


@dataclass(frozen=True, slots=True)
class Imported:
    """A day made from a schedule, and what became of its rows."""

    day: Day
    rejected: tuple[Rejected, ...]
    """Rows that were not taken, in the order of the file."""
    notes: tuple[str, ...]
    """What was assumed on the way: defaults, zones, repeated hours, columns that are not used."""
    cautions: tuple[Finding, ...]
    """What is doubtful in the day, broken chains among them."""


class ScheduleError(TableError):
    """A schedule that is refused; `problems` has every place and reason."""


def import_schedule(data: bytes, options: Options | None = None) -> Imported:
    """Makes a day of a schedule: CSV, or the trade's schedule file.

    Raises:
        ScheduleError: the file cannot be split, no row of it can be taken, or one is wrong and `strict` is asked for.
        UnknownFitError: the default fit is not a shipped one.
    """
    options = options or Options()
    shipped_fit(options.fit)
    places = _Stations(options.zones)
    try:
        if is_schedule_file(data):
            drafts, rejected, notes = read_schedule_file(data, options.day)
        else:
            drafts, rejected, notes = _rows(data, places if options.local else None)
            notes += [tr("a date picks a day of a schedule file: it is not used here")] * (options.day is not None)
    except TableError as error:
        raise ScheduleError(error.problems) from None
    drafts, more = _with_one_fit(drafts, options.fit)
    rejected += more
    notes += settle_repeats(drafts)
    drafts, more = _apart(drafts)
    rejected += more
    legs, more, defaults = _legs(drafts)
    rejected += more
    rejected.sort(key=lambda row: row.line)
    _refuse(legs, rejected, options.strict)
    day = _day(legs, {row.registration: row.fit for row in drafts}, places, options.title)
    found = problems_of_day(day)
    if found:
        raise ScheduleError(found)
    return Imported(day, tuple(rejected), (*notes, *defaults, *places.notes(day)), cautions(day))


def _rows(data: bytes, places: _Stations | None) -> tuple[list[Draft], list[Rejected], list[str]]:
    """The rows of a CSV file; `places` gives the zones of times without one. Raises TableError."""
    table = read_table(data, REQUIRED, OPTIONAL)
    rejected = list(table.rejected)
    drafts: list[Draft] = []
    for row in table.rows:
        read = draft(row, None if places is None else places.zone)
        if isinstance(read, Draft):
            drafts.append(read)
        else:
            rejected.extend(read)
    return drafts, rejected, list(table.notes)


def _refuse(legs: list[Leg], rejected: list[Rejected], strict: bool) -> None:
    problems = [row.as_problem() for row in rejected]
    if not legs:
        raise ScheduleError([*problems, Problem("", tr("no row of the schedule can be taken"))])
    if strict and problems:
        raise ScheduleError(problems)


class _Stations:
    """The stations of a schedule with their zones, looked up once."""

    def __init__(self, zones: Zones) -> None:
        self._zones = zones
        self._found: dict[str, str | None] = {}

    def zone(self, code: str) -> str:
        if code not in self._found:
            self._found[code] = self._zones.of(code)
        return self._found[code] or "UTC"

    def rows(self, codes: Iterable[str]) -> tuple[Station, ...]:
        return tuple(Station(code=code, time_zone=self.zone(code)) for code in sorted(set(codes)))

    def notes(self, day: Day) -> Iterator[str]:
        unknown = [station.code for station in day.stations if self._found.get(station.code) is None]
        if unknown:
            names = ", ".join(printable(code) for code in unknown[:20]) + (", ..." if len(unknown) > 20 else "")
            yield tr(
                "no time zone is known for {stations}: UTC is taken; a zones file (code,zone) can name it"
            ).format(stations=names)


def _with_one_fit(drafts: list[Draft], default: str) -> tuple[list[Draft], list[Rejected]]:
    """Drafts whose aircraft have one fit: the first that a row names, else the default."""
    first: dict[str, Draft] = {}
    kept, rejected = [], []
    for row in drafts:
        if row.fit and row.registration not in first:
            first[row.registration] = row
    for row in drafts:
        named = first.get(row.registration)
        if named is not None and row.fit not in ("", named.fit):
            rejected.append(
                row.rejected(
                    "fit",
                    tr("{aircraft} is {fit} on line {line}").format(
                        aircraft=quoted(row.registration), fit=named.fit, line=named.line
                    ),
                )
            )
            continue
        row.fit = named.fit if named is not None else default
        kept.append(row)
    return kept, rejected


def _apart(drafts: list[Draft]) -> tuple[list[Draft], list[Rejected]]:
    """Drafts whose legs end after they start and do not overlap an earlier row of the same aircraft."""
    taken: dict[str, list[tuple[datetime, datetime, int]]] = {}
    kept, rejected = [], []
    for row in drafts:
        wrong = [
            row.rejected(
                arrival,
                tr("the leg ends before it starts: {column} is {time}").format(
                    column=departure, time=quoted(row.cells[departure])
                ),
            )
            for departure, arrival in _PAIRS
            if departure in row.times and arrival in row.times and row.at(arrival) <= row.at(departure)
        ]
        spans = taken.setdefault(row.registration, [])
        other = None if wrong else _overlapped(spans, row)
        if other is not None:
            text = tr("the leg overlaps that of line {line} by the same aircraft {aircraft}").format(
                line=other, aircraft=quoted(row.registration)
            )
            wrong.append(row.rejected("std", text))
        if wrong:
            rejected += wrong
            continue
        insort(spans, (row.at("std"), row.at("sta"), row.line))
        kept.append(row)
    return kept, rejected


def _overlapped(spans: list[tuple[datetime, datetime, int]], row: Draft) -> int | None:
    """Line of the leg that a row overlaps; spans are sorted and do not overlap each other."""
    start, end = row.at("std"), row.at("sta")
    at = bisect_left(spans, (start, start, 0))
    if at < len(spans) and spans[at][0] < end:
        return spans[at][2]
    if at > 0 and spans[at - 1][1] > start:
        return spans[at - 1][2]
    return None


def _legs(drafts: list[Draft]) -> tuple[list[Leg], list[Rejected], list[str]]:
    """The legs by aircraft in the order of the file, then by time, and notes on what was filled in."""
    order = {name: i for i, name in enumerate(dict.fromkeys(row.registration for row in drafts))}
    legs: list[Leg] = []
    rejected: list[Rejected] = []
    numbers: dict[str, int] = {}
    filled = {"pax": 0, "crew": 0}
    for row in sorted(drafts, key=lambda row: (order[row.registration], row.at("std"))):
        number = numbers.get(row.registration, 0) + 1
        try:
            legs.append(_leg(row, number))
        except ValidationError as error:
            # The columns were read one by one; what is left are limits of the day file.
            rejected += [row.rejected("", str(problem)) for problem in problems_of(error)]
            continue
        numbers[row.registration] = number
        filled["pax"] += row.passengers is None
        filled["crew"] += row.crew is None
    notes = []
    if filled["pax"]:
        share = f"{SEATS_TAKEN * 100:.0f} %"
        notes.append(
            tr("where no passengers are given, {share} of the seats are taken (legs: {legs})").format(
                share=share, legs=filled["pax"]
            )
        )
    if filled["crew"]:
        notes.append(
            tr("where no crew is given, that of the fit is taken (legs: {legs})").format(legs=filled["crew"])
        )
    return legs, rejected, notes


def _leg(row: Draft, number: int) -> Leg:
    fit = shipped_fit(row.fit)
    times: dict[str, Any] = {column: found[0] for column, found in row.times.items()}
    name = f"{row.registration}-{number:02d}"
    return Leg(
        id=name if len(name) <= 64 else f"line-{row.line}",
        aircraft=row.registration,
        flight=row.cells["flight"],
        origin=row.cells["from"],
        destination=row.cells["to"],
        passengers=round(SEATS_TAKEN * fit.seats.value) if row.passengers is None else row.passengers,
        crew=round(fit.crew.value) if row.crew is None else row.crew,
        cabin_service=row.style,
        **times,
    )


def _day(legs: list[Leg], fits: Mapping[str, str], places: _Stations, title: str) -> Day:
    used = dict.fromkeys(leg.aircraft for leg in legs)
    needed = {fits[name] for name in used}
    try:
        return Day(
            title="".join(c if c.isprintable() else " " for c in title)[:200],
            date=min(leg.std for leg in legs).date(),
            fits=tuple(shipped_fit(fit_id) for fit_id in FIT_IDS if fit_id in needed),
            stations=places.rows(code for leg in legs for code in (leg.origin, leg.destination)),
            aircraft=tuple(Aircraft(registration=name, fit=fits[name]) for name in used),
            legs=tuple(legs),
        )
    except ValidationError as error:
        raise ScheduleError(tuple(problems_of(error))) from None
