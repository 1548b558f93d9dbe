"""Guesses of what a column is, to be looked at by a user. The words are common practice, no source."""

from __future__ import annotations

import pytest

from legtide.files.column_names import guessed, guessed_zone, plain, times_lack_dates
from legtide.files.schedule_rows import REQUIRED


@pytest.mark.parametrize(
    ("header", "columns"),
    [
        ("REG|FLT|DEP|ARR|STD|STA", "REG|FLT|DEP|ARR|STD|STA"),
        ("A/C|Flight No.|From|To|STD (UTC)|STA (UTC)", "A/C|Flight No.|From|To|STD (UTC)|STA (UTC)"),
        ("Pax|Tail|Flt No|Orig|Dest|SOBT|SIBT", "Tail|Flt No|Orig|Dest|SOBT|SIBT"),
        ("FLT|Dest|Origin|STA Z|STD Z|A/C Reg", "A/C Reg|FLT|Origin|Dest|STD Z|STA Z"),
    ],
)
def test_the_columns_of_the_trade_are_guessed(header: str, columns: str) -> None:
    found = guessed(header.split("|"), [])
    assert [found[field] for field in REQUIRED] == columns.split("|")


def test_what_stands_below_decides_between_a_station_and_a_time() -> None:
    header = ["REG", "FLT", "FROM", "TO", "DEP", "ARR"]
    found = guessed(header, [["QX-A", "1", "ABLE", "BAKE", "06:10", "07:35"]])
    assert [found[field] for field in ("from", "to", "std", "sta")] == ["FROM", "TO", "DEP", "ARR"]
    places = guessed(["REG", "FLT", "DEP", "ARR"], [["QX-A", "1", "ABLE", "BAKE"]])
    assert (places["from"], places["to"]) == ("DEP", "ARR")
    assert "std" not in places


def test_what_is_not_known_is_not_guessed() -> None:
    assert guessed(["Kennung", "x", ""], []) == {}


@pytest.mark.parametrize(
    ("name", "zone"),
    [("STD (UTC)", "utc"), ("STDZ", "utc"), ("STD LT", "local"), ("std local", "local"), ("STD", "")],
)
def test_the_zone_in_a_columns_name(name: str, zone: str) -> None:
    assert guessed(["REG", name], [])["std"] == name
    assert guessed_zone({"std": name}) == zone


def test_plain_names() -> None:
    assert plain(" A/C Reg. ") == "acreg"


def test_times_that_lack_their_dates() -> None:
    at = {"std": 0, "sta": 1}
    assert times_lack_dates(at, [["06:10", "07:35"]])
    assert not times_lack_dates({**at, "date": 2}, [["06:10", "07:35", "2031-03-05"]])
    assert not times_lack_dates(at, [["2031-03-05T06:10Z", "2031-03-05T07:35Z"]])
