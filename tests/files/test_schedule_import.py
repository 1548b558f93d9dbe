"""A schedule becomes a day: columns, defaults, local times, broken chains, and every row that is not taken."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

import pytest

from legtide.day.checks import problems
from legtide.day.fits import UnknownFitError, shipped_fit
from legtide.files.day_file import parse, to_bytes
from legtide.files.grids import TableError
from legtide.files.schedule import Imported, Options, import_schedule
from legtide.files.zones import Zones, read_zones

HEADER = "registration,flight,from,to,std,sta"


def imported(rows: Sequence[str], header: str = HEADER, **options: Any) -> Imported:
    made = import_schedule("\n".join([header, *rows]).encode(), Options(**options))
    assert problems(made.day) == ()
    return made


def rejected(made: Imported) -> list[str]:
    return [str(row.as_problem()) for row in made.rejected]


def row(flight: str, off: str, on: str, origin: str = "ABLE", destination: str = "BAKE", name: str = "QX-A") -> str:
    return f"{name},{flight},{origin},{destination},2031-03-05T{off}Z,2031-03-05T{on}Z"


def test_defaults_are_those_of_the_contract() -> None:
    made = imported([row("Z1", "06:00", "07:00")])
    (leg,) = made.day.legs
    fit = shipped_fit("single-aisle-180")
    assert made.day.fits == (fit,)
    assert leg.passengers == 144 == round(0.8 * fit.seats.value)
    assert leg.crew == fit.crew.value
    assert leg.cabin_service == "average"
    (aircraft,) = made.day.aircraft
    assert (aircraft.fresh_percent, aircraft.waste_percent, aircraft.start_is) == (100.0, None, "level")
    assert [station.time_zone for station in made.day.stations] == ["UTC", "UTC"]
    assert made.day.date.isoformat() == "2031-03-05"
    assert made.notes == (
        "where no passengers are given, 80 % of the seats are taken (legs: 1)",
        "where no crew is given, that of the fit is taken (legs: 1)",
        "no time zone is known for ABLE, BAKE: UTC is taken; a zones file (code,zone) can name it",
    )


def test_every_optional_column_is_taken() -> None:
    header = f"atd,ata,etd,eta,{HEADER},pax,crew,fit,service_style"
    line = (
        "2031-03-05T06:20Z,2031-03-05T07:40Z,2031-03-05T06:10Z,2031-03-05T07:30Z,"
        "QX-A,Z1,ABLE,BAKE,2031-03-05T06:00Z,2031-03-05T07:00Z,61,3,jet-70,Meal"
    )
    (leg,) = imported([line], header).day.legs
    times = [leg.std, leg.sta, leg.etd, leg.eta, leg.atd, leg.ata]
    assert [f"{moment:%H:%M}" for moment in times if moment] == ["06:00", "07:00", "06:10", "07:30", "06:20", "07:40"]
    assert (leg.passengers, leg.crew, leg.cabin_service) == (61, 3, "meal")
    assert imported([line], header).day.aircraft[0].fit == "jet-70"


def test_the_default_fit_can_be_chosen() -> None:
    made = imported([row("Z1", "06:00", "07:00")], fit="turboprop-70")
    assert made.day.legs[0].passengers == 56
    with pytest.raises(UnknownFitError, match="'jumbo' is not a shipped fit"):
        imported([row("Z1", "06:00", "07:00")], fit="jumbo")


def test_rotations_are_sorted_whatever_the_order_of_the_rows() -> None:
    rows = [row("Z3", "10:00", "11:00"), row("Z1", "06:00", "07:00"), row("Z9", "06:00", "07:00", name="QX-B")]
    rows.append(row("Z2", "08:00", "09:00", "BAKE", "ABLE"))
    made = imported(rows)
    assert [(leg.id, leg.flight) for leg in made.day.legs] == [
        ("QX-A-01", "Z1"), ("QX-A-02", "Z2"), ("QX-A-03", "Z3"), ("QX-B-01", "Z9"),
    ]  # fmt: skip
    assert made.cautions == ()


def test_a_broken_chain_is_imported_and_warned_of() -> None:
    made = imported([row("Z1", "06:00", "07:00"), row("Z2", "08:00", "09:00", "CAKE", "ABLE")])
    assert len(made.day.legs) == 2
    (finding,) = made.cautions
    assert (finding.code, finding.leg, finding.turn) == ("broken-chain", "QX-A-02", 1)


def test_every_wrong_cell_of_a_row_is_listed() -> None:
    header = f"{HEADER},pax,crew,fit,service_style"
    made = imported(
        [
            "QX-A,Z1,ABLE,BAKE,2031-03-05T06:00Z,2031-03-05T07:00Z,,,,",
            f",,,{'x' * 65},soon,2031-03-05T07:00,1.5,-1,jumbo,lunch",
        ],
        header,
    )
    assert rejected(made) == [
        "line 3, registration: must not be empty",
        "line 3, flight: must not be empty",
        "line 3, from: must not be empty",
        f'line 3, to: must have at most 64 characters (it is "{"x" * 60}…")',
        'line 3, std: is not a date and time written like 2031-03-05T06:10Z (it is "soon")',
        "line 3, sta: has no time zone: write it like 2031-03-05T06:10Z, or import such times as local ones "
        'or as UTC (it is "2031-03-05T07:00")',
        'line 3, pax: is not a whole number of heads from 0 to 2000 (it is "1.5")',
        'line 3, crew: is not a whole number of heads from 0 to 2000 (it is "-1")',
        "line 3, fit: is not a shipped fit; there are turboprop-70, jet-70, jet-100, single-aisle-120, "
        'single-aisle-180, single-aisle-220, twin-aisle-300 (it is "jumbo")',
        'line 3, service_style: is not one of average, none, drinks, meal (it is "lunch")',
    ]


def test_control_characters_in_a_name_are_refused() -> None:
    made = imported([row("Z1", "06:00", "07:00"), row("Z\x1b[2J", "08:00", "09:00")])
    assert rejected(made) == ['line 3, flight: must not hold control characters (it is "Z\\x1b[2J")']


def test_legs_that_overlap_or_end_too_early_are_listed() -> None:
    made = imported(
        [
            row("Z1", "06:00", "08:00"),
            row("Z2", "07:59", "09:00"),
            row("Z3", "05:00", "06:01"),
            row("Z4", "06:30", "07:00"),
            row("Z5", "05:00", "09:00"),
            row("Z6", "08:00", "09:00", "BAKE", "ABLE"),
            row("Z7", "07:00", "08:00", name="QX-B"),
            row("Z8", "12:00", "12:00"),
            row("Z1", "06:00", "08:00"),
        ]
    )
    assert [leg.flight for leg in made.day.legs] == ["Z1", "Z6", "Z7"]
    assert [(bad.line, bad.column) for bad in made.rejected] == [
        (3, "std"), (4, "std"), (5, "std"), (6, "std"), (9, "sta"), (10, "std"),
    ]  # fmt: skip
    assert made.rejected[0].reason == 'the leg overlaps that of line 2 by the same aircraft "QX-A"'
    assert rejected(made)[4] == (
        'line 9, sta: the leg ends before it starts: std is "2031-03-05T12:00Z" (it is "2031-03-05T12:00Z")'
    )


def test_estimates_and_actual_times_have_to_go_forward_too() -> None:
    header = f"{HEADER},etd,eta,atd,ata"
    base = "QX-A,Z1,ABLE,BAKE,2031-03-05T06:00Z,2031-03-05T07:00Z"
    good = f"{base},2031-03-05T06:30Z,,,2031-03-05T06:10Z"
    bad = f"{base},2031-03-05T06:30Z,2031-03-05T06:10Z,2031-03-05T06:30Z,2031-03-05T06:10Z".replace("QX-A", "QX-B")
    made = imported([good, bad], header)
    assert [(row.line, row.column) for row in made.rejected] == [(3, "eta"), (3, "ata")]


def test_an_aircraft_has_one_fit() -> None:
    header = f"{HEADER},fit"
    rows = [f"{row('Z1', '06:00', '07:00')},", f"{row('Z2', '08:00', '09:00')},jet-70"]
    rows += [f"{row('Z3', '10:00', '11:00')},jet-100", f"{row('Z4', '12:00', '13:00')},jet-70"]
    made = imported(rows, header)
    assert [(leg.flight, leg.passengers) for leg in made.day.legs] == [("Z1", 56), ("Z2", 56), ("Z4", 56)]
    assert rejected(made) == ['line 4, fit: "QX-A" is jet-70 on line 3 (it is "jet-100")']


def test_strict_refuses_the_file_for_one_row() -> None:
    rows = [row("Z1", "06:00", "07:00"), row("Z2", "09:00", "08:00")]
    assert len(imported(rows).day.legs) == 1
    with pytest.raises(TableError) as caught:
        imported(rows, strict=True)
    assert [problem.place for problem in caught.value.problems] == ["line 3, sta"]
    assert imported(rows[:1], strict=True).rejected == ()


@pytest.mark.parametrize("rows", [[], [row("Z2", "09:00", "08:00")]])
def test_a_schedule_without_one_good_row_is_refused(rows: list[str]) -> None:
    with pytest.raises(TableError, match="no row of the schedule can be taken"):
        imported(rows)


def test_text_of_cells_stays_text() -> None:
    made = imported([row("'=1+1", "06:00", "07:00", "<b>", "&amp;", "'@QX")])
    leg = made.day.legs[0]
    assert (leg.aircraft, leg.flight, leg.origin, leg.destination) == ("@QX", "=1+1", "<b>", "&amp;")


def test_an_imported_day_can_be_written_and_read() -> None:
    made = imported([row("Z1", "06:00", "07:00"), row("Z2", "08:00", "09:00", "BAKE", "ABLE")], title="Ünit\x00")
    assert parse(to_bytes(made.day)).day == made.day
    assert made.day.title == "Ünit "


def test_a_row_that_no_day_can_hold_is_listed() -> None:
    """Local times at the edge of the years: only their moments in UTC lie outside."""
    lines = ["QX-A,Z1,ABLE,BAKE,1970-01-01T00:10,1970-01-01T03:00", row("Z2", "06:00", "07:00")]
    made = imported(lines, times="local", zones=Zones({"ABLE": "Asia/Tokyo", "BAKE": "Asia/Tokyo"}))
    assert [leg.flight for leg in made.day.legs] == ["Z2"]
    assert rejected(made)[0].startswith("line 2: std: must lie in the years 1970 to 2199")


# zones and local times ------------------------------------------------------------------------------------


def test_zones_come_from_the_list_then_from_the_airport_library_then_utc() -> None:
    """Codes of real airports, as published by IATA and ICAO, tell whether the library is asked."""
    assert Zones().of("JFK") == "America/New_York"
    assert Zones().of("jfk") == "America/New_York"
    assert Zones().of("EDDB") == "Europe/Berlin"
    assert Zones({"JFK": "Asia/Tokyo"}).of("JFK") == "Asia/Tokyo"
    assert Zones().of("ABLE") is None
    assert Zones().of("") is None
    made = imported([row("Z1", "06:00", "07:00", "JFK", "ABLE")])
    assert {s.code: s.time_zone for s in made.day.stations} == {"JFK": "America/New_York", "ABLE": "UTC"}
    assert [note for note in made.notes if "time zone" in note] == [
        "no time zone is known for ABLE: UTC is taken; a zones file (code,zone) can name it"
    ]


@pytest.mark.parametrize(
    "text", ["code,zone\nA,Asia/Tokyo\nB;UTC\n", "A,Asia/Tokyo\nB,Mars/Base\n", "A,Asia/Tokyo\nA,UTC\n"]
)
def test_a_zones_file_with_a_wrong_line_is_refused(text: str) -> None:
    with pytest.raises(TableError, match=r"^line [23]"):
        read_zones(text.encode())


def test_a_zones_file_with_and_without_header() -> None:
    for text in ("code;zone\nA;Asia/Tokyo\n", "A,Asia/Tokyo\n", "\ufeffzone,code\nAsia/Tokyo,A\n"):
        assert read_zones(text.encode()) == Zones({"A": "Asia/Tokyo"})


ZONES = Zones({"ABLE": "Europe/Berlin", "BAKE": "Asia/Kolkata", "CAKE": "Europe/Berlin"})


def local(rows: Sequence[str], header: str = HEADER) -> Imported:
    return imported(rows, header, times="local", zones=ZONES)


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def test_local_times_are_those_of_their_own_station() -> None:
    """Europe/Berlin is one hour ahead in winter, Asia/Kolkata five and a half."""
    header = f"{HEADER},etd,eta"
    made = local(["Q,Z1,ABLE,BAKE,2031-12-31T20:00,2032-01-01T08:30,2031-12-31T20:30,2032-01-01T08:45"], header)
    leg = made.day.legs[0]
    assert (leg.std, leg.sta) == (utc("2031-12-31T19:00"), utc("2032-01-01T03:00"))
    assert (leg.etd, leg.eta) == (utc("2031-12-31T19:30"), utc("2032-01-01T03:15"))
    assert made.day.date.isoformat() == "2031-12-31"


def test_a_time_with_a_zone_keeps_it_among_local_ones() -> None:
    leg = local(["Q,Z1,ABLE,BAKE,2031-12-31T20:00Z,2032-01-01T08:30+01:00"]).day.legs[0]
    assert (leg.std, leg.sta) == (utc("2031-12-31T20:00"), utc("2032-01-01T07:30"))


def test_a_local_time_that_does_not_exist_is_refused() -> None:
    """30 March 2031: clocks in Europe/Berlin go from 02:00 to 03:00."""
    made = local(
        ["Q,Z1,ABLE,BAKE,2031-03-30T02:30,2031-03-30T15:00", "Q,Z2,ABLE,BAKE,2031-03-30T03:00,2031-03-30T15:00"]
    )
    assert rejected(made) == [
        'line 2, std: does not exist in Europe/Berlin: the clocks are put forward past it (it is "2031-03-30T02:30")'
    ]
    assert made.day.legs[0].std == utc("2031-03-30T01:00")


def repeats(made: Imported) -> list[str]:
    return [note for note in made.notes if "comes twice" in note]


def test_a_local_time_that_comes_twice_is_taken_as_the_first_and_said() -> None:
    """26 October 2031: clocks in Europe/Berlin go back from 03:00 to 02:00."""
    made = local(["Q,Z1,ABLE,BAKE,2031-10-26T02:30,2031-10-26T15:00"])
    assert made.day.legs[0].std == utc("2031-10-26T00:30")
    assert repeats(made) == [
        'line 2, std: "2031-10-26T02:30" comes twice there as the clocks are put back; the first is taken (00:30Z): '
        "nothing tells them apart"
    ]


def test_the_leg_before_tells_which_of_two_is_meant() -> None:
    before = "Q,Z0,BAKE,ABLE,2031-10-25T23:00,2031-10-26T00:50Z"
    made = local(["Q,Z1,ABLE,BAKE,2031-10-26T02:30,2031-10-26T15:00", before])
    assert [leg.std for leg in made.day.legs] == [utc("2031-10-25T17:30"), utc("2031-10-26T01:30")]
    assert repeats(made) == [
        'line 2, std: "2031-10-26T02:30" comes twice there as the clocks are put back; the second is taken (01:30Z): '
        "the other does not fit the legs around it"
    ]
    assert made.rejected == ()


def test_the_leg_after_tells_which_of_two_is_meant() -> None:
    after = "Q,Z2,ABLE,BAKE,2031-10-26T01:00Z,2031-10-26T15:00"
    made = local(["Q,Z1,BAKE,ABLE,2031-10-25T23:00,2031-10-26T02:45", after])
    assert made.day.legs[0].sta == utc("2031-10-26T00:45")
    assert "the first is taken (00:45Z): the other does not fit" in repeats(made)[0]


def test_a_leg_inside_the_repeated_hours_goes_forward() -> None:
    made = local(["Q,Z1,ABLE,CAKE,2031-10-26T02:50,2031-10-26T02:10"])
    assert (made.day.legs[0].std, made.day.legs[0].sta) == (utc("2031-10-26T00:50"), utc("2031-10-26T01:10"))
    assert len(repeats(made)) == 2
    assert all("the other does not fit" in note for note in repeats(made))


def test_a_leg_that_cannot_go_forward_is_refused() -> None:
    rows = ["Q,Z1,ABLE,CAKE,2031-10-26T04:00,2031-10-26T02:10", "Q,Z2,ABLE,BAKE,2031-10-27T02:30,2031-10-27T15:00"]
    made = local(rows)
    assert [(bad.line, bad.column) for bad in made.rejected] == [(2, "sta")]


def test_estimates_that_come_twice_go_with_the_schedule() -> None:
    header = f"{HEADER},etd,eta"
    made = local(["Q,Z1,ABLE,CAKE,2031-10-26T01:30Z,2031-10-26T06:00,2031-10-26T02:45,2031-10-26T06:10"], header)
    assert made.day.legs[0].etd == utc("2031-10-26T01:45")
    assert repeats(made) == [
        'line 2, etd: "2031-10-26T02:45" comes twice there as the clocks are put back; the second is taken (01:45Z): '
        "it is nearer to std"
    ]


def test_a_leap_day_and_the_end_of_a_year() -> None:
    made = local(
        ["Q,Z1,ABLE,BAKE,2032-02-28T23:50,2032-02-29T12:00", "Q,Z2,BAKE,ABLE,2032-12-31T23:30,2033-01-01T04:00"]
    )
    assert [leg.sta for leg in made.day.legs] == [utc("2032-02-29T06:30"), utc("2033-01-01T03:00")]
    assert {finding.code for finding in made.cautions} == {"leg-off-date"}
