"""Random rotations for the planner's tests: stations that offer little, turns short and long."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from legtide.day.document import Aircraft, Day, Figure, Leg, Offer, Policy, Service, Station, Tank
from support.days import MORNING, rotation_day

BOTH: tuple[Tank, Tank] = ("fresh", "waste")


def random_rotation(rng: np.random.Generator) -> Day:
    """One aircraft, QX-0, of two to seven legs over as many stations."""
    count = int(rng.integers(2, 8))
    stations = []
    for number in range(count + 1):
        offers = tuple(
            Offer(tank=tank, price=None if rng.random() < 0.5 else round(float(rng.uniform(10, 150)), 2))
            for tank in BOTH
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
                id=f"l{number}",
                aircraft="QX-0",
                flight=f"ZZ{number}",
                origin=f"S{number}",
                destination=f"S{number + 1}",
                std=at,
                sta=ends,
                passengers=int(rng.integers(60, 180)),
                crew=6,
                cabin_service=str(rng.choice(["average", "none", "drinks", "meal"])),  # type: ignore[arg-type]
            )
        )
        at = ends + timedelta(minutes=int(rng.integers(14, 45)))
    policy = Policy(
        risk_limit=Figure(value=float(rng.choice([0.05, 0.1, 0.3]))),
        price_breach=Figure(value=float(rng.choice([0.0, 200.0, 2000.0]))),
        price_fuel_per_kg=Figure(value=float(rng.choice([0.9, 10.0]))),
    )
    start = Aircraft(
        registration="QX-0",
        fit="f",
        fresh_percent=float(rng.choice([30.0, 60.0, 100.0])),
        waste_percent=float(rng.choice([10.0, 50.0])),
    )
    day = rotation_day(legs=1, stations=tuple(stations), policy=policy)
    return day.model_copy(update={"legs": tuple(legs), "aircraft": (start,)})


def with_services(day: Day, *rows: tuple[int, Tank, float], **changes: object) -> Day:
    """The day with services of QX-0 (turn, tank, target percent) besides those it has."""
    made = tuple(
        Service(
            id=f"{tank[0]}{turn}",
            aircraft="QX-0",
            turn=turn,
            tank=tank,
            target_percent=target,
            **changes,  # type: ignore[arg-type]
        )
        for turn, tank, target in rows
    )
    return day.model_copy(update={"services": (*day.services, *made)})
