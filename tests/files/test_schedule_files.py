"""The trade's schedule file: columns, periods, UTC and local times, aircraft followed by onward flights; damage."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from legtide.cli.main import main
from legtide.day.checks import problems
from legtide.files.day_file import load
from legtide.files.grids import TableError
from legtide.files.schedule import Imported, Options, import_schedule
from legtide.files.schedule_file import dates_covered
from legtide.files.seasons import season_dates
from support.schedule_files import file, leg


def taken(data: bytes, day: date | None = date(2027, 5, 21), **options: object) -> Imported:
    made = import_schedule(data, Options(day=day, **options))  # type: ignore[arg-type]
    assert problems(made.day) == ()
    return made


def at(day: int, hour: int, minute: int) -> datetime:
    return datetime(2027, 5, day, hour, minute, tzinfo=UTC)


TWO = (
    leg("201", "OZM", "0430", "TQB", "0525", c138="X0", c141=" 202"),
    leg("202", "TQB", "0600", "OZM", "0655", c138="X0", c141=" 203"),
    leg("203", "OZM", "0740", "LQV", "0850"),
    leg("301", "OZM", "0500", "JQS", "0600"),
)


def test_onward_flights_make_the_rotations() -> None:
    made = taken(file(*TWO))
    assert made.rejected == ()
    assert [(row.aircraft, row.flight) for row in made.day.legs] == [
        ("LINE-001", "X0 201"),
        ("LINE-001", "X0 202"),
        ("LINE-001", "X0 203"),
        ("LINE-002", "X0 301"),
    ]
    assert made.day.date == date(2027, 5, 21)
    assert any("names no registrations" in note for note in made.notes)
    assert any("73H; fits are not guessed" in note for note in made.notes)


def test_the_aircrafts_times_are_taken_and_not_the_passengers() -> None:
    row = taken(file(*TWO)).day.legs[0]
    assert (row.std, row.sta) == (at(21, 4, 30), at(21, 5, 25))


def test_local_times_go_by_the_variation_of_each_end() -> None:
    """Half-hour offsets, and a departure that is the day before in UTC."""
    lines = (
        leg("501", "ZQD", "0200", "OQD", "0500", c48="+0530", c66="+0400"),
        leg("502", "PQR", "2330", "OZM", "0830", c48="-0230", c66="+0200", c193="01"),
    )
    first, second = sorted(taken(file(*lines, mode="L")).day.legs, key=lambda row: row.flight)
    assert (first.std, first.sta) == (at(20, 20, 30), at(21, 1, 0))
    assert (second.std, second.sta) == (at(22, 2, 0), at(22, 6, 30))


def test_arrivals_cross_midnight_by_the_date_variation() -> None:
    row = taken(file(leg("601", "OZM", "2200", "OQD", "0425", c193="01"))).day.legs[0]
    assert (row.std, row.sta) == (at(21, 22, 0), at(22, 4, 25))
    end = taken(file(leg("602", "OZM", "2200", "TQB", "2400"))).day.legs[0]
    assert end.sta == at(22, 0, 0)


def test_legs_of_one_flight_follow_each_other_on_one_aircraft() -> None:
    lines = (
        leg("701", "OZM", "2000", "TQB", "2130", c138="X0", c141=" 801"),
        leg("701", "TQB", "0010", "LQV", "0140", c12="02", c193="11"),
    )
    made = taken(file(*lines))
    assert {row.aircraft for row in made.day.legs} == {"LINE-001"}
    assert [row.std for row in made.day.legs] == [at(21, 20, 0), at(22, 0, 10)]


def test_only_the_flights_of_the_day_are_taken() -> None:
    """21 May 2027 is a Friday, day 5."""
    assert date(2027, 5, 21).isoweekday() == 5
    lines = (
        leg("1", "OZM", "0500", "TQB", "0600", c29="    5  "),
        leg("2", "OZM", "0500", "TQB", "0600", c29="1234 67"),
        leg("3", "OZM", "0500", "TQB", "0600", c15="22MAY27"),
        leg("4", "OZM", "0500", "TQB", "0600", c22="20MAY27"),
        leg("5", "OZM", "0500", "TQB", "0600", c22="00XXX00"),
        leg("6", "OZM", "0500", "TQB", "0600", c15="14MAY27", c36="2"),
        leg("7", "OZM", "0500", "TQB", "0600", c15="07MAY27", c36="2"),
    )
    assert [row.flight for row in taken(file(*lines)).day.legs] == ["X0 1", "X0 5", "X0 7"]


def test_without_a_date_the_first_day_of_operation_is_taken_and_said() -> None:
    made = taken(file(leg("1", "OZM", "0500", "TQB", "0600", c29="  3    ")), None)
    assert made.day.date == date(2027, 3, 31)
    assert any("the flights of 2027-03-31 are taken" in note for note in made.notes)


def test_a_day_without_flights_is_refused_with_the_period() -> None:
    with pytest.raises(
        TableError, match="no flight operates on 2028-01-01: the file is for 2027-03-28 to 2027-10-30"
    ):
        taken(file(*TWO), date(2028, 1, 1))


def test_links_that_lead_nowhere_are_named() -> None:
    lines = (
        leg("201", "OZM", "0430", "TQB", "0525", c138="X0", c141=" 999"),
        leg("202", "OZM", "0430", "TQB", "0525", c138="X0", c141=" 203"),
        leg("204", "OZM", "0435", "TQB", "0526", c138="X0", c141=" 203"),
        leg("203", "TQB", "0600", "OZM", "0655"),
    )
    made = taken(file(*lines))
    assert any("onward flight X0 999 does not follow that day" in note for note in made.notes)
    assert any("X0 203 follows another flight already" in note for note in made.notes)
    assert len(made.day.aircraft) == 3


@pytest.mark.parametrize(
    ("columns", "reason"),
    [
        ({"c44": "2460"}, "line 4, std: is not a time HHMM"),
        ({"c58": "0400"}, "line 4, sta: the leg ends before it starts"),
        ({"c15": "31FEB27"}, "line 4, begins: is not a date"),
        ({"c29": "       "}, "line 4, days: names no day"),
        ({"c37": "O M"}, "line 4, from: is not a station"),
        ({"c6": "12A4"}, "line 4, flight: is not an airline and a flight number"),
        ({"c193": "?0"}, "line 4, departs after: is not a number of days"),
    ],
)
def test_a_record_that_cannot_be_read_is_listed(columns: dict[str, str], reason: str) -> None:
    bad = leg("901", "OZM", "0500", "TQB", "0600", **columns)
    made = taken(file(bad, *TWO))
    assert len(made.day.legs) == 4
    assert str(made.rejected[0].as_problem()).startswith(reason)
    with pytest.raises(TableError):
        taken(file(bad, *TWO), strict=True)


def test_local_times_without_a_variation_are_listed() -> None:
    made = taken(file(leg("1", "OZM", "0500", "TQB", "0600", c48="     "), *TWO, mode="L"))
    assert "variation to UTC" in made.rejected[0].reason


def test_seasons_have_their_published_dates() -> None:
    """Northern winter 2018/19 and summer 2019, as slot coordinators published them in their calendars."""
    assert season_dates("W18") == (date(2018, 10, 28), date(2019, 3, 30))
    assert season_dates("S19") == (date(2019, 3, 31), date(2019, 10, 26))
    for year in range(100):
        summer, winter = season_dates(f"S{year:02d}"), season_dates(f"W{year:02d}")
        assert (summer[0].isoweekday(), summer[1].isoweekday()) == (7, 6)
        assert (winter[0] - summer[1]).days == 1
    with pytest.raises(ValueError, match="X19"):
        season_dates("X19")


# damage ---------------------------------------------------------------------------------------------------


def outcome(data: bytes) -> Imported | TableError:
    try:
        made = import_schedule(data, Options(day=date(2027, 5, 21)))
    except TableError as error:
        assert error.problems
        return error
    assert problems(made.day) == ()
    assert all(row.reason for row in made.rejected)
    return made


def test_a_file_that_is_cut_at_any_tenth_byte() -> None:
    data = file(*TWO)
    for length in range(0, len(data), 10):
        outcome(data[:length])


def test_mutated_files() -> None:
    rng = random.Random(3)
    data = file(*TWO)
    found = []
    for _ in range(1_500):
        out = bytearray(data)
        for _ in range(rng.randint(1, 8)):
            out[rng.randrange(40, len(out))] = rng.choice([*b"0123456789 XZ\n\r", rng.randrange(256)])
        found.append(outcome(bytes(out)))
    assert sum(isinstance(made, Imported) for made in found) > 300
    assert sum(isinstance(made, Imported) and bool(made.rejected) for made in found) > 300


def test_the_command_knows_the_file_by_its_content(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source, out = tmp_path / "plan.csv", tmp_path / "plan.day.json"
    source.write_bytes(file(*TWO))
    assert main(["import", str(source), "-o", str(out), "--date", "2027-05-21"]) == 0
    printed = capsys.readouterr()
    assert "4 legs of 2 aircraft" in printed.out
    assert "aircraft are numbered by onward flights" in printed.err
    assert len(load(out).day.legs) == 4
    assert main(["import", str(source), "-o", str(out), "--date", "soon"]) == 2
    assert "soon is not a date written like 2031-03-05" in capsys.readouterr().err


def test_a_date_for_a_csv_file_is_said_to_be_of_no_use() -> None:
    table = b"registration,flight,from,to,std,sta\nQX-A,ZZ1,A,B,2031-03-05T06:00Z,2031-03-05T07:00Z\n"
    assert any("the date that was given is not used" in note for note in taken(table).notes)
    assert not any("a date" in note for note in taken(table, None).notes)


def test_the_dates_that_a_file_covers_are_those_on_which_something_operates() -> None:
    data = file(
        leg("201", "OZM", "0430", "TQB", "0525", c29="1 3    ", c15="29MAR27", c22="11APR27"),
        leg("202", "TQB", "0600", "OZM", "0655", c29="1      ", c15="29MAR27", c22="11APR27", c36="2"),
    )
    found = dates_covered(data)
    assert found == {date(2027, 3, 29): 2, date(2027, 3, 31): 1, date(2027, 4, 5): 1, date(2027, 4, 7): 1}
    for day, legs in found.items():
        assert len(taken(data, day).day.legs) == legs


def test_a_period_without_end_offers_one_year() -> None:
    found = dates_covered(file(leg("201", "OZM", "0430", "TQB", "0525", c15="29MAR27", c22="00XXX00")))
    assert (min(found), max(found)) == (date(2027, 3, 29), date(2028, 3, 28))
    assert dates_covered(file()) == {}
