"""A busy invented day for the board: many aircraft about one home station, with services, trucks and a late leg."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np

from legtide.day.document import Aircraft, Day, Figure, Fit, Leg, Service, Station, Tank, Truck

MIDNIGHT = datetime(2026, 5, 14, tzinfo=UTC)
HOME = "HOLN"
AWAY = ("OSTR", "VESK", "LUMB", "CALB")


def at(minutes: float) -> datetime:
    """Minutes of the day as a moment."""
    return MIDNIGHT + timedelta(minutes=minutes)


def _fit(name: str, seats: float, fresh: float, waste: float) -> Fit:
    return Fit(
        id=name,
        seats=Figure(value=seats),
        fresh_capacity_l=Figure(value=fresh),
        waste_capacity_l=Figure(value=waste),
    )


FITS = (_fit("L-180", 180.0, 200.0, 170.0), _fit("L-120", 120.0, 140.0, 120.0), _fit("L-70", 70.0, 60.0, 60.0))


def registration(number: int) -> str:
    """QX-AAA, QX-AAB and so on."""
    letters = (number // 676 % 26, number // 26 % 26, number % 26)
    return "QX-" + "".join(chr(65 + letter) for letter in letters)


def _rotation(rng: np.random.Generator, number: int, fit: Fit, legs: int) -> list[Leg]:
    rows: list[Leg] = []
    start, here = int(rng.integers(300, 420)), HOME
    for place in range(legs):
        there = HOME if here != HOME else str(rng.choice(AWAY))
        block = int(rng.integers(60, 110))
        rows.append(
            Leg(
                id=f"{number}-{place}",
                aircraft=registration(number),
                flight=f"{100 + number * 10 + place}",
                origin=here,
                destination=there,
                std=at(start),
                sta=at(start + block),
                etd=at(start + 25) if rng.random() < 0.05 else None,
                passengers=int(fit.seats.value * rng.uniform(0.6, 0.95)),
                crew=6,
            )
        )
        start, here = start + block + int(rng.integers(45, 80)), there
    return rows


def _services(rng: np.random.Generator, legs: list[Leg], first: int) -> list[Service]:
    rows: list[Service] = []
    kinds: tuple[tuple[Tank, str, int], ...] = (("fresh", "W1", 4), ("waste", "S1", 17))
    for tank, truck, after in kinds:
        for turn in range(int(rng.integers(1, 3)), len(legs), 3):
            leg = legs[turn - 1]
            arrival = (leg.etd or leg.std) + (leg.sta - leg.std)
            rows.append(
                Service(
                    id=f"s{first + len(rows)}",
                    aircraft=leg.aircraft,
                    turn=turn,
                    tank=tank,
                    start=arrival + timedelta(minutes=after),
                    truck=truck if leg.destination == HOME else None,
                )
            )
    return rows


def board_day(aircraft: int = 10, legs: int = 8, seed: int = 3) -> Day:
    """`aircraft` rotations of `legs` legs through HOLN, each tank served about every third turn."""
    rng = np.random.default_rng(seed)
    trucks = (Truck(id="W1", tank="fresh"), Truck(id="S1", tank="waste"))
    stations = (
        Station(code=HOME, name="Hollen", time_zone="Europe/Berlin", trucks=trucks),
        *(Station(code=code) for code in AWAY),
    )
    planes, flown, services = [], [], []
    for number in range(aircraft):
        fit = FITS[number % len(FITS)]
        planes.append(Aircraft(registration=registration(number), fit=fit.id))
        own = _rotation(rng, number, fit, legs)
        flown += own
        services += _services(rng, own, len(services))
    return Day(
        title="Hollen",
        date=date(2026, 5, 14),
        fits=FITS,
        stations=stations,
        aircraft=tuple(planes),
        legs=tuple(flown),
        services=tuple(services),
    )
