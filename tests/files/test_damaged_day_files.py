"""Damaged day files: cut, flipped, mutated, random. Each gives problems with places, or opens, and nothing else."""

from __future__ import annotations

import json
import random
import string
import subprocess
import sys
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legtide.day.document import Aircraft, Day, Leg, Station
from legtide.day.fits import shipped_fit
from legtide.files.day_file import DayFileError, Loaded, checksum, parse, to_bytes
from support.full_day import at, full_day


def small_day() -> Day:
    """The smallest day with a leg; texts are short, so that its file is."""
    leg = Leg(
        id="1", aircraft="Q", flight="Z", origin="A", destination="B", std=at(0), sta=at(1), passengers=9, crew=2
    )  # fmt: skip
    return Day(
        date=date(2031, 3, 5),
        fits=(shipped_fit("jet-70"),),
        stations=(Station(code="A"), Station(code="B")),
        aircraft=(Aircraft(registration="Q", fit="jet-70"),),
        legs=(leg,),
    )


def outcome(data: bytes) -> Loaded | DayFileError:
    """What loading gives; anything but a day or problems with reasons fails the test."""
    try:
        return parse(data)
    except DayFileError as error:
        assert error.problems
        assert all(row.reason for row in error.problems)
        str(error).encode("utf-8")
        return error


FILES = {
    "small": to_bytes(small_day()),
    "full": to_bytes(full_day()),
    "one line": json.dumps(json.loads(to_bytes(full_day())), ensure_ascii=True).encode(),
}


@pytest.mark.parametrize("name", FILES)
def test_a_file_that_is_cut_at_any_byte_is_refused(name: str) -> None:
    data = FILES[name]
    whole = len(data.rstrip())
    for length in range(whole):
        error = outcome(data[:length])
        assert isinstance(error, DayFileError), f"cut after {length} bytes"
        assert len(error.problems) == 1
    assert isinstance(outcome(data[:whole]), Loaded)


def _short() -> bytes:
    """A sound file in which the groups of figures are left to their defaults, with a checksum."""
    content = json.loads(to_bytes(small_day()))
    for key in ("usage", "policy", "checksum"):
        del content[key]
    content["fits"] = [{"id": "jet-70", "seats": {"value": 70}}]
    return json.dumps({"checksum": checksum(content), **content}, indent=1).encode()


def test_every_flipped_bit_is_caught() -> None:
    """Each flip is refused, opens with a caution, or leaves the meaning as it was."""
    data = _short()
    sound = parse(data)
    assert sound.cautions == ()
    seen = {"refused": 0, "cautioned": 0, "same": 0}
    for place in range(len(data)):
        for bit in range(8):
            flipped = bytearray(data)
            flipped[place] ^= 1 << bit
            found = outcome(bytes(flipped))
            if isinstance(found, DayFileError):
                seen["refused"] += 1
            elif found.cautions:
                seen["cautioned"] += 1
            else:
                assert found.day == sound.day, f"bit {bit} of byte {place} changed the meaning unseen"
                seen["same"] += 1
    assert seen["refused"] > seen["cautioned"] > 100
    assert seen["same"] < 50


def test_without_a_checksum_flips_would_change_the_meaning_unseen() -> None:
    """The control: the same flips on a file without a checksum; strict fields alone do not see them all."""
    content = json.loads(_short())
    del content["checksum"]
    data = json.dumps(content, indent=1).encode()
    sound = parse(data).day
    unseen = 0
    for place in range(len(data)):
        flipped = bytearray(data)
        flipped[place] ^= 1
        found = outcome(bytes(flipped))
        unseen += isinstance(found, Loaded) and found.day != sound
    assert unseen > 20


TOKENS = [
    b"NaN", b"Infinity", b"1e400", b"-1", b"0", b"1" * 400, b"null", b"true", b'"', b"{", b"}", b"[", b"]", b",",
    b":", b"\\", b"\\ud800", b"\x00", b"\xff", b"\xef\xbb\xbf", b'"2031-03-05T06:10"', b'"9"', b'"from"', b"1.5",
]  # fmt: skip


def mutated(data: bytes, rng: random.Random) -> bytes:
    """The bytes with one to four small changes."""
    out = bytearray(data)
    for _ in range(rng.randint(1, 4)):
        at_byte = rng.randrange(len(out)) if out else 0
        end = min(len(out), at_byte + rng.choice([1, 1, 2, 8, 100]))
        kind = rng.randrange(6)
        if kind == 0:
            del out[at_byte:end]
        elif kind == 1:
            out[at_byte:at_byte] = rng.choice(TOKENS)
        elif kind == 2:
            out[at_byte:end] = rng.choice(TOKENS)
        elif kind == 3:
            out[at_byte:at_byte] = out[at_byte:end]
        elif kind == 4 and out:
            out[at_byte] = rng.randrange(256)
        else:
            other = rng.randrange(len(out)) if out else 0
            out[at_byte:end] = out[other : other + (end - at_byte)]
    return bytes(out)


def mutate_many(data: bytes, count: int, seed: int) -> None:
    rng = random.Random(seed)
    outcomes = [outcome(mutated(data, rng)) for _ in range(count)]
    refused = sum(isinstance(row, DayFileError) for row in outcomes)
    assert refused > count // 2
    sound = parse(data).day
    for found in outcomes:
        if isinstance(found, Loaded) and not found.cautions:
            assert found.day == sound, "a change that nobody is told of"


def test_mutated_files_are_refused_or_cautioned() -> None:
    mutate_many(FILES["small"], 1_500, seed=1)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(4))
def test_mutated_files_are_refused_or_cautioned_in_a_long_run(seed: int) -> None:
    mutate_many(FILES["full"], 5_000, seed=100 + seed)


ANY_JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(string.printable, max_size=8)
    | st.sampled_from(["2031-03-05", "2031-03-05T06:00Z", "ABLE", "fresh"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["id", "aircraft", "from", "to", "std", "value", "turn", "x"]), inner, max_size=4
        )
    ),
    max_leaves=12,
)
PARTS = [name for name in Day.model_fields if name not in ("format", "version")]


@given(st.dictionaries(st.sampled_from(PARTS), ANY_JSON, max_size=6))
@settings(max_examples=300)
def test_random_json_gives_problems_or_a_day(parts: dict[str, Any]) -> None:
    outcome(json.dumps({"format": "legtide-day", "version": 1, **parts}).encode())


@given(st.sampled_from(["legs", "stations", "fits", "services"]), st.integers(0, 1), st.data())
@settings(max_examples=200)
def test_one_odd_value_in_a_sound_file(part: str, index: int, data: st.DataObject) -> None:
    content = json.loads(FILES["full"])
    row = content[part][index]
    row[data.draw(st.sampled_from(sorted(row)))] = data.draw(ANY_JSON)
    del content["checksum"]
    outcome(json.dumps(content).encode())


WRONG_ROWS = """
import resource
from legtide.files.day_file import DayFileError, parse
rows = b",".join([b'{"a": 1, "b": 2}'] * 200_000)
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
try:
    parse(b'{"format": "legtide-day", "version": 1, "date": "2031-03-05", "legs": [' + rows + b"]}")
except DayFileError as error:
    print(len(error.problems), (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)
"""


def test_a_file_full_of_wrong_rows_is_refused_in_bounded_memory() -> None:
    """Validated in one go these rows take more than a gigabyte: pydantic keeps every error that it finds."""
    child = subprocess.run([sys.executable, "-c", WRONG_ROWS], capture_output=True, text=True, check=True)
    count, megabytes = map(int, child.stdout.split())
    assert count == 101
    assert megabytes < 300
