"""Typed amounts, stretches of time and cells of tables become values that are said back, or sentences."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from pytest import approx

from legtide.day.document import Span, Travel
from legtide.quantities import QuantityError
from legtide.view.amounts import (
    flow_reader,
    minutes_reader,
    minutes_typed,
    price_reader,
    share_reader,
    temperature_reader,
    volume_reader,
    zone_reader,
)
from legtide.view.cells import EMPTY_ROLE, WRONG_ROLE, CellsModel, Column
from legtide.view.readers import ReadError, date_reader, key_reader, station_reader, whole_reader
from legtide.view.spans import span_reader, spans_reader, spans_typed
from legtide.view.travel_cells import TravelCells
from legtide.view.units import UNITS, flow_typed, level_typed, plain, read_level, read_volume, volume_typed

DAY = date(2026, 5, 14)
BERLIN = "Europe/Berlin"
US_GALLON_L = 3.785411784
"""Exact: NIST Handbook 44, appendix C (231 cubic inches)."""
POUND_KG = 0.45359237
"""Exact: NIST Handbook 44, appendix C."""
WATER_KG_PER_L = 0.9991026
"""At 15 degrees Celsius: handbook table of the model's figures."""


def at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 5, day, hour, minute, tzinfo=UTC)


# amounts --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "unit", "litres"),
    [
        ("1800", "L", 1800.0),
        ("1800", "%", 1800.0),
        ("475,5 US gal", "L", 475.5 * US_GALLON_L),
        ("475.5", "US gal", 475.5 * US_GALLON_L),
        ("900 kg", "L", 900 / WATER_KG_PER_L),
        ("900", "kg", 900 / WATER_KG_PER_L),
        ("2000", "lb", 2000 * POUND_KG / WATER_KG_PER_L),
        ("2000 L", "lb", 2000.0),
    ],
)
def test_a_volume_is_read_in_any_unit(text, unit, litres):
    assert volume_reader(unit, 0.0, 1e5)(text).value == approx(litres)


@pytest.mark.parametrize("text", ["", "85 %", "12 bar", "1 800 L", "1e3", "-5", "200000", "9**9"])
def test_a_volume_that_cannot_be_is_refused(text):
    with pytest.raises(ReadError):
        volume_reader("L", 0.0, 1e5)(text)
    if text not in ("-5", "200000"):
        with pytest.raises(QuantityError):
            read_volume(text, "L")


def test_what_was_read_is_said_with_the_litres_of_the_file():
    assert read_volume("100 US gal", "L").read_as == "100 US gal = 378.5 L"
    assert read_volume("100", "L").read_as == "100 L"
    assert flow_reader("US gal")("8").read_as == "8 US gal/min = 30.28 L/min"
    assert minutes_reader()("1,5 h").read_as == "1.5 h = 90 min"


@given(litres=st.floats(0.5, 9e4), unit=st.sampled_from(UNITS))
def test_a_volume_that_is_shown_reads_back_as_nearly_the_same(litres, unit):
    assert read_volume(volume_typed(litres, unit), unit).value == approx(litres, rel=2e-3)
    assert flow_reader(unit)(flow_typed(min(litres, 9e3), unit)).value == approx(min(litres, 9e3), rel=2e-3)


@given(percent=st.floats(0.0, 100.0), capacity=st.floats(20.0, 2000.0), unit=st.sampled_from(UNITS))
def test_a_level_that_is_shown_can_always_be_read_back(percent, capacity, unit):
    assert read_level(level_typed(percent, unit, capacity), unit, capacity).percent == approx(percent, abs=0.3)


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (0.237, "0.237"), (52.834, "52.83"), (475.55, "475.6"), (100000.0, "100000"), (200.0, "200")],
)
def test_numbers_are_plain_enough_to_be_typed_again(value, text):
    assert plain(value) == text


def test_amounts_have_bounds_and_may_be_left_out_where_that_means_something():
    assert temperature_reader(-80, 60)("14 °F").value == approx(-10.0)
    assert temperature_reader(-80, 60, empty="not known")(" ").value is None
    assert share_reader(0.01, 50.0)("12,5 %").value == 12.5
    assert price_reader(1e6, empty="usual")("").read_as == "usual"
    for reader, text in (
        (temperature_reader(-80, 60), "61"),
        (share_reader(0.01, 50.0), "51"),
        (share_reader(0.01, 50.0), ""),
        (price_reader(1e6, empty=""), "5 %"),
        (minutes_reader(), "49 h"),
        (flow_reader("L"), "0"),
    ):
        with pytest.raises(ReadError):
            reader(text)
    assert minutes_typed(2.5) == "2.5 min"


def test_identifiers_stations_dates_and_zones_are_checked_where_they_are_typed():
    assert key_reader("name", lambda: ["A"])(" B ").value == "B"
    assert station_reader({"HOLM": "Holmer"})("holm").read_as == "Holmer"
    assert date_reader()("2028-02-29").value == date(2028, 2, 29)
    assert date_reader(optional=True)("").value is None
    read = zone_reader(DAY)("europe/berlin")
    # Summer time in Berlin from the last Sunday of March (Directive 2000/84/EC).
    assert (read.value, read.read_as) == (BERLIN, "UTC+02:00 on Thu 14 May 2026")
    assert zone_reader(DAY)("Asia/Kolkata").read_as.startswith("UTC+05:30")
    for reader, text in (
        (key_reader("name", lambda: ["A"]), "A"),
        (key_reader("name"), " "),
        (key_reader("name"), "x" * 65),
        (station_reader({"HOLM": ""}), "HOL"),
        (date_reader(), "2027-02-29"),
        (date_reader(), "29.2.2028"),
        (date_reader(), "9999-01-01"),
        (zone_reader(DAY), "Europe/Nowhere"),
        (zone_reader(DAY), "../etc/passwd"),
        (zone_reader(DAY), "/etc/passwd"),
    ):
        with pytest.raises(ReadError):
            reader(text)


# stretches of time ----------------------------------------------------------------------------------------


def read_spans(text: str, zone: str = BERLIN):
    return spans_reader(DAY, lambda: zone, most=3, empty="none")(text).value


@pytest.mark.parametrize(
    ("text", "zone", "start", "end"),
    [
        ("05:00-22:30", BERLIN, at(14, 5), at(14, 22, 30)),
        ("0500 – 2230", BERLIN, at(14, 5), at(14, 22, 30)),
        ("22:00-06:00", "UTC", at(14, 22), at(15, 6)),
        # From midnight to eight of that day in Berlin, where it is two hours later.
        ("22:00-06:00", BERLIN, at(13, 22), at(14, 6)),
        # In Tokyo (UTC+9 all year) the working day begins on the evening before in UTC.
        ("20:00-13:00", "Asia/Tokyo", at(13, 20), at(14, 13)),
        ("2026-05-13 22:00 - 06:00", BERLIN, at(13, 22), at(14, 6)),
        ("2026-05-13T22:00Z-2026-05-15T01:00Z", BERLIN, at(13, 22), at(15, 1)),
    ],
)
def test_a_stretch_of_time_is_taken_around_the_middle_of_the_day(text, zone, start, end):
    assert read_spans(text, zone) == (Span(start=start, end=end),)


def test_stretches_are_said_back_with_their_dates_and_local_times():
    read = spans_reader(DAY, lambda: BERLIN, most=3)("05:00-06:00; 22:00-01:00")
    assert len(read.value) == 2
    assert read.read_as == (
        "Thu 14 May 05:00–06:00 UTC (07:00–08:00 local), Thu 14 May 22:00–Fri 15 May 01:00 UTC (00:00–03:00 local)"
    )
    assert span_reader(DAY, lambda: BERLIN, empty="all day")("").read_as == "all day"


@pytest.mark.parametrize(
    "text",
    [
        "5-22",
        "05:00",
        "25:00-26:00",
        "05:00-06:00, 05:30-07:00",
        "2026-05-15 06:00 - 2026-05-14 06:00",
        "05:00-,",
        "1:00-2:00,3:00-4:00,5:00-6:00,7:00-8:00",
        "05:00-2026-05-15 06:00",
        "2026-02-30 05:00-06:00",
        "a" * 5000,
    ],
)
def test_what_is_no_stretch_of_time_is_refused(text):
    with pytest.raises(ReadError):
        read_spans(text)


@given(
    minutes=st.integers(-2000, 3000),
    length=st.integers(1, 2500),
    zone=st.sampled_from([BERLIN, "UTC", "Asia/Tokyo", "America/Los_Angeles", "Asia/Kolkata"]),
)
def test_a_stretch_that_is_shown_reads_back_as_itself(minutes, length, zone):
    start = datetime.combine(DAY, datetime.min.time(), UTC) + timedelta(minutes=minutes)
    span = Span(start=start, end=start + timedelta(minutes=length))
    typed = spans_typed((span,), DAY, zone)
    assert read_spans(typed, zone) == (span,)
    middle = datetime.combine(DAY, datetime.min.time(), ZoneInfo(zone)) + timedelta(hours=15)
    if abs((start + (span.end - start) / 2 - middle).total_seconds()) < 11 * 3600 and length < 1440:
        assert len(typed) == len("05:00-22:30"), "no date where none is needed"


# cells ----------------------------------------------------------------------------------------------------


def small_table() -> CellsModel:
    columns = (
        Column("id", "Name", key_reader("name")),
        Column("kind", "Kind", choices=lambda: {"a": "first", "b": "second"}, fresh="a"),
        Column("count", "Count", whole_reader(0, 9, "things"), fresh="0"),
    )
    rows = [(n, {"id": name, "kind": "a", "count": n}) for n, name in enumerate(("x", "y"))]
    return CellsModel(columns, rows, key="id")


def test_cells_keep_what_was_typed_and_say_what_is_wrong(qapp):
    model = small_table()
    assert not model.touched
    assert model.first_wrong() is None
    assert not model.setData(model.index(0, 2), "0"), "the same text is no edit"
    assert model.setData(model.index(0, 2), "many")
    assert model.index(0, 2).data() == "! many"
    assert model.index(0, 2).data(Qt.ItemDataRole.EditRole) == "many"
    assert model.index(0, 2).data(WRONG_ROLE)
    assert "A whole number" in model.index(0, 2).data(Qt.ItemDataRole.ToolTipRole)
    assert "A whole number" in model.index(0, 2).data(Qt.ItemDataRole.AccessibleTextRole)
    assert model.first_wrong() == (0, 2)
    model.setData(model.index(0, 2), "7")
    assert model.entered[0] == (0, {"id": "x", "kind": "a", "count": 7})


def test_a_key_stands_once_and_a_rename_is_told_once(qapp):
    model = small_table()
    told = []
    model.renamed.connect(lambda old, new: told.append((old, new)))
    model.setData(model.index(1, 0), "x")
    assert model.problem(1, 0) == '"x" stands already in row 1.'
    assert model.problem(0, 0) == ""
    assert told == []
    model.setData(model.index(1, 0), "z")
    model.setData(model.index(0, 0), "w")
    assert told == [("y", "z"), ("x", "w")]
    model.setData(model.index(0, 0), "z")
    assert model.problem(0, 0) == '"z" stands already in row 2.', "whoever had the name first keeps it"
    assert model.problem(1, 0) == ""
    assert len(told) == 2


def test_rows_come_and_go(qapp):
    model = small_table()
    number = model.add()
    assert model.first_wrong() == (2, 0), "a new row needs a name"
    assert not model.index(2, 1).data(EMPTY_ROLE)
    model.setData(model.index(number, 0), "new")
    assert [origin for origin, _values in model.entered] == [0, 1, None]
    model.remove(number)
    assert not model.touched
    model.remove(0)
    assert model.touched
    assert model.keys() == ["y"]


def test_minutes_between_places_are_one_figure_both_ways(qapp):
    cells = TravelCells(["A", "B", "C"], [Travel(between=("B", "A"), minutes=2.5)], minutes_reader(), lambda: "4 min")
    assert cells.index(0, 1).data() == cells.index(1, 0).data() == "2.5 min"
    assert cells.index(0, 2).data() == "4 min"
    assert cells.index(0, 2).data(EMPTY_ROLE)
    assert not cells.flags(cells.index(1, 1)) & Qt.ItemFlag.ItemIsEditable
    assert cells.setData(cells.index(2, 0), "1 h")
    assert cells.note(0, 2) == "A – C: 60 min, both ways"
    cells.setData(cells.index(2, 1), "far")
    assert cells.first_wrong() == (1, 2)
    assert cells.problem(2, 1) == cells.problem(1, 2) != ""
    cells.setData(cells.index(1, 2), "")
    assert cells.first_wrong() is None
    assert cells.entered == (Travel(between=("A", "B"), minutes=2.5), Travel(between=("A", "C"), minutes=60.0))
    cells.rename("A", "Z")
    cells.set_places(["Z", "C"])
    assert cells.entered == (Travel(between=("Z", "C"), minutes=60.0),)
