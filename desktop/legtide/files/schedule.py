"""A schedule becomes a day: every row is a leg, or is listed with what is wrong in it.

The stages: open the file (`schedule_source`); give the columns of a CSV file or a sheet their meaning (`grids`) and
read each row (`schedule_rows`), or read the trade's schedule file (`schedule_file`); then, for all, give each
aircraft one fit, settle the times that clocks show twice, refuse legs that overlap, and build the day.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Final, Literal

from pydantic import ValidationError

from legtide.day.cautions import Finding, cautions
from legtide.day.checks import Problem
from legtide.day.checks import problems as problems_of_day
from legtide.day.document import Aircraft, Day, Leg, Station
from legtide.day.fits import DEFAULT_FIT, FIT_IDS, shipped_fit
from legtide.day.quoting import printable, quoted
from legtide.files.grids import Columns, Rejected, TableError, check_rejected, table_of
from legtide.files.reasons import problems_of
from legtide.files.repeats import settle_repeats
from legtide.files.row_times import RowTimes, only_clock
from legtide.files.schedule_file import read_schedule_file
from legtide.files.schedule_rows import OPTIONAL, REQUIRED, Draft, draft
from legtide.files.schedule_source import ScheduleSource, read_source
from legtide.files.zones import Zones
from legtide.language import tr

SEATS_TAKEN: Final = 0.8
"""Share of the seats that is taken where the schedule gives no passengers (contract of the import)."""
Times = Literal["zoned", "utc", "local"]
_PAIRS: Final = (("std", "sta"), ("etd", "eta"), ("atd", "ata"))


@dataclass(frozen=True, slots=True)
class Options:
    """How a schedule is read."""

    fit: str = DEFAULT_FIT
    """Fit of aircraft for which the schedule names none."""
    times: Times = "zoned"
    """What a time without a zone is: refused ("zoned"), UTC, or local to its station."""
    strict: bool = False
    """Whether one row that is wrong refuses the whole file."""
    zones: Zones = field(default_factory=Zones)
    title: str = ""
    day: date | None = None
    """Which day of a schedule file is taken (none: the first on which any flight operates), and the date of clock
    times in rows that have none."""
    columns: Columns = field(default_factory=dict)
    """Columns that have another name than their field."""
    sheet: str = ""
    """Which sheet of a workbook; empty: the first that has the columns."""


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


def import_schedule(data: bytes, options: Options | None = None, name: str = "") -> Imported:
    """Makes a day of a schedule: CSV, a workbook, or the trade's schedule file.

    Args:
        data: the file.
        options: how it is read.
        name: the file's name, whose ending has to suit what is in it; empty where it has none.

    Raises as `read_source` and `import_source` do.
    """
    options = options or Options()
    shipped_fit(options.fit)
    return import_source(read_source(data, name, options.sheet), options)


def import_source(source: ScheduleSource, options: Options) -> Imported:
    """Makes a day of a schedule that has been opened.

    Raises:
        ColumnsError: a column is missing in the header.
        TableError: it cannot be split, no row of it can be taken, or one is wrong and `strict` is asked for.
        UnknownFitError: the default fit is not a shipped one.
    """
    shipped_fit(options.fit)
    places = _Stations(options.zones)
    if source.records is not None:
        drafts, rejected, notes = read_schedule_file(source.records, options.day)
    else:
        drafts, rejected, notes = _rows(source, options, places)
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
        raise TableError(found)
    return Imported(day, tuple(rejected), (*notes, *defaults, *places.notes(day)), cautions(day))


def _rows(
    source: ScheduleSource, options: Options, places: _Stations
) -> tuple[list[Draft], list[Rejected], list[str]]:
    """The rows of a table. Raises TableError."""
    table = source.table(options.sheet, options.columns)
    found = table_of(table, REQUIRED, OPTIONAL, options.columns)
    times = row_times(options, found.epoch, places.zone)
    rejected = list(found.rejected)
    drafts: list[Draft] = []
    for number, row in enumerate(found.rows, start=1):
        read = draft(row, times, found.places)
        if isinstance(read, Draft):
            drafts.append(read)
        else:
            check_rejected(number - len(drafts))
            rejected.extend(read)
    notes = list(found.notes)
    others = [name for name in source.sheets if name != found.places.sheet]
    if others:
        names = ", ".join(quoted(name) for name in others[:20])
        words = tr("sheet {sheet} is read; there are also {sheets}")
        notes.insert(0, words.format(sheet=quoted(found.places.sheet), sheets=names))
    if options.day is not None and not any(only_clock(row.cells["std"]) for row in found.rows):
        notes.append(tr("every time has a date of its own: the date that was given is not used"))
    return drafts, rejected, notes


def row_times(options: Options, epoch: datetime | None, zone_of: Callable[[str], str]) -> RowTimes:
    """How the times of a table are read; `zone_of` gives the zones of stations."""
    zones = {"zoned": None, "utc": lambda _station: "UTC", "local": zone_of}
    return RowTimes(zones[options.times], options.day, epoch)


def _refuse(legs: list[Leg], rejected: list[Rejected], strict: bool) -> None:
    problems = [row.as_problem() for row in rejected]
    if not legs:
        raise TableError([*problems, Problem("", tr("no row of the schedule can be taken"))])
    if strict and problems:
        raise TableError(problems)


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
                    tr("{aircraft} is {fit} on {row}").format(
                        aircraft=quoted(row.registration), fit=named.fit, row=named.places.row(named.line)
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
            text = tr("the leg overlaps that of {row} by the same aircraft {aircraft}").format(
                row=row.places.row(other), aircraft=quoted(row.registration)
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
        raise TableError(tuple(problems_of(error))) from None
