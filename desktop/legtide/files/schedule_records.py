"""Records of the trade's schedule file: lines of 200 characters, columns counted from 1.

Chapter 7 of the Standard Schedules Information Manual (edition of March 2011) has five types: 1 header, 2 carrier,
3 leg, 4 segment data, 5 trailer. Read here are types 2 and 3:

    2    2 time mode U or L; 11-13 season; 15-21 and 22-28 period
    3    2 suffix; 3-5 airline; 6-9 number; 10-11 variation; 12-13 leg; 15-21 and 22-28 period DDMMMYY; 29-35 days;
         36 every second week (2); 37-39 from; 44-47 STD of the aircraft; 48-52 variation to UTC; 55-57 to;
         58-61 STA of the aircraft; 66-70 variation to UTC; 73-75 type; 138-146 onward flight: airline 3, number 4,
         days of layover 1, suffix 1; 193 and 194 days after the flight's date at departure and arrival

That the period counts by the flight's date at its first station, and what J, A and column 36 mean, is from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Final

from legtide.files.times import MONTHS
from legtide.language import tr

LENGTH: Final = 200
_DATE: Final = re.compile(r"([0-9]{2})([A-Z]{3})([0-9]{2})")
_CLOCK: Final = re.compile(r"([0-9]{2})([0-9]{2})")
_OFFSET: Final = re.compile(r"([+-])([0-9]{2})([0-9]{2})")
_NUMBER: Final = re.compile(r"[0-9]{1,4}")
_STATION: Final = re.compile(r"[A-Z0-9]{3}")
_SHIFTS: Final = {"": 0, "0": 0, "J": -1, "A": -1, **{str(days): days for days in range(1, 10)}}
_COLUMNS: Final = {
    "airline": (3, 5), "number": (6, 9), "variation": (10, 11), "leg": (12, 13), "begins": (15, 21), "ends": (22, 28),
    "days": (29, 35), "frequency": (36, 36), "from": (37, 39), "std": (44, 47), "std utc": (48, 52), "to": (55, 57),
    "sta": (58, 61), "sta utc": (66, 70), "type": (73, 75), "onward airline": (138, 140), "onward number": (141, 144),
    "layover": (145, 145), "onward suffix": (146, 146), "departs after": (193, 193), "arrives after": (194, 194),
}  # fmt: skip


class RecordError(ValueError):
    """A field of a record that cannot be read: which, its text, and why."""

    def __init__(self, column: str, value: str, reason: str) -> None:
        super().__init__(reason)
        self.column, self.value = column, value


@dataclass(frozen=True, slots=True)
class Onward:
    """The flight that an aircraft goes on with."""

    flight: str
    layover_days: int


@dataclass(frozen=True, slots=True)
class LegRecord:
    """One leg of one flight over a period."""

    line: int
    flight: str
    variation: str
    number: int
    begins: date
    ends: date
    days: frozenset[int]
    """Days of the week, Monday is 1."""
    fortnightly: bool
    origin: str
    destination: str
    departs: timedelta
    """After midnight UTC of the flight's date; may be negative."""
    arrives: timedelta
    type: str
    onward: Onward | None

    def operates(self, day: date) -> bool:
        """Whether the flight of that date operates."""
        if not self.begins <= day <= self.ends or day.isoweekday() not in self.days:
            return False
        return not self.fortnightly or (day - self.begins).days // 7 % 2 == 0

    def first_day(self) -> date | None:
        """The first date on which the flight operates; none when its period holds none of its days."""
        days = (self.begins + timedelta(days=step) for step in range(7))
        return next((day for day in days if self.operates(day)), None)

    def times(self, day: date) -> tuple[datetime, datetime]:
        """Departure and arrival in UTC of the flight of a date."""
        midnight = datetime(day.year, day.month, day.day, tzinfo=UTC)
        return midnight + self.departs, midnight + self.arrives


def fields(line: str) -> dict[str, str]:
    """The fields of a leg record by name, without blanks around them."""
    padded = line.ljust(LENGTH)
    return {name: padded[first - 1 : last].strip() for name, (first, last) in _COLUMNS.items()}


def read_leg(line: str, number: int, local: bool) -> LegRecord:
    """Reads a record of type 3; `local` when its times are local to their stations.

    Raises RecordError at the first field that cannot be read.
    """
    row = fields(line)
    suffix = line[1:2].strip()
    departs, arrives = _moment(row, "std", "departs after", local), _moment(row, "sta", "arrives after", local)
    if arrives <= departs:
        raise RecordError(
            "sta",
            row["sta"],
            tr("the leg ends before it starts: the aircraft's STD is {time}").format(time=row["std"]),
        )
    days = frozenset(int(mark) for mark in row["days"] if mark in "1234567")
    if not days:
        raise RecordError("days", row["days"], tr("names no day of the week"))
    begins, ends = read_date(row["begins"], "begins"), read_date(row["ends"], "ends", open_ended=True)
    for name in ("from", "to"):
        if not _STATION.fullmatch(row[name]):
            raise RecordError(name, row[name], tr("is not a station of three letters"))
    return LegRecord(
        line=number,
        flight=flight_name(row["airline"], row["number"], suffix),
        variation=row["variation"],
        number=int(row["leg"]) if row["leg"].isascii() and row["leg"].isdigit() else 1,
        begins=begins,
        ends=ends,
        days=days,
        fortnightly=row["frequency"] == "2",
        origin=row["from"],
        destination=row["to"],
        departs=departs,
        arrives=arrives,
        type=row["type"],
        onward=_onward(row),
    )


def flight_name(airline: str, number: str, suffix: str) -> str:
    """A flight as it is called, such as `X0 201`. Raises RecordError."""
    if not airline or not _NUMBER.fullmatch(number):
        raise RecordError("flight", f"{airline}{number}", tr("is not an airline and a flight number"))
    return f"{airline} {int(number)}{suffix}"


def read_date(text: str, column: str, *, open_ended: bool = False) -> date:
    """Reads DDMMMYY; `00XXX00` is no end at all where that may be. Raises RecordError."""
    if open_ended and text == "00XXX00":
        return date.max
    found = _DATE.fullmatch(text)
    try:
        if found is None:
            raise ValueError
        return date(2000 + int(found[3]), MONTHS.index(found[2]) + 1, int(found[1]))
    except ValueError:
        raise RecordError(column, text, tr("is not a date such as 30MAR27")) from None


def _moment(row: dict[str, str], column: str, shift: str, local: bool) -> timedelta:
    clock = _CLOCK.fullmatch(row[column])
    if clock is None or int(clock[2]) > 59 or int(clock[1]) * 60 + int(clock[2]) > 24 * 60:
        raise RecordError(column, row[column], tr("is not a time HHMM"))
    if row[shift] not in _SHIFTS:
        raise RecordError(shift, row[shift], tr("is not a number of days"))
    moment = timedelta(days=_SHIFTS[row[shift]], hours=int(clock[1]), minutes=int(clock[2]))
    return moment - _offset(row[f"{column} utc"], f"{column} utc") if local else moment


def _offset(text: str, column: str) -> timedelta:
    found = _OFFSET.fullmatch(text)
    if found is None or int(found[2]) > 14 or int(found[3]) > 59:
        raise RecordError(column, text, tr("is not a variation to UTC such as +0200, which local times need"))
    size = timedelta(hours=int(found[2]), minutes=int(found[3]))
    return size if found[1] == "+" else -size


def _onward(row: dict[str, str]) -> Onward | None:
    if not row["onward number"]:
        return None
    flight = flight_name(row["onward airline"] or row["airline"], row["onward number"], row["onward suffix"])
    return Onward(flight, int(row["layover"]) if row["layover"] in set("123456789") else 0)
