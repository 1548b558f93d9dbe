"""`legtide play` as a user types it."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from legtide.cli.main import main
from legtide.files.day_file import save
from support.days import rotation_day


@pytest.fixture
def day_path(tmp_path: Path) -> Path:
    path = tmp_path / "one.day.json"
    save(rotation_day(3.0, 4), path)
    return path


def calls(path: Path, *services: dict[str, object]) -> Path:
    made = path.parent / "calls.json"
    content = {"format": "legtide-calls", "version": 1, "group": "Blue", "services": list(services)}
    made.write_text(json.dumps(content))
    return made


def run(*words: str) -> int:
    return main(["play", *words, "--days", "100"])


def test_a_page_tells_score_luck_and_what_followed(day_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    fill = {"aircraft": "QX-0", "turn": 2, "tank": "fresh", "serve": True, "target_percent": 50}
    before = day_path.read_bytes()
    run(str(day_path), "--seed", "3", "--calls", str(calls(day_path, fill)))
    page = capsys.readouterr().out
    for words in ("seed 3", "Blue", "best plan, same readings", "hindsight", "luck", "done in part", "Brier score"):
        assert words in page
    assert day_path.read_bytes() == before


def test_the_same_seed_prints_the_same_document(day_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    printed = []
    for seed in ("3", "3", "4"):
        run(str(day_path), "--seed", seed, "--json")
        printed.append(json.loads(capsys.readouterr().out))
    assert printed[0] == printed[1]
    assert printed[0]["group"] != printed[2]["group"]


def test_a_breach_on_the_played_day_is_an_exit_code(day_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    serve = [
        {"aircraft": "QX-0", "turn": turn, "tank": tank, "serve": True}
        for turn in (1, 2, 3)
        for tank in ("fresh", "waste")
    ]
    assert run(str(day_path), "--json") == 1
    assert json.loads(capsys.readouterr().out)["group"]["breaches"] > 0
    assert run(str(day_path), "--json", "--calls", str(calls(day_path, *serve))) == 0
    assert json.loads(capsys.readouterr().out)["group"]["breaches"] == 0


def test_the_score_is_written_as_a_table(day_path: Path, tmp_path: Path) -> None:
    out = tmp_path / "score.csv"
    run(str(day_path), "-o", str(out))
    rows = list(csv.DictReader(out.read_text().splitlines()))
    assert [row["kind"] for row in rows] == ["group"] + ["reference"] * 5


@pytest.mark.parametrize(
    ("services", "words"),
    [
        ([{"aircraft": "QX-9", "turn": 1, "tank": "fresh", "serve": True}], "services[0].aircraft"),
        ([{"aircraft": "QX-0", "turn": 1, "tank": "fresh"}], "services[0].serve: is missing"),
        ([{"aircraft": "QX-0", "turn": 0, "tank": "waste", "serve": True, "at": "2026-05-14T05:00:00Z"}], "has left"),
    ],
)
def test_calls_that_are_not_acceptable_are_named(
    day_path: Path, capsys: pytest.CaptureFixture[str], services: list[dict[str, object]], words: str
) -> None:
    assert run(str(day_path), "--calls", str(calls(day_path, *services))) == 3
    assert words in capsys.readouterr().err


@pytest.mark.parametrize("words", [["--seed", "-1"], ["--seed", "x"], ["--from", "05:00"], ["-o", "score.pdf"]])
def test_wrong_usage(day_path: Path, capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    assert run(str(day_path), *words) == 2
    capsys.readouterr()


def test_a_round_can_begin_later(day_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(str(day_path), "--json", "--from", "2026-05-14T08:00:00+02:00")
    assert json.loads(capsys.readouterr().out)["begin"] == "2026-05-14T06:00:00Z"
    assert run(str(day_path), "--from", "2026-05-16T08:00:00Z") == 3
    assert "no leg to play" in capsys.readouterr().err
