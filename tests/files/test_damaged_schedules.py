"""Damaged schedules: cut, mutated, random. Each gives a sound day with every other row listed, or problems."""

from __future__ import annotations

import random
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legtide.day.checks import problems
from legtide.files.grids import TableError
from legtide.files.schedule import Imported, Options, import_schedule
from legtide.files.zones import Zones

SCHEDULE = """\ufeffregistration;flight;from;to;std;sta;pax;service_style;remark
QX-A;ZZ1;ABLE;BAKE;2031-10-26T00:30;2031-10-26T02:30;150;meal;"a; b"
QX-A;ZZ2;BAKE;ABLE;2031-10-26T03:30;2031-10-26T05:30+01:00;;drinks;"two
lines"
QX-B;'=ZZ3;ABLE;CAKE;2031-10-26T06:00Z;2031-10-26T07:00Z;12;;

QX-B;ZZ4;CAKE;ABLE;2031-10-26T08:00Z;2031-10-26T09:00Z;0;none;"say ""x"" "
""".encode()
OPTIONS = Options(times="local", zones=Zones({"ABLE": "Europe/Berlin", "BAKE": "Europe/Berlin", "CAKE": "UTC"}))


def outcome(data: bytes) -> Imported | TableError:
    """What importing gives; anything but a sound day or problems with reasons fails the test."""
    try:
        made = import_schedule(data, OPTIONS)
    except TableError as error:
        assert error.problems
        assert all(row.reason for row in error.problems)
        str(error).encode("utf-8")
        return error
    assert problems(made.day) == ()
    lines = data.count(b"\n") + data.count(b"\r") + 1
    assert all(1 <= row.line <= lines and row.reason for row in made.rejected)
    return made


def test_the_sound_schedule_is_taken_whole() -> None:
    made = outcome(SCHEDULE)
    assert isinstance(made, Imported)
    assert made.rejected == ()
    assert [leg.flight for leg in made.day.legs] == ["ZZ1", "ZZ2", "=ZZ3", "ZZ4"]


def test_a_schedule_that_is_cut_at_any_byte() -> None:
    for length in range(len(SCHEDULE)):
        made = outcome(SCHEDULE[:length])
        if isinstance(made, Imported):
            assert len(made.day.legs) <= 4


TOKENS = [
    b";",
    b",",
    b"\t",
    b"|",
    b'"',
    b'""',
    b"\n",
    b"\r",
    b"\x00",
    b"\xff",
    b"'=",
    b"Z",
    b"99",
    b"2031",
    b"-",
    b" ",
]


def mutated(rng: random.Random) -> bytes:
    out = bytearray(SCHEDULE)
    for _ in range(rng.randint(1, 5)):
        at = rng.randrange(len(out))
        end = min(len(out), at + rng.choice([1, 1, 3, 30]))
        kind = rng.randrange(5)
        if kind == 0:
            del out[at:end]
        elif kind == 1:
            out[at:at] = rng.choice(TOKENS)
        elif kind == 2:
            out[at:end] = rng.choice(TOKENS)
        elif kind == 3:
            out[at:at] = out[at:end]
        else:
            out[at] = rng.randrange(256)
        if not out:
            break
    return bytes(out)


def mutate_many(count: int, seed: int) -> None:
    rng = random.Random(seed)
    found = [outcome(mutated(rng)) for _ in range(count)]
    taken = [made for made in found if isinstance(made, Imported)]
    assert len(taken) > count // 10
    assert sum(bool(made.rejected) for made in taken) > count // 20
    assert sum(isinstance(made, TableError) for made in found) > count // 20


def test_mutated_schedules() -> None:
    mutate_many(2_000, seed=1)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(4))
def test_mutated_schedules_in_a_long_run(seed: int) -> None:
    mutate_many(15_000, seed=100 + seed)


@given(st.text(st.sampled_from(string.printable + "\0é"), max_size=60), st.binary(max_size=40))
@settings(max_examples=300)
def test_random_rows_under_a_sound_header(text: str, raw: bytes) -> None:
    outcome(b"registration,flight,from,to,std,sta\n" + text.encode() + b"\n" + raw)


@given(st.integers(2, 60), st.data())
@settings(max_examples=30)
def test_every_row_is_taken_or_listed(count: int, data: st.DataObject) -> None:
    """Rows on one line each: the legs and the rejected lines together are all of them."""
    times = st.sampled_from([f"2031-03-05T{hour:02d}:{minute}Z" for hour in range(24) for minute in ("00", "30")])
    odd = st.sampled_from(["", "soon", '"', "x;y", "2031-03-05T06:00"])
    rows = []
    for _ in range(count):
        std, sta = data.draw(times | odd), data.draw(times)
        rows.append(f"{data.draw(st.sampled_from(['QX-A', 'QX-B', '']))},ZZ,ABLE,BAKE,{std},{sta}")
    made = outcome("\n".join(["registration,flight,from,to,std,sta", *rows]).encode())
    if isinstance(made, Imported):
        assert len(made.day.legs) + len({row.line for row in made.rejected}) == count
    else:
        assert len({row.place.partition(",")[0] for row in made.problems} - {""}) == count


def test_more_rows_that_cannot_be_taken_than_anybody_reads(monkeypatch: pytest.MonkeyPatch) -> None:
    """The limit is 50,000; a lower one stands for it."""
    monkeypatch.setattr("legtide.files.grids.MOST_REJECTED", 20)
    bad = "QX-A,ZZ1,ABLE,BAKE,soon,2031-03-05T07:00Z"
    good = "QX-A,ZZ1,ABLE,BAKE,2031-03-05T06:00Z,2031-03-05T07:00Z"
    made = outcome("\n".join(["registration,flight,from,to,std,sta", good, *[bad] * 20]).encode())
    assert isinstance(made, Imported)
    refused = outcome("\n".join(["registration,flight,from,to,std,sta", good, *[bad] * 21]).encode())
    assert str(refused) == "more than 20 rows cannot be read: is it the right file?"


def test_ten_thousand_rows_with_a_wrong_one_each_hundred() -> None:
    rows = ["registration,flight,from,to,std,sta"]
    for number in range(10_000):
        off, on = 2 * (number % 8), 2 * (number % 8) + 1
        bad = number % 100 == 99
        rows.append(
            f"QX-{number // 8},ZZ{number},ABLE,BAKE,2031-03-05T{off:02d}:00Z,2031-03-05T{'x' if bad else on:>02}:30Z"
        )
    made = outcome("\n".join(rows).encode())
    assert isinstance(made, Imported)
    assert len(made.day.legs) == 9_900
    assert [row.line for row in made.rejected] == list(range(101, 10_002, 100))
