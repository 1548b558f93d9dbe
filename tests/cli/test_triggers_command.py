"""`legtide triggers` as a user types it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from legtide.cli.main import main
from legtide.day.document import Reading
from legtide.engine.projection import project
from legtide.files.day_file import save
from support.days import rotation_day

KEYS = {
    "registration",
    "turn",
    "station",
    "tank",
    "next_service_turn",
    "trigger_percent",
    "go_on_if",
    "risk_limit",
}


def document(path: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    main(["triggers", str(path), "--json"])
    return json.loads(capsys.readouterr().out)  # type: ignore[no-any-return]


def test_the_document_is_the_contracts_and_the_readings_decide(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A reading at the trigger keeps the next leg within the limit; the step beyond it does not."""
    day = rotation_day(1.5, 4, 0.8)
    path = tmp_path / "one.day.json"
    save(day, path)
    found = document(path, capsys)
    assert (found["format"], found["version"]) == ("legtide-triggers", 1)
    turns = found["turns"]
    assert isinstance(turns, list)
    assert all(set(row) == KEYS for row in turns)
    last = next(row for row in turns if row["turn"] == 3 and row["tank"] == "fresh")
    assert last["go_on_if"] == "at_or_above"
    trigger = last["trigger_percent"]
    for percent, within in ((trigger, True), (trigger - 10.0, False)):
        reading = Reading(aircraft="QX-0", turn=3, tank="fresh", percent=percent)
        leg = project(day.model_copy(update={"readings": (reading,)})).aircraft["QX-0"].legs[3]
        assert (leg.risk_fresh_below_reserve <= last["risk_limit"]) is within


def test_the_page_says_it_in_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "one.day.json"
    save(rotation_day(1.5, 4, 0.8), path)
    assert main(["triggers", str(path)]) in (0, 1)
    page = capsys.readouterr().out
    assert "risk limit per leg: 10 %" in page
    assert "go on without a water service" in page


def test_a_file_that_is_not_there_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["triggers", "nowhere.day.json"]) == 3
    assert "nowhere.day.json" in capsys.readouterr().err
