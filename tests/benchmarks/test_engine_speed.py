"""How fast the engine is. Run with `pytest -m benchmark -s tests/benchmarks`; prints figures, judges nothing by time.

The ratio to a plain NumPy simulation is taken in the same run on the same machine, at equal accuracy of a risk.
"""

from __future__ import annotations

import os
import platform
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from legtide.day.document import Reading, Service, Usage
from legtide.engine.closed import project_closed
from legtide.engine.projection import project
from legtide.engine.usage import Rates, Stretches
from legtide.files.day_file import load, save
from support.days import rotation_day
from support.monte_carlo import simulate

pytestmark = pytest.mark.benchmark

CLOSED_FORM_ERROR = 2e-4  # of a risk, against exact characteristic functions (measured when the law was chosen)


def seconds(call: Callable[[], object], rounds: int) -> float:
    """Median wall time of a call after one warm-up."""
    call()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return float(np.median(times))


def say(text: str) -> None:
    print(f"\n{text}", end="")


def test_machine() -> None:
    say(f"machine: {platform.machine()}, {os.cpu_count()} cores")
    say(f"Python {platform.python_version()}, NumPy {np.__version__}")
    assert os.cpu_count()


def test_one_rotation_and_a_board() -> None:
    day = rotation_day(1.5, 8, 0.8)
    say(f"one rotation of 8 legs, day to results: {seconds(lambda: project(day), 100) * 1e3:.2f} ms")
    board = rotation_day(1.5, 8, 0.8, aircraft=40)
    say(f"40 aircraft x 8 legs, day to results: {seconds(lambda: project(board), 10) * 1e3:.1f} ms")
    projection = project(board)
    moved = board.model_copy(update={"services": (Service(id="s", aircraft="QX-7", turn=3, tank="fresh"),)})
    say(f"one aircraft of 40 changed: {seconds(lambda: project(moved, projection), 50) * 1e3:.2f} ms")
    readings = tuple(
        Reading(aircraft="QX-0", turn=2, tank=t, percent=p) for t, p in (("fresh", 40.0), ("waste", 50.0))
    )
    read = rotation_day(1.5, 8, 0.8, readings=readings)
    say(f"one rotation with both gauges read once: {seconds(lambda: project(read), 50) * 1e3:.1f} ms")
    assert len(projection.aircraft) == 40


def stretches(aircraft: int, legs: int) -> tuple[Stretches, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(1)
    n = aircraft * legs
    rows = Stretches(
        rng.integers(90, 186, n).astype(float),
        rng.uniform(0.8, 3.0, n),
        np.ones(n, dtype=bool),
        np.full(n, 3.0),
        np.ones(n),
        np.full((n, 2, 2), np.nan),
    )
    return rows, np.arange(aircraft, dtype=np.intp) * legs, np.full(aircraft, legs, dtype=np.intp)


def test_arrays_alone() -> None:
    rates = Rates.of(Usage())
    for aircraft, legs, points, what in (
        (1, 8, None, "all 16 points"),
        (40, 8, None, "all 16 points"),
        (30_000, 4, np.ones(1), "leg ends"),
        (30_000, 4, None, "all 16 points"),
    ):
        rows, first, count = stretches(aircraft, legs)
        n = len(rows)
        resets = np.zeros((2, n), dtype=bool)
        resets[:, first] = True
        rooms, margins = np.full((2, n), 160.0), np.full((2, n), 10.0)
        more = {} if points is None else {"points": points}
        took = seconds(
            lambda a=(rows, rates, resets, rooms, margins, first, count), m=more: project_closed(*a, **m), 3
        )
        say(f"closed form, arrays: {aircraft} aircraft, {n} legs, {what}: {took * 1e3:.2f} ms")
        assert took > 0.0


def test_ratio_to_a_plain_simulation_of_equal_accuracy() -> None:
    day = rotation_day(1.5, 8, 0.8)
    draws = 100_000
    mine, plain = seconds(lambda: project(day), 50), seconds(lambda: simulate(day, draws, 1), 3)
    needed = (
        0.1 * 0.9 / CLOSED_FORM_ERROR**2
    )  # draws whose standard error at a risk of 10 % is the closed form's error
    say(
        f"plain simulation of {draws} draws: {plain:.2f} s; at equal accuracy ({needed:.2g} draws) "
        f"the projection is {plain * needed / draws / mine:,.0f} times faster"
    )
    assert plain > mine


def test_ten_thousand_legs_opened_projected_and_drawn(tmp_path: Path) -> None:
    from legtide.draw.picture import write_picture

    day = rotation_day(0.6, 20, 0.8, aircraft=500, ground_min=30.0)
    path = tmp_path / "large.day.json"
    save(day, path)
    opened = seconds(lambda: load(path), 1)
    projected = seconds(lambda: project(day), 1)
    drawn = seconds(lambda: write_picture(day, tmp_path / "large.png"), 1)
    say(f"10,000 legs: file opened {opened:.2f} s, projected {projected:.2f} s, projected and drawn {drawn:.2f} s")
    assert (tmp_path / "large.png").stat().st_size > 0


def test_start_of_the_command_line() -> None:
    times = []
    for _ in range(3):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-m", "legtide", "--help"], capture_output=True, check=True)
        times.append(time.perf_counter() - start)
    say(f"legtide --help: {np.median(times):.2f} s")
    assert len(times) == 3
