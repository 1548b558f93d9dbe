"""The plan equals the optimum of an integer program solved by HiGHS, on more than 500 random rotations."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from legtide.day.document import Aircraft, Day, Figure, Fit, Leg, Offer, Policy, Station, Tank
from legtide.plan.rotation import plan_rotation
from legtide.plan.rotation.records import FILLS
from support.days import MORNING, rotation_day
from support.rotation_reference import EXCESS, Program, case_of

BATCH = 27


def random_rotation(rng: np.random.Generator) -> Day:
    """One aircraft over stations that offer little, with turns short and long."""
    count = int(rng.integers(2, 8))
    stations = []
    for number in range(count + 1):
        tanks: tuple[Tank, ...] = ("fresh", "waste")
        offers = tuple(
            Offer(tank=tank, price=None if rng.random() < 0.5 else round(float(rng.uniform(10, 150)), 2))
            for tank in tanks
            if rng.random() < 0.88
        )
        water_c = float(rng.choice([5.0, 15.0, 25.0]))
        approved = bool(rng.random() < 0.95)
        stations.append(Station(code=f"S{number}", offers=offers, approved_water=approved, water_c=water_c))
    legs, at = [], MORNING
    for number in range(count):
        ends = at + timedelta(minutes=int(rng.integers(45, 190)))
        legs.append(
            Leg(
                id=f"l{number}", aircraft="QX-0", flight=f"ZZ{number}", origin=f"S{number}",
                destination=f"S{number + 1}", std=at, sta=ends, passengers=int(rng.integers(60, 180)), crew=6,
                cabin_service=str(rng.choice(["average", "none", "drinks", "meal"])),  # type: ignore[arg-type]
            )
        )  # fmt: skip
        at = ends + timedelta(minutes=int(rng.integers(14, 45)))
    policy = Policy(
        risk_limit=Figure(value=float(rng.choice([0.05, 0.1, 0.3]))),
        price_breach=Figure(value=float(rng.choice([0.0, 200.0, 2000.0]))),
        price_fuel_per_kg=Figure(value=float(rng.choice([0.9, 10.0]))),
    )
    start = Aircraft(
        registration="QX-0", fit="f", fresh_percent=float(rng.choice([30.0, 60.0, 100.0])),
        waste_percent=float(rng.choice([10.0, 50.0])),
    )  # fmt: skip
    return rotation_day(fit=Fit(id="f"), stations=tuple(stations), legs=1, aircraft=1, policy=policy).model_copy(
        update={"legs": tuple(legs), "aircraft": (start,)}
    )


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
