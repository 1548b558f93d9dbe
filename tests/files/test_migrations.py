"""Older versions are brought to the present one, step by step; newer ones are never written over."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from legtide.day.document import VERSION
from legtide.files.atomic import SaveError
from legtide.files.day_file import DayFileError, checksum, load, parse, save, to_bytes
from legtide.files.migrations import STEPS, NoStepError, migrate
from support.full_day import full_day


def older() -> dict[str, Any]:
    """The full day as an invented version 0 would have had it: passengers under another name, no title."""
    content = json.loads(to_bytes(full_day()))
    del content["checksum"]
    for leg in content["legs"]:
        leg["heads"] = leg.pop("passengers")
    content["version"] = 0
    return content


def from_zero(content: dict[str, Any]) -> dict[str, Any]:
    legs = [{**{k: v for k, v in leg.items() if k != "heads"}, "passengers": leg["heads"]} for leg in content["legs"]]
    return {**content, "legs": legs}


def test_an_older_file_is_migrated_on_load(tmp_path: Path) -> None:
    path = tmp_path / "old.day.json"
    before = json.dumps(older()).encode()
    path.write_bytes(before)
    loaded = load(path, steps={0: from_zero})
    assert loaded.day == full_day()
    assert loaded.migrated_from == 0
    assert loaded.cautions == ()
    assert path.read_bytes() == before, "loading writes nothing"
    save(loaded.day, path, opened=loaded.sha256)
    assert json.loads(path.read_bytes())["version"] == VERSION


def test_the_checksum_is_that_of_the_older_content() -> None:
    content = older()
    content["checksum"] = checksum(content)
    assert parse(json.dumps(content).encode(), steps={0: from_zero}).cautions == ()
    content["legs"][0]["heads"] = 1
    assert len(parse(json.dumps(content).encode(), steps={0: from_zero}).cautions) == 1


def test_problems_of_a_migrated_file_have_places_of_the_present_version() -> None:
    content = older()
    content["legs"][1]["heads"] = "many"
    with pytest.raises(DayFileError) as caught:
        parse(json.dumps(content).encode(), steps={0: from_zero})
    assert [row.place for row in caught.value.problems] == ["legs[1].passengers"]


def test_without_a_step_an_older_file_is_refused() -> None:
    with pytest.raises(DayFileError, match="version 0 of the day file is not known"):
        parse(json.dumps(older()).encode())


def test_steps_follow_each_other_and_the_version_counts_up() -> None:
    steps = {number: (lambda c, n=number: {**c, "seen": [*c["seen"], (n, c["version"])]}) for number in range(3, 6)}
    content = {"version": 3, "seen": []}
    assert migrate(content, 3, 6, steps) == {"version": 6, "seen": [(3, 3), (4, 4), (5, 5)]}
    assert migrate(content, 6, 6, steps) is content
    with pytest.raises(NoStepError, match="version 2 of"):
        migrate(content, 2, 6, steps)


def test_there_is_a_step_for_every_version_since_the_first() -> None:
    assert sorted(STEPS) == list(range(1, VERSION))


@pytest.mark.parametrize("form", [json.dumps, lambda content: json.dumps(content, indent=3).replace(": ", " :\n ")])
def test_a_newer_file_is_never_overwritten(tmp_path: Path, form: Any) -> None:
    path = tmp_path / "new.day.json"
    newer = form({"format": "legtide-day", "version": VERSION + 1, "unheard": [1, 2]}).encode()
    path.write_bytes(newer)
    with pytest.raises(SaveError, match="a day file of the newer version 2 is there; it is never overwritten"):
        save(full_day(), path)
    assert path.read_bytes() == newer


def test_a_title_that_looks_like_a_version_is_only_a_title(tmp_path: Path) -> None:
    path = tmp_path / "a.day.json"
    day = full_day().model_copy(update={"title": '"legtide-day" "version": 99'})
    save(day, path)
    save(day, path)
    assert load(path).day == day
