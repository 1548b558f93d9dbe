"""Clock times beside dates: the day that each of them means, across midnight, zones and clock changes."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from legtide.files.row_times import ARRIVALS, DATES, DEPARTURES, RowTimes, only_clock

COLUMNS = (*DEPARTURES, *ARRIVALS, *DATES)
ZONES = {"ABLE": "Europe/Berlin", "BAKE": "America/Los_Angeles", "CAKE": "Asia/Tokyo"}
EPOCH = datetime(1899, 12, 30)


def read(
    origin: str = "ABLE", to: str = "ABLE", day: date | None = None, utc: bool = False, **cells: str
) -> tuple[dict[str, str], dict[str, str]]:
    """Times as "day hour:minute" in UTC, and what is wrong."""
    times = RowTimes((lambda _station: "UTC") if utc else ZONES.__getitem__, day, EPOCH)
    found, wrong = times.read({"from": origin, "to": to, **dict.fromkeys(COLUMNS, ""), **cells})
    return {name: f"{moments[0]:%d %H:%M}" for name, moments in found.items()}, wrong


def test_an_arrival_after_midnight_is_on_the_next_day() -> None:
    times, wrong = read(utc=True, date="2031-03-05", std="23:20", sta="00:55")
    assert (times, wrong) == ({"std": "05 23:20", "sta": "06 00:55"}, {})


def test_an_arrival_whose_clock_shows_less_than_the_departures_may_be_on_the_same_day() -> None:
    """Across the date line: off Tokyo at 17:00, on in Los Angeles at 10:05 of the same date."""
    times, _ = read("CAKE", "BAKE", date="2031-03-05", std="17:00", sta="10:05")
    assert times == {"std": "05 08:00", "sta": "05 18:05"}


def test_an_arrival_may_be_two_dates_later_by_the_clocks_of_its_station() -> None:
    times, _ = read("BAKE", "CAKE", date="2031-03-05", arrival_date="2031-03-07", std="23:30", sta="04:30")
    assert times == {"std": "06 07:30", "sta": "06 19:30"}


def test_an_arrival_date_of_its_own_is_taken_as_it_is() -> None:
    times, _ = read(utc=True, date="2031-03-05", arrival_date="2031-03-05", std="23:20", sta="00:55")
    assert times["sta"] == "05 00:55"


def test_estimates_and_actual_times_are_near_the_planned_ones() -> None:
    cells = {"std": "23:50", "sta": "00:55", "etd": "00:20", "eta": "01:25", "atd": "23:45", "ata": "00:50"}
    times, _ = read(utc=True, date="2031-03-05", **cells)
    assert [times[name] for name in ("etd", "eta", "atd", "ata")] == ["06 00:20", "06 01:25", "05 23:45", "06 00:50"]


@pytest.mark.parametrize(
    "written", ["06:10", "6:10", "0610", "610", "06:10:00", "0610Z", "06:10+00:00", "0.256944444444444"]
)
def test_ways_to_write_a_clock_time(written: str) -> None:
    times, wrong = read(utc=True, date="2031-03-05", std=written, sta="07:00")
    assert (times["std"], wrong) == ("05 06:10", {})


@pytest.mark.parametrize("written", ["24:00", "2400"])
def test_midnight_at_the_end_of_a_day_is_the_start_of_the_next(written: str) -> None:
    """ISO 8601:2004, 4.2.3."""
    times, _ = read(utc=True, date="2031-03-05", std="22:00", sta=written)
    assert times["sta"] == "06 00:00"


@pytest.mark.parametrize(
    "written", ["2031-03-05", "20310305", "05MAR31", "5-Mar-2031", "2031-03-05T00:00:00", "47912"]
)
def test_ways_to_write_a_date(written: str) -> None:
    times, wrong = read(utc=True, date=written, std="06:10", sta="07:00")
    assert (times["std"], wrong) == ("05 06:10", {})


@pytest.mark.parametrize(
    ("cells", "wrong"),
    [
        ({"date": "05/03/31", "std": "06:10"}, {"date": "is not a date written like 2031-03-05 or 05MAR31"}),
        ({"date": "31FEB31", "std": "06:10"}, {"date": "is no date of the calendar"}),
        ({"date": "2031-03-05", "std": "25:10"}, {"std": "is no time of a day"}),
        ({"date": "2031-03-05", "std": "2401"}, {"std": "is no time of a day"}),
        (
            {"std": "06:10"},
            {"std": "is a time without a date: a column has to give the date, or one for all of them"},
        ),
    ],
)
def test_what_is_refused(cells: dict[str, str], wrong: dict[str, str]) -> None:
    _, found = read(utc=True, sta="2031-03-05T09:00Z", **cells)
    assert found == wrong


def test_one_date_for_all() -> None:
    times, _ = read(utc=True, day=date(2031, 3, 5), std="23:20", sta="00:55")
    assert times == {"std": "05 23:20", "sta": "06 00:55"}


def test_a_time_in_the_hour_that_clocks_leave_out_has_no_day() -> None:
    """Berlin, 30 March 2031: 02:00 to 03:00 does not exist (Directive 2000/84/EC)."""
    _, wrong = read(date="2031-03-30", std="02:30", sta="04:30")
    assert wrong == {"std": "does not exist in Europe/Berlin: the clocks are put forward past it"}


def test_only_clock() -> None:
    assert only_clock("0610") and only_clock("06:10Z")
    assert not only_clock("2031-03-05T06:10") and not only_clock("")
