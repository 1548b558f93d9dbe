"""Cells that a spreadsheet would run as a formula: neutralised on the way out, given back on the way in."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from legtide.files.cells import neutralised, restored

# The characters are those of the "CSV Injection" page of the OWASP Foundation, and NUL.
RISKY = "=+-@\t\r\0"


@pytest.mark.parametrize("first", RISKY)
def test_a_cell_never_starts_with_a_risky_character(first: str) -> None:
    assert neutralised(f"{first}SUM(A1)") == f"'{first}SUM(A1)"
    assert restored(f"'{first}SUM(A1)") == f"{first}SUM(A1)"


@pytest.mark.parametrize("text", ["", "QX-AAA", "a=b", "'quoted'", "it's", "'", "1", "x\t=1"])
def test_other_cells_are_left_alone(text: str) -> None:
    assert neutralised(text) == text
    assert restored(text) == text


@given(st.text(st.sampled_from("'=+-@\t\r\0ab"), max_size=6) | st.text())
def test_a_round_trip_is_exact(text: str) -> None:
    cell = neutralised(text)
    assert restored(cell) == text
    assert not cell.startswith(tuple(RISKY))


@given(st.text(st.sampled_from("'=+-@\t\r\0ab"), max_size=6), st.text(st.sampled_from("'=+-@\t\r\0ab"), max_size=6))
def test_different_texts_give_different_cells(one: str, other: str) -> None:
    assert (neutralised(one) == neutralised(other)) == (one == other)
