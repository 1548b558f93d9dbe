"""Published optima of Solomon's instances with 25 customers, reached by the same path with one kind of service.

Convention of the published values: distance only, any number of vehicles, each distance cut to one decimal (source of
tables and values: tests/reference/solomon.md). Ten ticks stand for one unit of distance, so nothing is rounded.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from legtide.engine.driving import closed
from legtide.plan.bank.problem import Option, Problem, Request, Vehicle
from legtide.plan.bank.solver import solve
from legtide.plan.bank.ticks import TICK_MIN
from legtide.plan.stop import AfterIterations

TABLE = Path(__file__).parents[2] / "reference" / "solomon.csv"
UNIT = 10 * TICK_MIN
"""Minutes for one unit of distance."""


def solomon_bank(name: str, trucks: int = 10) -> Problem:
    rows = [row for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()) if row["instance"] == name]
    spots = [(float(row["x"]), float(row["y"])) for row in rows]
    # Cutting leaves some detours a tenth shorter than the direct way; the solver wants them taken.
    travel = closed((math.floor(10 * math.dist(a, b) + 1e-9) / 10 * UNIT for b in spots) for a in spots)
    places = tuple(row["number"] for row in rows)
    # Each customer is worth far more than any drive: all are served, and the drives decide.
    requests = tuple(
        Request(
            row["number"],
            row["number"],
            "fresh",
            row["number"],
            (Option(float(row["demand"]), float(row["service"]) * UNIT, 0.0, 100.0),),
            float(row["ready"]) * UNIT,
            (float(row["due"]) + float(row["service"])) * UNIT,
        )
        for row in rows[1:]
    )
    close = float(rows[0]["due"]) * UNIT
    fleet = tuple(Vehicle(f"v{n}", "fresh", "0", 0.0, close, 200.0, 200.0, end_place="0") for n in range(trucks))
    return Problem(requests, fleet, places, travel)


@pytest.mark.parametrize(("name", "optimum"), [("R101", 617.1), ("C101", 191.3), ("RC101", 461.1)])
def test_the_published_optimum_is_reached(name: str, optimum: float) -> None:
    bank = solomon_bank(name)
    plan = solve(bank, AfterIterations(1500)).plan
    assert not plan.unserved
    drives = sum(leg.end_min - leg.start_min for run in plan.runs for leg in run.legs if leg.kind == "drive")
    assert drives / UNIT == pytest.approx(optimum, abs=1e-6)
