"""`legtide learn` as a user types it."""

from __future__ import annotations

import json

import numpy as np
import pytest

from legtide.cli.main import main
from legtide.files.day_file import save
from support.past_days import Truth, past_day


@pytest.fixture(scope="module")
def paths(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Twelve simulated days on which people go more often than is assumed."""
    folder, rng = tmp_path_factory.mktemp("past"), np.random.default_rng(3)
    out = []
    for number in range(12):
        path = folder / f"{number:02}.day.json"
        save(past_day(number, Truth(visits=0.45, wash=0.37, day_cv=0.2, leg_shape=25.0), rng), path)
        out.append(str(path))
    return out


def test_days_teach_their_rate(paths: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learn", *paths, "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert (document["format"], document["version"]) == ("legtide-learned", 1)
    visits = next(row for row in document["groups"][0]["estimates"] if row["figure"] == "usage.visits_per_person_h")
    assert visits["p05"] <= 0.45 <= visits["p95"]
    assert visits["assumed"] == 0.30
    assert document["groups"][0]["usage"]["visits_per_person_h"]["status"] == "learned"


def test_the_page_names_readings_and_figures(paths: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learn", *paths]) == 0
    page = capsys.readouterr().out
    assert "all together:" in page
    assert "visits_per_person_h" in page


def test_too_few_readings_are_said(paths: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learn", paths[0]]) == 0
    assert "too few" in capsys.readouterr().out


def test_a_day_that_is_not_there_is_said(paths: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learn", paths[0], "nowhere.day.json"]) == 3
    assert "nowhere.day.json" in capsys.readouterr().err
