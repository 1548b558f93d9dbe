"""Loading: what is refused, with which places and sentences, and what opens with a caution."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from legtide.day.document import Day
from legtide.files import day_file
from legtide.files.day_file import DayFileError, NewerVersionError, load, parse, to_bytes
from legtide.files.strict_json import MOST_BYTES
from support.full_day import full_day

Content = dict[str, Any]


def content() -> Content:
    """The full day as plain JSON, without a checksum."""
    made: Content = json.loads(to_bytes(full_day()))
    del made["checksum"]
    return made


def parsed(made: Content) -> day_file.Loaded:
    return parse(json.dumps(made).encode())


def refused(made: Content | bytes) -> list[str]:
    data = made if isinstance(made, bytes) else json.dumps(made).encode()
    with pytest.raises(DayFileError) as caught:
        parse(data)
    return [str(problem) for problem in caught.value.problems]


def edited(change: Callable[[Content], object]) -> Content:
    made = content()
    change(made)
    return made


def test_a_file_without_a_checksum_opens_without_a_caution() -> None:
    loaded = parsed(content())
    assert loaded.day == full_day()
    assert loaded.cautions == ()
    assert loaded.migrated_from is None


def test_a_file_written_by_hand_needs_little() -> None:
    assert parse(b'{"format": "legtide-day", "version": 1, "date": "2031-03-05"}').day == Day(date=full_day().date)


def test_a_checksum_that_does_not_match_opens_with_a_caution() -> None:
    data = to_bytes(full_day()).replace(b'"passengers": 150', b'"passengers": 151', 1)
    loaded = parse(data)
    assert [row.code for row in loaded.cautions] == ["changed-outside"]
    assert "changed outside of Legtide, or it is damaged" in loaded.cautions[0].message
    assert loaded.day.legs[0].passengers == 151
    assert loaded.day.checksum is None


def test_a_checksum_that_is_no_checksum_opens_with_a_caution() -> None:
    for value in ("", "x", 5, ["a"], "A" * 64):
        assert [row.code for row in parsed({**content(), "checksum": value}).cautions] == ["changed-outside"]


def test_white_space_and_order_do_not_change_the_checksum() -> None:
    made = json.loads(to_bytes(full_day()))
    turned = json.dumps(dict(reversed(list(made.items()))), indent=7).encode()
    assert parse(turned).cautions == ()


CASES: list[tuple[str, Callable[[Content], object], str]] = [
    ("unknown key", lambda c: c.update(colour="red"), "colour: is not a known key"),
    ("unknown key inside", lambda c: c["legs"][3].update(gate="A"), "legs[3].gate: is not a known key"),
    (
        "name of the program for a key",
        lambda c: c["legs"][3].update(origin="ABLE"),
        "legs[3].origin: is not a known key",
    ),
    ("missing key", lambda c: c["legs"][3].pop("sta"), "legs[3].sta: is missing"),
    ("no date", lambda c: c.pop("date"), "date: is missing"),
    (
        "no zone",
        lambda c: c["legs"][3].update(sta="2031-03-05T09:00"),
        'legs[3].sta: has no time zone: a time is written like 2031-03-05T06:10Z (it is "2031-03-05T09:00")',
    ),
    (
        "no time",
        lambda c: c["legs"][3].update(sta="soon"),
        'legs[3].sta: is not a time written like 2031-03-05T06:10Z: input is too short (it is "soon")',
    ),
    (
        "seconds since 1970 as text",
        lambda c: c["legs"][3].update(sta="1930000000"),
        'legs[3].sta: is a bare number, not a time written like 2031-03-05T06:10Z (it is "1930000000")',
    ),
    (
        "seconds since 1970",
        lambda c: c["legs"][3].update(sta=1930000000),
        "legs[3].sta: must be a time written like 2031-03-05T06:10Z (it is 1930000000)",
    ),
    (
        "time out of this world",
        lambda c: c["legs"][3].update(sta="0001-01-01T00:00+14:00"),
        'legs[3].sta: must lie in the years 1970 to 2199 (it is "0001-01-01T00:00+14:00")',
    ),
    (
        "day as a number of text",
        lambda c: c.update(date="1930003200"),
        'date: is a bare number, not a time written like 2031-03-05T06:10Z (it is "1930003200")',
    ),
    (
        "text for a number",
        lambda c: c["legs"][0].update(passengers="12"),
        'legs[0].passengers: must be a whole number (it is "12")',
    ),
    (
        "true for a number",
        lambda c: c["legs"][0].update(passengers=True),
        "legs[0].passengers: must be a whole number (it is true)",
    ),
    (
        "part of a head",
        lambda c: c["legs"][0].update(passengers=1.5),
        "legs[0].passengers: must be a whole number (it is 1.5)",
    ),
    (
        "negative heads",
        lambda c: c["legs"][0].update(passengers=-1),
        "legs[0].passengers: must be at least 0 (it is -1)",
    ),
    (
        "over full",
        lambda c: c["aircraft"][0].update(fresh_percent=100.5),
        "aircraft[0].fresh_percent: must be at most 100 (it is 100.5)",
    ),
    (
        "figure out of all sense",
        lambda c: c["usage"]["rinse_l"].update(value=1000),
        "usage.rinse_l: value 1000 is outside 0 to 10 L",
    ),
    (
        "figure without unit",
        lambda c: c["fits"][1]["seats"].update(value=0),
        "fits[1].seats: value 0 is outside 1 to 2000",
    ),
    (
        "figure of another status",
        lambda c: c["usage"]["rinse_l"].update(status="sure"),
        "usage.rinse_l.status: must be one of 'seen', 'derived', 'memory', 'assumed', 'learned' or 'entered' "
        '(it is "sure")',
    ),
    (
        "pre-charge",
        lambda c: c["fits"][0]["pre_charge_l"].update(value=170),
        "fits[0]: the pre-charge does not leave room in the waste tank",
    ),
    (
        "tank",
        lambda c: c["services"][0].update(tank="fuel"),
        "services[0].tank: must be one of 'fresh' or 'waste' (it is \"fuel\")",
    ),
    (
        "zone",
        lambda c: c["stations"][1].update(time_zone="../../etc/passwd"),
        'stations[1].time_zone: is not a known time zone (it is "../../etc/passwd")',
    ),
    (
        "span",
        lambda c: c["stations"][0]["trucks"][1]["breaks"][0].update(end="2031-03-05T01:00Z"),
        "stations[0].trucks[1].breaks[0]: ends before it starts",
    ),
    (
        "control characters",
        lambda c: c.update(title="a\x1b[31mb"),
        "title: must not hold control characters",
    ),
    ("empty name", lambda c: c["legs"][0].update(flight=""), "legs[0].flight: must not be empty"),
    (
        "long name",
        lambda c: c["legs"][0].update(flight="x" * 65),
        "legs[0].flight: must have at most 64 characters",
    ),
    ("list for an object", lambda c: c.update(usage=[]), "usage: must be an object in braces"),
    ("object for a list", lambda c: c.update(legs={}), "legs: must be a list in square brackets"),
    ("number for a row", lambda c: c["legs"].__setitem__(2, 5), "legs[2]: must be an object in braces"),
    ("null for a list", lambda c: c.update(legs=None), "legs: must be a list in square brackets"),
    (
        "three ends",
        lambda c: c["stations"][0]["travel"][0].update(between=["A1", "F", "D"]),
        "stations[0].travel[0].between: has more than 2 items",
    ),
    (
        "what fields cannot say",
        lambda c: c["legs"][3].update(sta="2031-03-05T06:00Z"),
        "legs[3].sta: the leg ends before it starts: STA 2031-03-05 06:00Z is not after STD 2031-03-05 06:30Z",
    ),
    ("station not listed", lambda c: c["legs"][3].update(to="CAKE"), 'legs[3].to: station "CAKE" is not listed'),
]


@pytest.mark.parametrize(("change", "problem"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_a_problem_has_its_place_and_a_plain_reason(change: Callable[[Content], object], problem: str) -> None:
    assert refused(edited(change)) == [problem]


def test_all_problems_of_all_parts_are_found_at_once() -> None:
    made = content()
    made["title"] = 5
    made["usage"]["rinse_l"]["value"] = "much"
    made["stations"][0]["water_c"] = 99
    made["legs"][4]["from"] = None
    made["services"][2]["turn"] = -1
    made["extra"] = 1
    assert refused(made) == [
        "title: must be text in quotation marks (it is 5)",
        'usage.rinse_l.value: must be a number (it is "much")',
        "extra: is not a known key",
        "stations[0].water_c: must be at most 60 (it is 99)",
        "legs[4].from: must be text in quotation marks",
        "services[2].turn: must be at least 0 (it is -1)",
    ]


def test_the_place_is_right_in_every_batch_of_a_long_list() -> None:
    made = content()
    made["legs"] = [{**made["legs"][0], "id": str(i)} for i in range(1000)]
    made["legs"][999]["crew"] = -1
    made["legs"][200]["crew"] = -1
    assert [row.partition(":")[0] for row in refused(made)] == ["legs[200].crew", "legs[999].crew"]


def test_a_list_that_is_too_long_is_refused_as_one_problem() -> None:
    made = content()
    made["fits"] = [made["fits"][0]] * 501
    assert refused(made) == ["fits: has more than 500 items"]


@pytest.mark.parametrize(
    ("made", "problem"),
    [
        ({}, 'format: is missing: a day file has "legtide-day" there'),
        ({"format": 5}, 'format: is not text: a day file has "legtide-day" there'),
        ({"format": "other"}, 'format: is "other": a day file has "legtide-day" there'),
        ({"format": "legtide-day", "version": "1"}, "version: must be a whole number"),
        ({"format": "legtide-day", "version": True}, "version: must be a whole number"),
        ({"format": "legtide-day", "version": -1}, "version: must be a whole number"),
        ({"format": "legtide-day", "version": 1.0}, "version: must be a whole number"),
        ({"format": "legtide-day", "version": 0}, "version: version 0 of the day file is not known"),
    ],
)
def test_another_format_or_version_is_refused_before_anything_else(made: Content, problem: str) -> None:
    assert refused({**made, "nonsense": [1]}) == [problem]


def test_a_newer_version_is_refused_as_such(tmp_path: Path) -> None:
    path = tmp_path / "new.day.json"
    path.write_bytes(json.dumps({**content(), "version": 2, "unheard": 1}).encode())
    with pytest.raises(NewerVersionError) as caught:
        load(path)
    assert caught.value.version == 2
    assert str(caught.value) == f"{path} is version 2 of the day file; this program reads up to version 1"


def test_the_message_names_the_file_and_every_place(tmp_path: Path) -> None:
    path = tmp_path / "bad.day.json"
    path.write_bytes(json.dumps(edited(lambda c: [leg.pop("crew") for leg in c["legs"][:2]])).encode())
    with pytest.raises(DayFileError) as caught:
        load(path)
    assert str(caught.value).split("\n") == [
        f"{path} is not an acceptable day file:",
        "  legs[0].crew: is missing",
        "  legs[1].crew: is missing",
    ]


def test_a_byte_order_mark_is_accepted() -> None:
    assert parse(b"\xef\xbb\xbf" + to_bytes(full_day())).day == full_day()


def test_services_without_a_name_get_one() -> None:
    made = content()
    for row in made["services"]:
        row["id"] = ""
    assert [row.id for row in parsed(made).day.services] == ["s1", "s2", "s3", "s4", "s5"]


def test_text_stays_text() -> None:
    day = parsed(edited(lambda c: c["stations"][0].update(name='<img src="file:///dev/zero">&amp;=1+1'))).day
    assert day.stations[0].name == '<img src="file:///dev/zero">&amp;=1+1'


def test_places_that_cannot_be_read_are_named(tmp_path: Path) -> None:
    def words(path: Path) -> str:
        with pytest.raises(DayFileError) as caught:
            load(path)
        return str(caught.value)

    assert words(tmp_path / "none") == f"{tmp_path / 'none'} does not exist"
    assert words(tmp_path) == f"{tmp_path} is a folder"
    assert words(Path("a\0b")).endswith("a\\x00b cannot be read: embedded null byte")
    assert words(tmp_path / ("x" * 300)).endswith("cannot be read: File name too long")
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert words(pipe) == f"{pipe} is not a regular file"
    assert words(Path("/dev/zero")) == "/dev/zero is not a regular file"


def test_a_huge_file_is_refused_without_being_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "huge.day.json"
    with path.open("wb") as file:
        file.truncate(200 * 2**20)
    with pytest.raises(DayFileError, match="is larger than 64 MB, the most that is read"):
        load(path)
    assert MOST_BYTES == 64 * 2**20
