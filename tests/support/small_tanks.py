"""Random invented days whose trucks have small tanks, so that where they reload matters."""

from __future__ import annotations

import random
from datetime import timedelta

from legtide.day.document import Day, Place, Span, Travel, Truck
from legtide.day.edits import change_station, rebuilt
from support.days import MORNING
from support.station_days import station_day

STATION = "BAKE"


def small_tank_day(seed: int) -> Day:
    """Three to seven aircraft and one or two trucks of each kind with 180 to 700 L, two fill and two dump points.

    Some stands are not known; trucks have breaks, slow pumps, no shift, or start with less.
    """
    rng = random.Random(f"small-tanks-{seed}")
    day = station_day(rng.randint(3, 7), trucks=rng.randint(1, 2))
    bake = next(row for row in day.stations if row.code == STATION)
    points = tuple(
        Place(
            id=f"{kind[0]}{n}", kind=kind, handling_min=rng.choice((0.5, 2.0, 4.0)), flow_l_per_min=rng.choice(FLOWS)
        )
        for kind in ("fill_point", "dump_point")
        for n in range(2)
    )
    places = (*(row for row in bake.places if row.kind in ("stand", "base")), *points)
    names = [row.id for row in places]
    pairs = [(a, b) for a in names for b in names if a < b and rng.random() < 0.5]
    travel = tuple(Travel(between=pair, minutes=rng.choice((1.0, 1.7, 2.5, 4.0, 9.0))) for pair in pairs)
    trucks = tuple(_truck(rng, truck) for truck in bake.trucks)
    usual = rng.choice((1.5, 3.0))
    day = change_station(day, STATION, places=places, travel=travel, trucks=trucks, default_travel_min=usual)
    stands = {f"S{n}": rng.choice((f"S{n}", f"S{n}", f"S{n}", None)) for n in range(8)}
    legs = tuple(rebuilt(leg, stand=stands.get(leg.stand or "")) if leg.stand else leg for leg in day.legs)
    return rebuilt(day, legs=legs)


FLOWS = (80.0, 150.0, 400.0)


def _truck(rng: random.Random, truck: Truck) -> Truck:
    capacity = float(rng.randint(180, 700))
    begin = MORNING + timedelta(minutes=rng.randint(60, 500))
    pause = Span(start=begin, end=begin + timedelta(minutes=rng.randint(10, 30)))
    return rebuilt(
        truck,
        capacity_l=capacity,
        aboard_l=rng.choice((None, round(rng.uniform(0.0, capacity)))),
        flow_l_per_min=rng.choice((None, 40.0, 70.0)),
        setup_min=rng.choice((0.0, 1.1)),
        breaks=rng.choice(((), (pause,))),
        shift=rng.choice((truck.shift, truck.shift, None)),
    )
