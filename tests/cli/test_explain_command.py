"""`legtide explain` as a user types it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from legtide.cli.main import main
from legtide.engine.projection import project
from legtide.files.day_file import save
from support.days import rotation_day


@pytest.fixture
def day_path(tmp_path: Path) -> Path:
    path = tmp_path / "one.day.json"
    save(rotation_day(1.5, 4, 0.8), path)
    return path


def test_a_risk_is_explained_with_its_number_inputs_and_sources(
    day_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["explain", str(day_path), "risk:QX-0:0-3:fresh"]) == 0
    text = capsys.readouterr().out
    risk = project(rotation_day(1.5, 4, 0.8)).aircraft["QX-0"].legs[3].risk_fresh_below_reserve
    assert f"{risk * 100:.0f} %" in text
    assert "Rinse water per visit" in text
    assert "EP 1 057 943 A2" in text


def test_json_is_one_document(day_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", str(day_path), "mass:QX-0:0-0", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert "199.8" in json.dumps(document)


@pytest.mark.parametrize("what", ["nonsense", "risk:QX-9:0-1:fresh", "figure:usage.nothing", "service:none"])
def test_what_is_not_there_is_said(day_path: Path, capsys: pytest.CaptureFixture[str], what: str) -> None:
    assert main(["explain", str(day_path), what]) == 3
    said = capsys.readouterr()
    assert said.out == ""
    assert "Traceback" not in said.err
    assert len(said.err) > 20
