"""A fleet planned as arrays gets the plans that its aircraft get one by one."""

from __future__ import annotations

import numpy as np
import pytest

from legtide.day.document import Day, Policy, Station
from legtide.day.rotations import rotations
from legtide.engine.course import lay_out
from legtide.engine.usage import Rates, Stretches
from legtide.plan.rotation import Fleet, plan_fleet, plan_rotation
from legtide.plan.rotation.situation import situation
from support.rotation_days import random_rotation

FULL = (100.0,)


def plain(rng: np.random.Generator) -> Day:
    """A random rotation under the default policy, with water of 15 °C everywhere."""
    day = random_rotation(rng)
    stations = tuple(Station(**{**dict(row), "water_c": 15.0}) for row in day.stations)
    return day.model_copy(update={"policy": Policy(), "stations": stations})


def as_fleet(days: list[Day]) -> Fleet:
    courses, fresh, waste, both = [], [], [], []
    for day in days:
        rotation = rotations(day)["QX-0"]
        courses.append(lay_out(rotation, day.policy))
        for opening in situation(day, rotation, FULL, None).openings:
            fresh.append(np.inf if opening.fresh[0] is None else opening.fresh[0].price)
            waste.append(np.inf if opening.waste is None else opening.waste.price)
            both.append(opening.both[0] is not None)
    columns = {
        name: np.concatenate([getattr(course.stretches, name) for course in courses])
        for name in Stretches.__dataclass_fields__
    }
    return Fleet(
        legs=Stretches(**columns),
        count=np.array([len(course.stretches) for course in courses]),
        fresh_price=np.array(fresh),
        waste_price=np.array(waste),
        both_fit=np.array(both),
        capacity=np.stack([course.capacity for course in courses]),
        start_room=np.stack([course.start_room for course in courses]),
        pre_charge=np.full(len(courses), 10.0),
    )


def test_the_fleet_s_plans_are_those_of_its_aircraft() -> None:
    rng = np.random.default_rng(8)
    days = [plain(rng) for _ in range(60)]
    fleet = as_fleet(days)
    found = plan_fleet(fleet, Policy(), Rates.of(days[0].usage), FULL)
    plans = [plan_rotation(day, "QX-0", fills=FULL) for day in days]
    assert [plan.status == "optimal" for plan in plans] == found.within.tolist()
    assert 10 < found.within.sum() < 50
    assert found.cost == pytest.approx([plan.cost for plan in plans], abs=1e-6)
    assert found.worst_risk == pytest.approx([plan.worst_risk for plan in plans], abs=1e-9)
    first = 0
    for plan, legs in zip(plans, fleet.count, strict=True):
        turns = np.arange(legs)
        filled = {row.turn for row in plan.services if row.tank == "fresh"}
        drained = {row.turn for row in plan.services if row.tank == "waste"}
        assert set(turns[found.fill_percent[first : first + legs] == 100.0]) == filled
        assert set(turns[found.drained[first : first + legs]]) == drained
        first += legs


def test_an_aircraft_s_plan_does_not_depend_on_the_others() -> None:
    rng = np.random.default_rng(9)
    days = [plain(rng) for _ in range(30)]
    rates = Rates.of(days[0].usage)
    together = plan_fleet(as_fleet(days), Policy(), rates)
    turned = plan_fleet(as_fleet(days[::-1]), Policy(), rates)
    assert turned.cost[::-1].tolist() == together.cost.tolist()
    alone = plan_fleet(as_fleet(days[:1]), Policy(), rates)
    assert alone.cost[0] == together.cost[0]
