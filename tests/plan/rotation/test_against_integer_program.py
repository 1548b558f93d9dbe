"""The plan equals the optimum of an integer program solved by HiGHS, on more than 500 random rotations."""

from __future__ import annotations

import numpy as np
import pytest

from legtide.plan.rotation import plan_rotation
from legtide.plan.rotation.records import FILLS
from support.rotation_days import random_rotation
from support.rotation_reference import EXCESS, Program, case_of

BATCH = 27


@pytest.mark.parametrize("seed", range(20))
def test_the_plan_costs_what_the_integer_program_costs(seed: int) -> None:
    rng = np.random.default_rng(seed)
    for _ in range(BATCH):
        day = random_rotation(rng)
        plan = plan_rotation(day, "QX-0")
        program = Program(case_of(day, FILLS))
        limit = day.policy.risk_limit.value
        best = program.solve(limit)
        assert (plan.status == "optimal") == np.isfinite(best)
        if plan.status == "optimal":
            assert plan.cost == pytest.approx(best, abs=1e-6)
            continue
        assert plan.worst_risk == pytest.approx(program.solve(None), abs=1e-6)  # HiGHS keeps its rows to 1e-7
        excess = sum(max(leg.fresh - limit, 0.0) + max(leg.waste - limit, 0.0) for leg in plan.legs)
        assert plan.cost + EXCESS * excess == pytest.approx(program.solve(plan.worst_risk), rel=1e-9)
