"""Text from a file inside a message is only text."""

from __future__ import annotations

import pytest

from legtide.day.quoting import printable, quoted


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain", "plain"),
        ("Zürich 東京 שלום", "Zürich 東京 שלום"),
        ("\x1b[31mred", "\\x1b[31mred"),
        ("a\nb\tc\x00", "a\\nb\\tc\\x00"),
        ("\u202eright to left", "\\u202eright to left"),
        ("\ud800", "\\ud800"),
        ("\u2028", "\\u2028"),
    ],
)
def test_only_what_prints_is_printed(text: str, shown: str) -> None:
    assert printable(text) == shown
    assert quoted(text) == f'"{shown}"'
    printable(text).encode("utf-8")


def test_long_values_are_cut() -> None:
    assert quoted("x" * 1000) == '"' + "x" * 60 + '…"'
    assert quoted(10**100) == "1" + "0" * 59 + "…"
    assert quoted(3) == "3"
