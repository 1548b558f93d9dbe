"""Random banks for the tests and the benchmark: invented stations, every figure drawn from a named seed."""

from __future__ import annotations

import random
from dataclasses import replace

from legtide.engine.driving import ReloadPoint, closed
from legtide.plan.bank.problem import Option, Pin, Problem, Request, Vehicle, Weights

SIZES = {10: (70.0, 1, 1), 20: (90.0, 2, 1), 40: (120.0, 3, 2), 80: (150.0, 6, 4)}
"""Turns -> minutes over which they arrive, trucks of each kind when enough and when scarce."""


def random_bank(
    turns: int,
    seed: int,
    *,
    windows: str = "tight",
    trucks: str = "scarce",
    weights: Weights | None = None,
    spice: bool = False,
) -> Problem:
    """A bank of so many turns at two piers. `spice` adds breaks, slow trucks, pins and services under way."""
    rng = random.Random(f"bank-{turns}-{windows}-{trucks}-{seed}-{spice}")
    span, enough, scarce = SIZES.get(
        turns, (40.0 + 1.4 * turns, max(1, round(turns / 14)), max(1, round(turns / 20)))
    )
    names, travel = _places(rng, turns)
    requests = [row for turn in range(turns) for row in _requests(rng, turn, span, windows)]
    count = scarce if trucks == "scarce" else enough
    end = max((request.latest_end_min for request in requests), default=span) + 40.0
    vehicles = [_vehicle(rng, tank, i, end, spice) for tank in ("fresh", "waste") for i in range(count)]
    points = (ReloadPoint("fill", "fresh", 4.0, 400.0), ReloadPoint("dump", "waste", 3.0, 500.0))
    bank = Problem(tuple(requests), tuple(vehicles), names, travel, points, weights or Weights(), handover_min=1.0)
    return _spiced(rng, bank) if spice else bank


def _places(rng: random.Random, turns: int) -> tuple[tuple[str, ...], tuple[tuple[float, ...], ...]]:
    spots = [(0.0, 0.0), (150.0, -120.0), (-250.0, -150.0)]
    for turn in range(turns):
        spots.append((200.0 + 900.0 * rng.random(), (430.0 if turn % 2 else -180.0) + rng.gauss(0.0, 40.0)))
    metres_per_min = 330.0
    travel = [
        [
            0.0 if a == b else 0.7 + (abs(a[0] - b[0]) + abs(a[1] - b[1])) / metres_per_min * rng.uniform(0.9, 1.25)
            for b in spots
        ]
        for a in spots
    ]
    return ("base", "fill", "dump", *(f"stand {turn}" for turn in range(turns))), closed(travel)


def _requests(rng: random.Random, turn: int, span: float, windows: str) -> list[Request]:
    wide = rng.random() < 0.25
    on_blocks = 30.0 + rng.betavariate(1.6, 1.6) * span
    if windows == "tight":
        ground = rng.uniform(60.0, 90.0) if wide else rng.uniform(30.0, 45.0)
    else:
        ground = rng.uniform(90.0, 150.0) if wide else rng.uniform(45.0, 100.0)
    out = []
    for tank, share in (("fresh", 0.72), ("waste", 0.78)):
        if rng.random() > share:
            continue
        litres = rng.uniform(300.0, 900.0) if wide else rng.uniform(80.0, 240.0)
        connect, pump = rng.uniform(3.0, 5.0), litres / rng.uniform(50.0, 85.0)
        value = min(5000.0, max(8.0, rng.lognormvariate(5.7 if wide else 5.1, 0.95)))
        price = 60.0 if tank == "fresh" else 80.0
        options = [Option(litres, connect, pump, value, price)]
        if rng.random() < 0.6:
            options.append(Option(litres / 2, connect, pump / 2, value * rng.uniform(0.6, 0.8), price, "short"))
        earliest, latest = on_blocks + 3.0, on_blocks + ground - 5.0
        name = f"t{turn} {tank}"
        out.append(Request(name, f"t{turn}", tank, f"stand {turn}", tuple(options), earliest, latest))
    return out


def _vehicle(rng: random.Random, tank: str, number: int, end: float, spice: bool) -> Vehicle:
    capacity = rng.choice([1500.0, 2000.0, 2500.0, 3000.0])
    late, early = (rng.choice([0.0, 0.0, 20.0, 40.0]) if number else 0.0 for _ in range(2))
    truck = Vehicle(
        f"{tank} {number}", tank, "base", late, end - early, capacity, capacity if tank == "fresh" else 0.0,
        end_place="base",
    )  # fmt: skip
    if not spice:
        return truck
    begin = rng.uniform(40.0, 110.0)
    return replace(
        truck,
        flow_l_per_min=rng.choice([None, 45.0, 70.0]),
        setup_min=rng.choice([0.0, 0.5, 1.1]),
        breaks=((begin, begin + rng.uniform(10.0, 20.0)),) if rng.random() < 0.5 else (),
        aboard_l=rng.uniform(0.0, capacity),
        end_place=rng.choice([None, "base"]),
    )


def _spiced(rng: random.Random, bank: Problem) -> Problem:
    """The bank at some moment of its day: one service under way for some trucks, some pinned for later."""
    now = 45.0 + rng.uniform(0.0, 20.0)
    busy: set[str] = set()
    rows = []
    for request in bank.requests:
        trucks = [vehicle for vehicle in bank.vehicles if vehicle.tank == request.tank and vehicle.id not in busy]
        if trucks and request.earliest_min < now - 2.0 and rng.random() < 0.4:
            truck = rng.choice(trucks)
            busy.add(truck.id)
            start = rng.uniform(request.earliest_min, now)
            rows.append(replace(request, pin=Pin(truck.id, start, 0, started=True)))
        elif trucks and rng.random() < 0.06:
            start = rng.uniform(request.earliest_min, request.latest_end_min - 5.0)
            rows.append(replace(request, pin=Pin(rng.choice(trucks).id, start)))
        else:
            rows.append(request)
    return replace(bank, requests=tuple(rows), now_min=now)
