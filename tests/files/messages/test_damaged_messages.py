"""Damaged, random and hostile text: always an outcome, every line accounted for, in bounded work."""

from __future__ import annotations

import random
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legtide.day.checks import problems
from legtide.day.document import Day, Station
from legtide.files.messages import Outcome, apply, read_messages
from legtide.files.messages.lines import LONGEST_LINE, MOST_LINES
from support.days import rotation_day

TEXT = """QU OZMKKX0
MVT
ZZ0100/14.QX0.ABLE
AD140412/140420 EA0541 BAKE
DL34/62/0010/0005
DLA34C/62A//
PX12/140+3
SI WATER TRUCK LATE

MVT COR
ZZ0100/14.QX0.BAKE
AA140539/140545
LDM
ZZ0101/14.QX0.Y180.2/4
-ABLE.80/10/2.T500.PAX/90

METAR ABLE 140350Z 24012KT 9999 04/M01 Q1018=
TAF BAKE 140300Z 1404/1510 24010KT 9999 TX07/1414Z TNM03/1504Z
  BECMG 1408/1410 33015KT
"""


@pytest.fixture(scope="module")
def day() -> Day:
    return rotation_day(1.5, 4)


def outcome(day: Day, text: str) -> Outcome:
    """What applying gives; a day with problems, or a line without a reason, fails the test."""
    made = apply(day, read_messages(text))
    assert problems(made.day) == ()
    lines = text.count("\n") + text.count("\r") + 1
    assert all(1 <= row.line <= lines and row.reason and len(row.text) <= 200 for row in made.not_understood)
    assert all(1 <= row.line <= lines and row.text for row in made.notes)
    assert (made.day is day) == (not made.changes)
    return made


def test_the_sound_text_is_taken_whole(day: Day) -> None:
    made = outcome(day, TEXT)
    assert made.not_understood == ()
    assert len(made.changes) == 7


def test_text_that_is_cut_at_any_character(day: Day) -> None:
    for length in range(len(TEXT)):
        outcome(day, TEXT[:length])


TOKENS = [
    "/",
    ".",
    "+",
    "-",
    "=",
    "\n",
    "\r",
    " ",
    "\x00",
    "\ud800",
    "\u2028",
    "<b>",
    "AD",
    "MVT",
    "COR",
    "14",
    "9999",
    "M",
]


def mutated(rng: random.Random) -> str:
    out = TEXT
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(out))
        end = min(len(out), at + rng.choice([1, 1, 3, 30]))
        insert = rng.choice(["", rng.choice(TOKENS), out[at:end] * 2, chr(rng.randrange(1, 0x3000))])
        out = out[:at] + insert + out[end if rng.random() < 0.5 else at :]
        if not out:
            break
    return out


def mutate_many(day: Day, count: int, seed: int) -> None:
    rng = random.Random(seed)
    found = [outcome(day, mutated(rng)) for _ in range(count)]
    assert sum(bool(made.not_understood) for made in found) > count // 3
    assert sum(bool(made.changes) for made in found) > count // 3


def test_mutated_text(day: Day) -> None:
    mutate_many(day, 3_000, seed=1)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(4))
def test_mutated_text_in_a_long_run(day: Day, seed: int) -> None:
    mutate_many(day, 30_000, seed=100 + seed)


@given(st.text(st.sampled_from("ADEAPXDL0123456789/.-+ \nMVTLQZ" + string.printable), max_size=120))
@settings(max_examples=500)
def test_random_lines_after_a_sound_head(text: str) -> None:
    outcome(rotation_day(1.5, 4), f"MVT\nZZ0100/14.QX0.ABLE\n{text}")


def test_a_line_that_is_too_long_is_listed_and_ends_its_message(day: Day) -> None:
    made = outcome(day, f"MVT\nZZ0100/14.QX0.ABLE\n{'AD0412 ' * 40}\nPX99\n")
    assert [row.line for row in made.not_understood] == [3, 4]
    assert f"longer than {LONGEST_LINE}" in made.not_understood[0].reason
    assert made.changes == ()


def test_lines_beyond_the_limit_are_counted(day: Day) -> None:
    made = outcome(day, "\n" * MOST_LINES + "MVT\nZZ0100/14.QX0.ABLE\n\nAD0412\n")
    assert len(made.not_understood) == 1
    assert "lines not read: 3" in made.not_understood[0].reason


@pytest.mark.parametrize("piece", ["A", "0", "/", "0/", "A/", "DL31/", "PX1/", "-ABLE.", "M01/", " ", ".A", "ABLE "])
def test_repeats_that_make_patterns_slow_are_read_like_any_other_line(day: Day, piece: str) -> None:
    """Long lines of repeats that end wrongly, by the thousand: an exponential pattern would never come back."""
    body = (piece * LONGEST_LINE)[: LONGEST_LINE - 2] + "!"
    for head in ("", "MVT\nZZ0100/14.QX0.ABLE\n", "LDM\nZZ0101/14.QX0.Y180.2/4\n", "METAR ABLE 140350Z\n"):
        outcome(day, head + f"{body}\n" * (MOST_LINES // 4))


def test_markup_stays_text(day: Day) -> None:
    made = outcome(day, "<img src='/dev/zero'>\nMVT\nZZ0100/14.QX0.ABLE\nAD0412\nSI <b>bold</b>\n")
    assert made.not_understood[0].text == "<img src='/dev/zero'>"
    assert made.notes[0].text == "free text: <b>bold</b>"
    odd = day.model_copy(update={"stations": (*day.stations, Station(code="<i>"))})
    assert outcome(odd, "METAR <i>X 140350Z 04/M01").changes == ()
