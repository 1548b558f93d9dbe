"""Days as nobody would plan them, and the file still allows: for what must never end in a fault of the program.

Everything is drawn at random from a seed: tiny and huge tanks, legs of a minute and of fifteen hours, legs that do
not chain, delays that eat turns, services in every state at any time, readings that cannot be, trucks without room.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np

from legtide.day.document import (
    TANKS,
    Aircraft,
    Day,
    Figure,
    Fit,
    Gauge,
    GroundTime,
    Inoperative,
    Leg,
    Offer,
    Place,
    Policy,
    Reading,
    Service,
    Span,
    Station,
    Tank,
    Truck,
)

MIDNIGHT = datetime(2026, 11, 26, tzinfo=UTC)
CODES = ("ABLE", "BAKE", "CALB")
ITEMS = ("lavatory", "fresh_gauge", "waste_gauge", "galley_water")


def at(minutes: float) -> datetime:
    """Minutes of the day as a moment."""
    return MIDNIGHT + timedelta(minutes=float(minutes))


class _Draw:
    """Draws of one day."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng([seed, 20261126])

    def one(self, *values: Any) -> Any:
        return values[int(self.rng.integers(len(values)))]

    def often(self, share: float) -> bool:
        return bool(self.rng.random() < share)

    def number(self, low: int, high: int) -> int:
        return int(self.rng.integers(low, high))


def odd_day(seed: int) -> Day:
    """A day that loads, and may have cautions of every kind. One seed, one day."""
    draw = _Draw(seed)
    fit = _fit(draw)
    aircraft, legs, services, readings, ground = [], [], [], [], []
    for number in range(draw.number(1, 5)):
        name = f"QX-{number}"
        aircraft.append(_aircraft(draw, name))
        flown = _legs(draw, name)
        legs += flown
        for turn in range(len(flown) + 1 if flown else 0):
            services += [_service(draw, name, turn, tank) for tank in TANKS if draw.often(0.35)]
            readings += [_reading(draw, name, turn, tank) for tank in TANKS if draw.often(0.15)]
            ground += [_ground(draw, name, turn) for _ in range(1) if draw.often(0.05)]
    return Day(
        date=date(2026, 11, 26),
        policy=Policy(risk_limit=Figure(value=draw.one(0.01, 0.1, 0.3))),
        fits=(fit,),
        stations=tuple(_station(draw, code) for code in CODES),
        aircraft=tuple(aircraft),
        legs=tuple(legs),
        services=tuple(services),
        readings=tuple(readings),
        ground=tuple(ground),
    )


def _fit(draw: _Draw) -> Fit:
    return Fit(
        id="F1",
        seats=Figure(value=draw.one(1.0, 70.0, 180.0, 400.0)),
        lavatories=Figure(value=draw.one(1.0, 3.0, 8.0)),
        fresh_capacity_l=Figure(value=draw.one(20.0, 60.0, 200.0, 1000.0)),
        waste_capacity_l=Figure(value=draw.one(30.0, 60.0, 170.0, 900.0)),
        pre_charge_l=Figure(value=draw.one(0.0, 10.0)),
        fresh_gauge=Gauge(step_percent=draw.one(0.5, 5.0, 12.5, 50.0), error_percent=draw.one(0.0, 1.0, 25.0)),
        waste_gauge=Gauge(step_percent=draw.one(5.0, 10.0, 25.0), rounds=draw.one("nearest", "down")),
    )


def _aircraft(draw: _Draw, name: str) -> Aircraft:
    return Aircraft(
        registration=name,
        fit="F1",
        fresh_percent=draw.one(0.0, 30.0, 100.0),
        waste_percent=draw.one(None, None, 0.0, 50.0, 100.0),
        start_is=draw.one("level", "reading"),
        inoperative=tuple(Inoperative(item=item) for item in ITEMS if draw.often(0.1)),
    )


def _legs(draw: _Draw, name: str) -> list[Leg]:
    start, here, legs = float(draw.number(-200, 500)), draw.one(*CODES), []
    for place in range(draw.number(0, 9)):
        there = draw.one(*(code for code in CODES if code != here))
        origin = here if draw.often(0.95) else draw.one(*(code for code in CODES if code != there))
        block = draw.one(1.0, 45.0, 90.0, 300.0, 900.0)
        slip = draw.one(
            *({} for _ in range(7)),
            {"etd": at(start + draw.number(-5, 200))},
            {"eta": at(start + block + draw.number(-20, 300))},
            {"atd": at(start + draw.number(0, 30))},
        )
        legs.append(
            Leg(
                id=f"{name}-{place}",
                aircraft=name,
                flight=f"X0 {name[-1]}{place}",
                origin=origin,
                destination=there,
                std=at(start),
                sta=at(start + block),
                passengers=draw.one(0, 1, 70, 300),
                crew=draw.one(0, 4, 12),
                cabin_service=draw.one("average", "none", "drinks", "meal"),
                **slip,
            )
        )
        start, here = start + block + draw.one(0.0, 10.0, 35.0, 60.0, 200.0), there
    return legs


def _service(draw: _Draw, name: str, turn: int, tank: Tank) -> Service:
    levels = (None, None, 0.0, 25.0, 50.0, 100.0) if tank == "fresh" else (None, None, 0.0, 20.0)
    return Service(
        id=f"{name} {turn} {tank}",
        aircraft=name,
        turn=turn,
        tank=tank,
        target_percent=draw.one(*levels),
        start=draw.one(None, at(draw.number(-100, 1500))),
        state=draw.one("planned", "planned", "done", "skipped", "missed"),
        pinned=draw.often(0.1),
    )


def _reading(draw: _Draw, name: str, turn: int, tank: Tank) -> Reading:
    percent = draw.one(0.0, 10.0, 33.3, 50.0, 62.5, 100.0)
    return Reading(
        aircraft=name, turn=turn, tank=tank, percent=percent, time=draw.one(None, at(draw.number(-100, 1500)))
    )


def _ground(draw: _Draw, name: str, turn: int) -> GroundTime:
    start = draw.number(0, 1200)
    return GroundTime(
        aircraft=name,
        turn=turn,
        kind=draw.one("people_aboard", "unheated"),
        start=at(start),
        end=at(start + draw.number(1, 400)),
        persons=draw.one(None, 50),
    )


def _station(draw: _Draw, code: str) -> Station:
    trucks = []
    for number in range(draw.number(0, 3)):
        shift = Span(start=at(draw.number(0, 600)), end=at(draw.number(700, 1600)))
        breaks = (Span(start=at(400), end=at(440)),)
        trucks += [
            Truck(
                id=f"W{number}",
                tank="fresh",
                capacity_l=draw.one(50.0, 500.0, 1800.0),
                shift=draw.one(None, shift),
                aboard_l=draw.one(None, 0.0, 40.0),
            ),
            Truck(id=f"T{number}", tank="waste", capacity_l=draw.one(100.0, 2000.0), breaks=draw.one((), breaks)),
        ]
    hours = (Span(start=at(300), end=at(900)),)
    places = (
        Place(id="S1"),
        Place(id="FP", kind="fill_point", handling_min=2.0),
        Place(id="DP", kind="dump_point"),
    )
    return Station(
        code=code,
        trucks=tuple(trucks),
        offers=tuple(
            Offer(tank=tank, hours=draw.one((), (), hours), price=draw.one(None, None, 0.0, 500.0))
            for tank in TANKS
            if draw.often(0.9)
        ),
        places=draw.one((), places),
        outside_air_c=draw.one(None, -15.0, 20.0),
        approved_water=draw.often(0.9),
    )
