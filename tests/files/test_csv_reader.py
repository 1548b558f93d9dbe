"""Splitting CSV files: the vote for the separator, quotes, ragged rows, and what is refused."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from legtide.files.csv_reader import read_table
from legtide.files.grids import Table, TableError

REQUIRED, OPTIONAL = ("name", "value"), ("more",)


def table(text: str | bytes, **options: bool) -> Table:
    return read_table(text if isinstance(text, bytes) else text.encode(), REQUIRED, OPTIONAL, **options)


def cells(text: str) -> list[tuple[int, list[str]]]:
    return [(row.line, list(row.cells.values())) for row in table(text).rows]


def rejected(text: str | bytes) -> list[str]:
    return [str(row.as_problem()) for row in table(text).rejected]


def refused(text: str | bytes, **options: bool) -> list[str]:
    with pytest.raises(TableError) as caught:
        table(text, **options)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_any_separator_and_line_end_with_or_without_a_byte_order_mark(separator: str, end: str, mark: str) -> None:
    text = mark + end.join([separator.join(row) for row in (["Value", " NAME "], ["1", "a"], ["2", "b"])]) + end
    assert [row.cells for row in table(text).rows] == [{"name": "a", "value": "1"}, {"name": "b", "value": "2"}]
    assert [row.line for row in table(text).rows] == [2, 3]


def test_the_vote_counts_known_columns_only() -> None:
    """The standard library's guess takes the letter that is most regular for a separator."""
    text = "name;value;a,b,c,d,e,f\nx;1;\ny;2;\n"
    assert cells(text) == [(2, ["x", "1"]), (3, ["y", "2"])]


def test_decimal_commas_do_not_count() -> None:
    assert cells("name;value\na;1,5\nb;2,5\n") == [(2, ["a", "1,5"]), (3, ["b", "2,5"])]


def test_quotes_hold_separators_and_quotes() -> None:
    assert cells('name,value\n"a, ""b""",1\n') == [(2, ['a, "b"', "1"])]


def test_line_ends_in_a_column_that_is_not_used_belong_to_its_row() -> None:
    text = 'name,value,remark\na,1,"one\ntwo, ""2""\n"\nb,2,"x"\n'
    assert cells(text) == [(2, ["a", "1"]), (5, ["b", "2"])]


@pytest.mark.parametrize("tail", ["", '\nc,3\nd,"4"\ne,5', '\nc,3,"\nd,4'])
def test_a_quote_that_is_never_closed_costs_its_own_row_only(tail: str) -> None:
    text = f'name,value\na,1\nb,"2{tail}\nz,9\n'
    found = table(text)
    assert found.rejected[0].line == 3
    assert found.rejected[0].reason == "has a quotation mark that is never closed"
    assert found.rows[-1].cells == {"name": "z", "value": "9"}
    lines = text.count("\n")
    assert len(found.rows) + len(found.rejected) == lines - 1, "every line is a row or is listed"


def test_rows_that_do_not_fit_the_header_are_listed() -> None:
    assert rejected('name,value\na\nb,1,2\n"c"x,1\nd;1\ne\x00,1\n') == [
        'line 2: has 1 cell where the header has 2 (it is "a")',
        'line 3: has 3 cells where the header has 2 (it is "b,1,2")',
        'line 4: has text after a closing quotation mark (it is ""c"x,1")',
        'line 5: has 1 cell where the header has 2: it is separated by semicolon, the header by comma (it is "d;1")',
        'line 6: holds a NUL character (it is "e\\x00,1")',
    ]


def test_a_line_that_is_too_long_is_listed() -> None:
    assert rejected("name,value\na," + "x" * 20_000)[0].startswith("line 2: is longer than 20000 characters")


def test_empty_lines_and_empty_rows_are_no_rows() -> None:
    found = table("\n\n name,value \n\na,1\n,\n  \nb,2,,\n\n")
    assert [(row.line, row.cells["name"]) for row in found.rows] == [(5, "a"), (8, "b")]
    assert found.rejected == ()


def test_columns_that_are_not_known_are_noted() -> None:
    found = table("name,value,colour,,gate\na,1,red,,7\n")
    assert found.notes == ('column "colour" is not used', 'column "gate" is not used')
    assert found.rows[0].cells == {"name": "a", "value": "1"}


def test_all_that_is_wrong_in_the_header_is_said_at_once() -> None:
    assert refused("nam,more,more\n") == [
        'line 1: column "name" is missing',
        'line 1: column "value" is missing',
        'line 1: column "more" stands twice',
        'line 1: the header, separated by comma, has "nam", "more", "more"',
    ]


def test_a_header_may_lack_where_that_is_said() -> None:
    found = read_table(b"a,1\nb,2\n", REQUIRED, header_may_lack=True)
    assert [(row.line, row.cells) for row in found.rows] == [
        (1, {"name": "a", "value": "1"}),
        (2, {"name": "b", "value": "2"}),
    ]
    assert len(read_table(b"name,value\nb,2\n", REQUIRED, header_may_lack=True).rows) == 1


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "is empty"),
        (b"\n\n  \n", "is empty"),
        ("name,value\n".encode("utf-16"), "is UTF-16 text; save it as UTF-8"),
        ("name,value\nZürich,1\n".encode("latin-1"), "line 2, byte 2: is not UTF-8 text; save the file as UTF-8"),
        (b" " * (64 * 2**20 + 1), "is larger than 64 MB, the most that is read"),
        (b"name,value" + b"\n" * 1_000_001, "has more than 1000000 lines"),
        (b"name,value\n" + b"a\n" * 50_002, "more than 50000 rows cannot be read: is it the right file?"),
    ],
)
def test_files_that_are_refused_whole(data: bytes, problem: str) -> None:
    assert refused(data) == [problem]


def test_formulas_come_back_as_they_were_written() -> None:
    assert cells("name,value\n'=1+1,'@x\n") == [(2, ["=1+1", "@x"])]


TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\r\n"), max_size=8).map(str.strip)


@given(st.lists(st.tuples(TEXTS, TEXTS).filter(any), max_size=5), st.sampled_from([",", ";", "\t", "|"]))
def test_what_the_standard_writer_writes_is_read(rows: list[tuple[str, str]], separator: str) -> None:
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=separator)
    writer.writerows([("name", "value"), *[(f"x{name}", f"x{value}") for name, value in rows]])
    assert [tuple(found) for _, found in cells(out.getvalue())] == [(f"x{a}", f"x{b}") for a, b in rows]
