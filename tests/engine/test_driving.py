"""Driving times of a station."""

from __future__ import annotations

import random
from itertools import product

from legtide.day.document import Place, Station, Travel
from legtide.engine.driving import ELSEWHERE, Driving, driving


def station(seed: int) -> Station:
    rng = random.Random(f"driving-{seed}")
    places = tuple(Place(id=f"P{n}") for n in range(6))
    travel = tuple(
        Travel(between=(a.id, b.id), minutes=rng.uniform(0.5, 20.0))
        for a in places
        for b in places
        if a.id < b.id and rng.random() < 0.6
    )
    return Station(code="BAKE", places=places, travel=travel, default_travel_min=rng.choice((1.0, 4.0, 9.0)))


def test_no_way_by_another_place_is_shorter_than_the_direct_one() -> None:
    for seed in range(20):
        ways = Driving(station(seed))
        names = ["P0", "P1", "P2", "P3", "P4", "P5", "X1", "X2", ELSEWHERE]
        for a, b, c in product(names, repeat=3):
            if a != c or a == ELSEWHERE:
                assert ways.minutes(a, c) <= ways.minutes(a, b) + ways.minutes(b, c) + 1e-9


def test_two_aircraft_whose_stands_are_not_known_are_a_usual_drive_apart() -> None:
    ways = Driving(Station(code="BAKE", default_travel_min=4.0))
    assert ways.minutes(ELSEWHERE, ELSEWHERE) == ways.minutes("A", "B") == ways.minutes("A", ELSEWHERE) == 4.0
    assert ways.minutes("A", "A") == 0.0


def test_the_table_holds_the_same_times() -> None:
    for seed in range(5):
        ways, names = Driving(station(seed)), ("P3", "X1", "P0", "X2", "P5")
        table = ways.table(names)
        assert all(
            table[i][j] == ways.minutes(a, b) for i, a in enumerate(names) for j, b in enumerate(names) if i != j
        )


def test_they_are_found_once_for_each_station() -> None:
    one = station(1)
    assert driving(one) is driving(one)
    assert driving(station(1)) is not driving(one)
