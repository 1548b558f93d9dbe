"""The strict JSON reader: one meaning or a problem with its place."""

from __future__ import annotations

import codecs
import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from legtide.files.strict_json import MOST_BYTES, MOST_PROBLEMS, BadJsonError, place_of, read_object


def refused(text: str | bytes) -> list[str]:
    with pytest.raises(BadJsonError) as caught:
        read_object(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize("bad", ["NaN", "Infinity", "-Infinity", "1e400", "-1e999", "1" * 5000, "9" * 19])
def test_a_number_that_is_not_finite_or_huge_is_refused_where_it_stands(bad: str) -> None:
    shown = bad if len(bad) <= 60 else bad[:60] + "…"
    assert refused(f'{{"legs": [{{}}, {{"pax": {bad}}}]}}') == [
        f'legs[1].pax: "{shown}" is not a finite number of a usual size'
    ]


def test_numbers_of_a_usual_size_keep_their_value() -> None:
    assert read_object(b'{"a": [0, -1, 1.5, 1e300, 1e-400, 999999999999999999]}') == {
        "a": [0, -1, 1.5, 1e300, 0.0, 999999999999999999]
    }


def test_a_key_that_stands_twice_is_refused_where_it_stands() -> None:
    """The standard reader would take the last one unseen."""
    assert json.loads('{"a": 1, "a": 2}') == {"a": 2}
    assert refused('{"a": {"b": 1, "c": 2, "b": 3}, "d": [{"e": 1, "e": 1}]}') == [
        "a.b: stands twice",
        "d[0].e: stands twice",
    ]


def test_all_problems_are_found_at_once() -> None:
    assert refused('{"a": NaN, "a": NaN, "b": [1e999, "\\ud800"]}') == [
        "a: stands twice",
        'a: "NaN" is not a finite number of a usual size',
        'b[0]: "1e999" is not a finite number of a usual size',
        "b[1]: holds half of a character (a lone surrogate)",
    ]


def test_a_lone_surrogate_in_a_key_is_refused() -> None:
    assert refused('{"a": {"\\udc00": 1}}') == ["a: has a key with half of a character (a lone surrogate)"]


def test_a_surrogate_pair_is_one_character() -> None:
    assert read_object(b'{"a": "\\ud83d\\udca7"}') == {"a": "\N{DROPLET}"}


@pytest.mark.parametrize("levels", [13, 900, 10_000, 1_000_000])
@pytest.mark.parametrize("opening", ["[", '{"a":'])
def test_nesting_is_bounded(levels: int, opening: str) -> None:
    closing = "]" if opening == "[" else "}"
    inner = "1" if opening != "[" else ""
    text = '{"x":' + opening * levels + inner + closing * levels + "}"
    assert all("nested deeper than 12 levels" in row for row in refused(text))


def test_keys_and_inner_lists_are_bounded() -> None:
    many = ",".join(f'"k{i}": 1' for i in range(201))
    assert refused(f'{{"a": {{{many}}}}}') == ["a: has more than 200 keys"]
    assert refused(f'{{"a": [{{"b": [{"1," * 20_000}1]}}]}}') == ["a[0].b: has more than 20000 items"]
    assert len(read_object(f'{{"a": [{"1," * 20_000}1]}}'.encode())["a"]) == 20_001


def test_the_list_of_problems_is_bounded_and_says_so() -> None:
    rows = refused('{"a": [' + ",".join(["NaN"] * 1000) + "]}")
    assert len(rows) == MOST_PROBLEMS + 1
    assert rows[-1] == "and more: only the first 100 problems are listed"


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "is empty"),
        (b"  \n\t ", "is empty"),
        (codecs.BOM_UTF8, "is empty"),
        ("{}".encode("utf-16"), "is UTF-16 text; save it as UTF-8"),
        (codecs.BOM_UTF16_BE + "{}".encode("utf-16-be"), "is UTF-16 text; save it as UTF-8"),
        ('{"a":\n "Zürich"}'.encode("latin-1"), "line 2, byte 4: is not UTF-8 text; save the file as UTF-8"),
        (b"[]", "does not hold a JSON object"),
        (b"3", "does not hold a JSON object"),
        (b'"text"', "does not hold a JSON object"),
        (b"null", "does not hold a JSON object"),
        (b'{"a": 1,}', "line 1, column 9: is not JSON: "),
        (b'{"a": 01}', "line 1, column 8: is not JSON: expecting ',' delimiter"),
        (b"{'a': 1}", "line 1, column 2: is not JSON: "),
        (b'{"a": 1} x', "line 1, column 10: is not JSON: extra data"),
        (b'{"a":\n tru', "line 2, column 2: is not JSON: expecting value"),
        (b'{"a": 1', "line 1, column 8: the text ends in the middle: the file may have been cut off"),
        (b'{"a": "b', "line 1, column 7: the text ends in the middle: the file may have been cut off"),
        (b'{"a": "b\x00"}', "line 1, column 9: is not JSON: invalid control character at"),
        (b'{"a": "\x1b"}', "line 1, column 8: is not JSON: invalid control character at"),
    ],
)
def test_text_that_is_not_json_is_refused_where_it_breaks(data: bytes, problem: str) -> None:
    (found,) = refused(data)
    assert found.startswith(problem)


def test_a_byte_order_mark_is_no_part_of_the_text() -> None:
    assert read_object(codecs.BOM_UTF8 + b'{"a": 1}') == {"a": 1}


def test_what_is_too_large_is_refused_unread() -> None:
    assert refused(b" " * (MOST_BYTES + 1)) == ["is larger than 64 MB, the most that is read"]


def test_places_are_written_like_paths() -> None:
    assert place_of(("legs", 3, "sta")) == "legs[3].sta"
    assert place_of(("a", 0, 1, "b c", "d")) == 'a[0][1]."b c".d'
    assert place_of(()) == ""


SENSIBLE = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**17), 10**17) | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"])),
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(st.text(max_size=5), inner, max_size=5),
    max_leaves=20,
)  # fmt: skip


@given(st.dictionaries(st.text(st.characters(exclude_categories=["Cs"]), max_size=5), SENSIBLE, max_size=5))
def test_sensible_json_reads_as_the_standard_reader_reads_it(content: dict[str, object]) -> None:
    data = json.dumps(content, allow_nan=False).encode()
    try:
        assert read_object(data) == json.loads(data)
    except BadJsonError as error:
        assert all("nested deeper" in row.reason for row in error.problems)


@given(st.binary(max_size=200) | st.text(st.sampled_from('{}[]":,0123456789.eE+-NaInfity \\ud8tru'), max_size=80))
def test_any_bytes_give_an_object_of_finite_numbers_or_problems(data: bytes | str) -> None:
    raw = data if isinstance(data, bytes) else data.encode()
    try:
        content = read_object(raw)
    except BadJsonError as error:
        assert error.problems
    else:
        assert all(math.isfinite(row) for row in content.values() if isinstance(row, float))
