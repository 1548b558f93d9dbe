"""The times of a schedule's row: written whole, or as a clock time beside a date, or as a number of days.

A clock time takes the date of the row's `date` (arrivals: of `arrival_date` where there is one), else the date given
for the whole schedule. The date of a departure serves its arrival too: that is the first such time after the
departure. Estimates and actual times lie on the day on which they are nearest to the planned time.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Final

from legtide.files.times import MONTHS, TimeError, moments, read_time
from legtide.language import tr

DEPARTURES: Final = ("std", "etd", "atd")
ARRIVALS: Final = ("sta", "eta", "ata")
DATES: Final = ("date", "arrival_date")
_PLAN_OF: Final = {"etd": "std", "atd": "std", "eta": "sta", "ata": "sta"}
_CLOCK: Final = re.compile(r"(\d{1,2}):?(\d\d)(?::(\d\d)(?:[.,]\d{1,9})?)?\s?(Z|[+-]\d\d(?::?\d\d)?)?", re.I | re.A)
_DATE: Final = re.compile(r"(\d{4})-?(\d\d)-?(\d\d)(?:[T ]00:?00(?::?00)?)?", re.A)
_TRADE_DATE: Final = re.compile(r"(\d{1,2})[ -]?([A-Z]{3})[ -]?(\d{4}|\d\d)", re.I | re.A)
_NUMBER: Final = re.compile(r"\d{1,6}(?:\.\d{1,17})?(?:E-\d{1,3})?", re.I | re.A)
_FIRST_DAYS: Final = 20_000
"""Numbers below are no dates: they would lie before 1955."""
_ONE_DAY: Final = timedelta(days=1)

Moments = tuple[datetime, ...]
"""What a written time can mean, in UTC: one moment, or two where clocks show it twice."""


class DateError(TimeError):
    """A date that cannot be taken; `column` is where it stands."""

    def __init__(self, column: str, reason: str) -> None:
        super().__init__(reason)
        self.column = column


@dataclass(frozen=True, slots=True)
class RowTimes:
    """How the times of a schedule are read."""

    zone_of: Callable[[str], str] | None
    """The zone of a station for times without one; None where each time has to have its own."""
    day: date | None = None
    """Date of clock times in rows that have none."""
    epoch: datetime | None = None
    """Day 0 of dates that stand as numbers; none where numbers are no dates."""

    def read(self, cells: Mapping[str, str]) -> tuple[dict[str, Moments], dict[str, str]]:
        """The times of a row by column, and by column what is wrong."""
        times: dict[str, Moments] = {}
        wrong: dict[str, str] = {}
        for column in (*DEPARTURES, *ARRIVALS):
            if not cells[column]:
                if column not in _PLAN_OF:
                    wrong[column] = tr("is empty")
                continue
            try:
                times[column] = self._time(cells, column, times)
            except DateError as error:
                wrong[error.column] = str(error)
            except TimeError as error:
                wrong[column] = str(error)
        return times, wrong

    def _time(self, cells: Mapping[str, str], column: str, times: Mapping[str, Moments]) -> Moments:
        """Raises TimeError."""
        departs = column in DEPARTURES
        zone = None if self.zone_of is None else self.zone_of(cells["from" if departs else "to"])
        text = _written(cells[column], self.epoch)
        clock = _clock(text)
        if clock is None:
            return _moments(text, zone)
        dated = "arrival_date" if not departs and cells["arrival_date"] else "date"
        if cells[dated]:
            day = _date(cells[dated], dated, self.epoch)
        elif self.day is not None:
            day = self.day
        else:
            raise TimeError(tr("is a time without a date: a column has to give the date, or one for all of them"))
        if dated == "arrival_date" or column == "std" or not times.get("std"):
            return _on(day, clock, zone)
        if column == "sta":
            return _after(times["std"][0], day, clock, zone)
        plan = times.get(_PLAN_OF[column]) or times["std"]
        return min(_around(day, clock, zone), key=lambda found: abs(found[0] - plan[0]))


def only_clock(text: str) -> bool:
    """Whether a time has no date."""
    return _CLOCK.fullmatch(text) is not None


_Clock = tuple[int, int, int, str]


def _clock(text: str) -> _Clock | None:
    """Hours, minutes, seconds and zone of a clock time. Raises TimeError where it is none of a day."""
    found = _CLOCK.fullmatch(text)
    if found is None:
        return None
    hour, minute, second = int(found[1]), int(found[2]), int(found[3] or 0)
    if minute > 59 or second > 59 or (hour, minute * 60 + second) > (24, 0):
        raise TimeError(tr("is no time of a day"))
    return hour, minute, second, found[4] or ""


def _on(day: date, clock: _Clock, zone: str | None) -> Moments:
    """Raises TimeError."""
    hour, minute, second, own = clock
    try:
        day += timedelta(days=hour // 24)
    except OverflowError:
        raise TimeError(tr("is no date and time of the calendar")) from None
    return _moments(f"{day.isoformat()}T{hour % 24:02d}:{minute:02d}:{second:02d}{own}", zone)


def _around(day: date, clock: _Clock, zone: str | None) -> list[Moments]:
    """A clock time on the day before, on the day and on the day after. Raises TimeError where it is on none."""
    found: list[Moments] = []
    first: TimeError | None = None
    for shift in (-1, 0, 1):
        try:
            found.append(_on(day + shift * _ONE_DAY, clock, zone))
        except (TimeError, OverflowError) as error:
            first = first or TimeError(str(error))
    if not found:
        raise first or TimeError(tr("is no date and time of the calendar"))
    return found


def _after(std: datetime, day: date, clock: _Clock, zone: str | None) -> Moments:
    later = [found for found in _around(day, clock, zone) if found[-1] > std]
    return later[0] if later else _on(day, clock, zone)


@lru_cache(maxsize=50_000)
def _date(text: str, column: str, epoch: datetime | None) -> date:
    """Raises DateError."""
    text = _written(text, epoch)
    try:
        if (found := _DATE.fullmatch(text)) is not None:
            return date(int(found[1]), int(found[2]), int(found[3]))
        if (found := _TRADE_DATE.fullmatch(text)) is not None and found[2].upper() in MONTHS:
            year = int(found[3]) + (2000 if len(found[3]) == 2 else 0)
            return date(year, MONTHS.index(found[2].upper()) + 1, int(found[1]))
    except ValueError:
        raise DateError(column, tr("is no date of the calendar")) from None
    raise DateError(column, tr("is not a date written like 2031-03-05 or 05MAR31"))


def _written(text: str, epoch: datetime | None) -> str:
    """A time or date that stands as a number of days, as it would be written; any other text as it is."""
    if epoch is None or _NUMBER.fullmatch(text) is None:
        return text
    days = float(text)
    if days < 1.0 and not text.isdigit():
        clock = (epoch + timedelta(seconds=round(days * 86_400))).time()
        return clock.isoformat() if days < 0.999_995 else "24:00"
    if not _FIRST_DAYS <= days < 150_000:
        return text
    moment = epoch + timedelta(seconds=round(days * 86_400))
    return moment.isoformat() if moment.time() or not text.isdigit() else moment.date().isoformat()


@lru_cache(maxsize=50_000)
def _moments(text: str, zone: str | None) -> Moments:
    """Raises TimeError."""
    moment = read_time(text)
    if moment.tzinfo is not None:
        return (moment,)
    if zone is None:
        raise TimeError(
            tr("has no time zone: write it like 2031-03-05T06:10Z, or import such times as local ones or as UTC")
        )
    found = moments(moment, zone)
    if not found:
        raise TimeError(tr("does not exist in {zone}: the clocks are put forward past it").format(zone=zone))
    return found
