"""How fast rotations and fleets are planned. Run with `pytest -m benchmark -s`; prints figures, never judges by time.

Processor time is printed beside wall time: on a shared machine it is the steadier of the two.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np
import pytest

from legtide.day.document import Policy, Reading, Usage
from legtide.day.rotations import rotations
from legtide.engine.usage import Rates, Stretches
from legtide.plan.rotation import Fleet, apply_proposal, plan_fleet, plan_rotation, propose
from legtide.plan.triggers import rotation_triggers, trigger_table
from support.days import rotation_day

pytestmark = pytest.mark.benchmark

READ = tuple(Reading(aircraft="QX-0", turn=1, tank=t, percent=p) for t, p in (("fresh", 70.0), ("waste", 30.0)))


def cost(call: Callable[[], object], rounds: int) -> str:
    """Least wall and processor time of a call after one warm-up."""
    call()
    wall, cpu = [], []
    for _ in range(rounds):
        start, busy = time.perf_counter(), time.process_time()
        call()
        wall.append(time.perf_counter() - start)
        cpu.append(time.process_time() - busy)
    return f"{min(wall) * 1e3:.2f} ms ({min(cpu) * 1e3:.2f} ms of one processor)"


def say(text: str) -> None:
    print(f"\n{text}", end="")


def peak_mb() -> float:
    """Most memory of the process so far."""
    if sys.platform == "win32":
        return float("nan")
    import resource

    unit = 2**20 if sys.platform == "darwin" else 2**10
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / unit


def random_fleet(aircraft: int) -> Fleet:
    """Aircraft of one to nine legs, 4.35 on the mean; stations that mostly offer both services."""
    rng = np.random.default_rng(1)
    count = np.clip(rng.poisson(3.35, aircraft) + 1, 1, 9).astype(np.intp)
    n = int(count.sum())
    legs = Stretches(
        rng.integers(90, 186, n).astype(float),
        rng.uniform(0.8, 3.2, n),
        np.ones(n, dtype=bool),
        np.full(n, 3.0),
        np.ones(n),
        np.full((n, 2, 2), np.nan),
    )
    return Fleet(
        legs=legs,
        count=count,
        fresh_price=np.where(rng.random(n) < 0.85, rng.choice([40.0, 60.0, 80.0], n), np.inf),
        waste_price=np.where(rng.random(n) < 0.85, 80.0, np.inf),
        both_fit=rng.random(n) < 0.8,
        capacity=np.tile([200.0, 170.0], (aircraft, 1)),
        start_room=np.tile([200.0, 160.0], (aircraft, 1)),
        pre_charge=np.full(aircraft, 10.0),
    )


def test_one_rotation() -> None:
    day, read = rotation_day(1.5, 8, 0.8), rotation_day(1.5, 8, 0.8, readings=READ)
    say(f"plan of a rotation of 8 legs: {cost(lambda: plan_rotation(day, 'QX-0'), 100)}")
    say(f"the same after both gauges were read: {cost(lambda: plan_rotation(read, 'QX-0'), 50)}")
    planned = apply_proposal(day, propose(day))
    rotation = rotations(planned)["QX-0"]
    say(f"its trigger readings, 16 of 11 steps: {cost(lambda: rotation_triggers(planned, rotation), 100)}")
    say(f"a table of two gauges at one turn: {cost(lambda: trigger_table(planned, 'QX-0', 3), 20)}")
    assert plan_rotation(day, "QX-0").status == "optimal"


def test_a_board_of_40() -> None:
    day = rotation_day(1.5, 8, 0.8, aircraft=40)
    say(f"proposal for 40 aircraft: {cost(lambda: propose(day), 5)}")
    assert len(propose(day).plans) == 40


@pytest.mark.parametrize("aircraft", [100, 1_000, 10_000, 30_000, 100_000])
def test_growth_of_a_fleet(aircraft: int) -> None:
    fleet, policy, rates = random_fleet(aircraft), Policy(), Rates.of(Usage())
    start, busy = time.perf_counter(), time.process_time()
    found = plan_fleet(fleet, policy, rates)
    wall, cpu = time.perf_counter() - start, time.process_time() - busy
    say(
        f"{aircraft} aircraft, {len(fleet.legs)} legs: {wall:.2f} s, {cpu:.2f} s of one processor, "
        f"{cpu / aircraft * 1e6:.0f} us each; {peak_mb():.0f} MB at most; {found.within.mean():.0%} within the limit"
    )
    assert np.isfinite(found.cost).all()
