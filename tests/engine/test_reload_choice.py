"""Where a truck reloads, against every choice there is."""

from __future__ import annotations

import itertools
import math
import random

import pytest

from legtide.day.document import Place, Station, Travel
from legtide.engine.driving import Driving, ReloadPoint
from legtide.engine.reload_choice import Call, Choice, choose_reloads

Case = tuple[
    Driving, tuple[ReloadPoint, ...], tuple[tuple[float, float], ...], tuple[str, float], tuple[float, float]
]


def random_case(seed: int) -> tuple[Case, list[Call]]:
    """A truck with up to six services, two fill points, and a tank for one to three of them."""
    rng = random.Random(f"reload-choice-{seed}")
    handling, flow = rng.choice((0.0, 1.0, 3.0)), rng.choice((50.0, 200.0))
    places = (
        *(Place(id=f"S{n}") for n in range(4)),
        Place(id="B", kind="base"),
        Place(id="F", kind="fill_point", handling_min=handling, flow_l_per_min=200.0),
        Place(id="G", kind="fill_point", handling_min=1.0, flow_l_per_min=flow),
    )
    names = [row.id for row in places]
    travel = [Travel(between=(a, b), minutes=rng.choice((1.0, 2.0, 5.0))) for a in names for b in names if a < b]
    ways = Driving(Station(code="BAKE", places=places, travel=tuple(travel), default_travel_min=2.0))
    calls, t = [], rng.uniform(0.0, 12.0)
    for _ in range(rng.randint(1, 6)):
        start = t + rng.uniform(0.0, 14.0)
        t = start + rng.uniform(2.0, 6.0)
        place = rng.choice((*names[:4], "somewhere at the station", "X9"))
        calls.append(Call(place, start, t, float(rng.randint(20, 120)), rng.random() < 0.1))
    begin = rng.uniform(5.0, 50.0)
    breaks = ((begin, begin + rng.uniform(2.0, 8.0)),) if rng.random() < 0.5 else ()
    capacity = float(rng.randint(120, 260))
    used = rng.choice((0.0, rng.uniform(0.0, capacity)))
    first = ("B", rng.choice((0.0, -math.inf)))
    return (ways, ways.points["fresh"], breaks, first, (capacity, used)), calls


def worked(
    case: Case, calls: list[Call], points: tuple[ReloadPoint | None, ...]
) -> tuple[float, float, int, float, float]:
    """What a choice of points costs, replayed step by step without a look at the program's own arithmetic."""
    ways, _, breaks, (place, free), (capacity, used) = case
    over = late = driven = ended = 0.0
    reloads = 0

    def after(t: float, minutes: float) -> float:
        for begin, end in breaks:
            if begin - minutes < t < end:
                t = end
        return t + minutes

    for call, point in zip(calls, points, strict=True):
        t = free
        if point is not None:
            driven += ways.minutes(place, point.place)
            t = after(t, ways.minutes(place, point.place))
            t = after(t, point.handling_min + min(used, capacity) / point.flow_l_per_min)
            ended += t if math.isfinite(t) else 0.0
            used, place, reloads = 0.0, point.place, reloads + 1
        driven += ways.minutes(place, call.place)
        t = after(t, ways.minutes(place, call.place))
        late += 0.0 if call.fact or t <= call.start + 1e-6 else t - call.start
        over -= max(0.0, used - capacity)
        used += call.litres
        over += max(0.0, used - capacity)
        place, free = call.place, max(free, call.end)
    return over, late, reloads, driven, ended


@pytest.mark.parametrize("block", range(4))
def test_no_choice_of_reloads_is_better(block: int) -> None:
    feasible = needed = 0
    for seed in range(60 * block, 60 * block + 60):
        case, calls = random_case(seed)
        found = worked(case, calls, tuple(row.point for row in choose_reloads(*case, calls)))
        every = [worked(case, calls, points) for points in itertools.product((None, *case[1]), repeat=len(calls))]
        least = min(tuple(round(part, 5) for part in cost) for cost in every)
        assert tuple(round(part, 5) for part in found) == pytest.approx(least, abs=1e-4), seed
        feasible += found[:2] == pytest.approx((0.0, 0.0), abs=1e-6)
        needed += found[:2] == pytest.approx((0.0, 0.0), abs=1e-6) and found[2] > 0
    assert feasible > 5 and needed > 2, "cases that say nothing"
    assert feasible < 60


def test_what_is_told_of_a_choice_is_what_it_costs() -> None:
    for seed in range(100):
        case, calls = random_case(seed)
        found = choose_reloads(*case, calls)
        over, late, *_ = worked(case, calls, tuple(row.point for row in found))
        assert sum(row.over_l for row in found) == pytest.approx(over, abs=1e-5)
        assert sum(row.late_min for row in found) == pytest.approx(late, abs=1e-5)


def test_a_truck_without_a_point_is_told_what_its_tank_lacks() -> None:
    ways = Driving(Station(code="BAKE"))
    calls = [Call("A", 10.0, 15.0, 80.0, False), Call("A", 30.0, 35.0, 80.0, False)]
    assert choose_reloads(ways, (), (), ("B", 0.0), (100.0, 0.0), calls) == (
        Choice(None, 0.0, 0.0, 0.0),
        Choice(None, 80.0, 0.0, 60.0),
    )
