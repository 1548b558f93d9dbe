"""The same schedule as CSV, as an Excel workbook and as an OpenDocument one gives the same day.

The outside check: the workbooks are written by openpyxl and odfdo, which share nothing with the reader.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime, time
from typing import Any

import pytest

from legtide.files.grids import ColumnsError, TableError
from legtide.files.schedule import Imported, Options, import_schedule
from legtide.files.sheets.book import read_book
from support.workbooks import Rows, ods, xlsx

HEADER = ("registration", "flight", "from", "to", "std", "sta", "pax", "crew", "remark")
LEGS: Rows = (
    ("QX-A", "0123", "ABLE", "BAKE", datetime(2031, 3, 5, 6, 10), datetime(2031, 3, 5, 7, 35), 150, 6, "a; b"),
    ("QX-A", "124", "BAKE", "ABLE", datetime(2031, 3, 5, 8, 20), datetime(2031, 3, 5, 9, 45), 7, None, "=1+1 no"),
    ("QX-B", "007", "ABLE", "CAKE", datetime(2031, 3, 5, 23, 20), datetime(2031, 3, 6, 0, 55), None, None, None),
)
Writer = Callable[[dict[str, Rows]], bytes]
WRITERS: Sequence[Writer] = (xlsx, ods)


def as_csv(header: Sequence[str], rows: Rows) -> bytes:
    def text(value: Any) -> str:
        if isinstance(value, datetime):
            return value.isoformat()
        return "" if value is None else f'"{value}"'

    return "\n".join([",".join(header), *(",".join(map(text, row)) for row in rows)]).encode()


def taken(data: bytes, name: str = "", **options: Any) -> Imported:
    return import_schedule(data, Options(**{"times": "utc", **options}), name)


def rejected(made: Imported) -> list[str]:
    return [str(row.as_problem()) for row in made.rejected]


def refused(data: bytes, name: str = "", **options: Any) -> str:
    with pytest.raises(TableError) as caught:
        taken(data, name, **options)
    return str(caught.value)


@pytest.mark.parametrize("write", WRITERS)
def test_a_workbook_gives_the_day_that_the_same_table_as_csv_gives(write: Writer) -> None:
    made, plain = taken(write({"Plan": (HEADER, *LEGS)})), taken(as_csv(HEADER, LEGS))
    assert made.day == plain.day
    assert (made.rejected, made.notes) == (plain.rejected, plain.notes)
    assert [leg.flight for leg in made.day.legs] == ["0123", "124", "007"]


def test_dates_counted_from_1904_are_the_same_dates() -> None:
    late = xlsx({"Plan": (HEADER, *LEGS)}, from_1904=True)
    assert taken(late).day == taken(xlsx({"Plan": (HEADER, *LEGS)})).day


@pytest.mark.parametrize(("from_1904", "days"), [(False, 47912.25), (True, 46450.25)])
def test_a_number_without_a_date_format_is_a_day_in_the_workbooks_own_count(from_1904: bool, days: float) -> None:
    """ISO/IEC 29500-1, 18.17.4.1: day 1 is 1 January 1900 or, where `date1904` is set, day 0 is 1 January 1904."""
    row = ("QX-A", "1", "ABLE", "BAKE", days, days + 1 / 24)
    (leg,) = taken(xlsx({"Plan": (HEADER[:6], row)}, from_1904=from_1904)).day.legs
    assert (leg.std.isoformat(), leg.sta.isoformat()) == ("2031-03-05T06:00:00+00:00", "2031-03-05T07:00:00+00:00")


@pytest.mark.parametrize("write", WRITERS)
def test_dates_and_clock_times_in_columns_of_their_own(write: Writer) -> None:
    header = ("registration", "flight", "from", "to", "date", "std", "sta")
    rows = (
        ("QX-A", "1", "ABLE", "BAKE", date(2031, 3, 5), time(6, 10), time(7, 35)),
        ("QX-A", "2", "BAKE", "ABLE", date(2031, 3, 5), "23:20", "0055"),
        ("QX-B", "3", "ABLE", "BAKE", "05MAR31", 435, "0530Z"),
    )
    times = [
        (f"{leg.std:%d %H:%M}", f"{leg.sta:%d %H:%M}") for leg in taken(write({"Plan": (header, *rows)})).day.legs
    ]
    assert times == [("05 06:10", "05 07:35"), ("05 23:20", "06 00:55"), ("05 04:35", "05 05:30")]


def test_times_without_a_zone_are_refused_unless_one_says_what_they_are() -> None:
    book = xlsx({"Plan": (HEADER, *LEGS)})
    text = refused(book, times="zoned")
    assert 'sheet "Plan", cell E2, std: has no time zone' in text
    assert "no row of the schedule can be taken" in text


@pytest.mark.parametrize("write", WRITERS)
def test_a_row_that_is_not_taken_is_named_by_its_cell(write: Writer) -> None:
    bad = ("QX-C", "", "ABLE", "BAKE", "soon", datetime(2031, 3, 5, 7), 1.5)
    made = taken(write({"Day 5": (("Schedule",), (), HEADER, *LEGS, bad)}))
    assert rejected(made) == [
        'sheet "Day 5", cell B7, flight: must not be empty',
        'sheet "Day 5", cell E7, std: is not a date and time written like 2031-03-05T06:10Z (it is "soon")',
        'sheet "Day 5", cell G7, pax: is not a whole number of heads from 0 to 2000 (it is "1.5")',
    ]
    assert len(made.day.legs) == 3
    assert "cell B7, flight" in refused(write({"Day 5": (HEADER, *LEGS, (), (), bad)}), strict=True)


def test_legs_that_overlap_name_the_row() -> None:
    twice = (HEADER, LEGS[0], ("QX-A", "9", *LEGS[0][2:]))
    assert rejected(taken(xlsx({"Plan": twice}))) == [
        'sheet "Plan", cell E3, std: the leg overlaps that of row 2 by the same aircraft "QX-A" '
        '(it is "2031-03-05T06:10:00")'
    ]


# sheets ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("write", WRITERS)
def test_the_sheet_that_has_the_columns_is_read_and_the_others_are_named(write: Writer) -> None:
    made = taken(write({"Cover": (("Schedule of the week",),), "Plan": (HEADER, *LEGS), "Old": (HEADER, LEGS[0])}))
    assert len(made.day.legs) == 3
    assert made.notes[0] == 'sheet "Plan" is read; there are also "Cover", "Old"'


@pytest.mark.parametrize("write", WRITERS)
def test_a_sheet_can_be_named(write: Writer) -> None:
    book = write({"Plan": (HEADER, *LEGS), "Old": (HEADER, LEGS[0])})
    assert len(taken(book, sheet="Old").day.legs) == 1
    assert refused(book, sheet="Older") == 'has no sheet "Older"; it has "Plan", "Old"'
    assert refused(as_csv(HEADER, LEGS), sheet="Plan") == 'is no workbook: it has no sheet "Plan"'


def test_a_hidden_sheet_is_read_only_when_named() -> None:
    def hide(book: Any) -> None:
        book["Old"].sheet_state = "hidden"

    data = xlsx({"Plan": (HEADER, *LEGS), "Old": (HEADER, LEGS[0])}, change=hide)
    assert [grid.name for grid in read_book(data, ())] == ["Plan"]
    assert [grid.name for grid in read_book(data, (), "Old")] == ["Old"]


# columns --------------------------------------------------------------------------------------------------

THEIRS = ("A/C", "FLT", "DEP", "ARR", "STD (UTC)", "STA (UTC)")
NAMED = dict(zip(HEADER[:6], THEIRS, strict=True))


def test_columns_can_be_called_otherwise() -> None:
    book = xlsx({"Plan": (THEIRS, *(row[:6] for row in LEGS))})
    made = taken(book, columns=NAMED)
    assert made.day == taken(as_csv(THEIRS, [row[:6] for row in LEGS]), columns=NAMED).day
    assert len(made.day.legs) == 3


def test_a_missing_column_says_what_stands_in_the_header() -> None:
    with pytest.raises(ColumnsError) as caught:
        taken(xlsx({"Plan": ((), THEIRS, *(row[:6] for row in LEGS))}), columns={"registration": "A/C", "pax": "PX"})
    assert [str(row) for row in caught.value.problems] == [
        *(f'sheet "Plan", row 2: column "{name}" is missing' for name in HEADER[1:6]),
        'sheet "Plan", row 2: column "PX" is missing (for pax)',
        'sheet "Plan", row 2: the header row has "A/C", "FLT", "DEP", "ARR", "STD (UTC)", "STA (UTC)"',
    ]


def test_a_column_that_was_given_to_another_field_loses_its_own_meaning() -> None:
    swapped = [(*row[:2], row[3], row[2], *row[4:6]) for row in LEGS]
    made = taken(as_csv(HEADER[:6], swapped), columns={"from": "to", "to": "from"})
    assert made.day == taken(as_csv(HEADER[:6], [row[:6] for row in LEGS])).day
