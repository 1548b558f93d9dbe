"""Tables on a terminal."""

from __future__ import annotations

from legtide.cli.table import lines, width


def test_columns_are_flush_left_then_right() -> None:
    assert lines(("name", "level"), [("a", "5"), ("longer", "1000")]) == [
        "name    level",
        "a           5",
        "longer   1000",
    ]


def test_wide_and_combining_characters_count_as_they_show() -> None:
    assert width("東京") == 4
    assert width("e\u0301") == 1
    assert lines(("x", "y"), [("東", "1"), ("abc", "2")]) == ["x    y", "東   1", "abc  2"]


def test_what_does_not_print_is_spelled_out() -> None:
    assert lines(("x", "y"), [("a\x1b", "1")])[1] == "a\\x1b  1"
