"""Days that nobody would plan, through the commands: an answer or a sentence, never a fault; figures that can be."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from legtide.cli.main import main
from legtide.day.checks import problems
from legtide.files import day_file
from support.odd_days import odd_day

LEVELS = ("fresh_departure_l", "fresh_arrival_l", "waste_departure_l", "waste_arrival_l")
RISKS = (("risk_fresh_dry", "risk_fresh_below_reserve"), ("risk_waste_full", "risk_waste_over_limit"))


def answer(capsys: Any, *words: str) -> tuple[int, str]:
    """Exit code and standard output of a command."""
    code = main(list(words))
    told = capsys.readouterr()
    assert "an error of the program" not in told.err, told.err
    return code, told.out


def can_be(document: dict[str, Any]) -> float:
    """The worst risk of a projection whose figures can be."""
    worst = 0.0
    for leg in (leg for aircraft in document["aircraft"] for leg in aircraft["legs"]):
        for name in LEVELS:
            quantiles = [leg[name][key] for key in ("p05", "p25", "p50", "p75", "p95")]
            assert quantiles == sorted(quantiles)
            assert all(math.isfinite(value) and value >= 0.0 for value in (*quantiles, leg[name]["mean"]))
        for less, more in RISKS:
            assert 0.0 <= leg[less] <= leg[more] + 1e-9 <= 1.0 + 1e-9
            worst = max(worst, leg[more])
    return worst


def through_the_commands(seed: int, folder: Path, capsys: Any) -> bool:
    """False where the day is not acceptable, and so is refused."""
    day = odd_day(seed)
    if problems(day):
        return False
    path, planned = folder / f"{seed}.day.json", folder / f"{seed}.plan.day.json"
    day_file.save(day, path)
    code, told = answer(capsys, "project", str(path), "--json")
    projection = json.loads(told)
    can_be(projection)
    assert code == any(row["severity"] == "breach" for row in projection["warnings"])
    for words in (("check",), ("triggers", "--json"), ("tables", "-o", str(folder / "t.xlsx"))):
        assert answer(capsys, words[0], str(path), *words[1:])[0] in (0, 1)
    for words in ((), ("--station", "ABLE")):
        code, told = answer(capsys, "plan", str(path), "--json", "-o", str(planned), *words)
        plan = json.loads(told)
        assert code in (0, 1) and plan["bound"] <= plan["cost"] + 1e-6
        worst = can_be(json.loads(answer(capsys, "project", str(planned), "--json")[1]))
        flown = day.readings or any(row.state == "done" for row in day.services) or any(leg.atd for leg in day.legs)
        if not words and not flown:
            assert worst == pytest.approx(plan["worst_risk"], abs=1e-6)
            assert plan["status"] != "optimal" or worst <= day.policy.risk_limit.value + 1e-9
    answer(capsys, "runs", str(planned), "--station", "ABLE", "-o", str(folder / "r.csv"))
    return True


@pytest.mark.parametrize("seeds", [range(8), range(8, 16), range(16, 24)])
def test_odd_days_are_answered(seeds: range, tmp_path: Path, capsys: Any) -> None:
    assert sum(through_the_commands(seed, tmp_path, capsys) for seed in seeds) >= 3


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_many_odd_days_are_answered(tmp_path: Path, capsys: Any) -> None:
    assert sum(through_the_commands(seed, tmp_path, capsys) for seed in range(24, 324)) >= 100
