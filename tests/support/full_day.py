"""One small invented day that uses every part of the day file, for tests of files and checks."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from legtide.day.document import (
    Aircraft,
    Day,
    Figure,
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
    Travel,
    Truck,
    Usage,
)
from legtide.day.fits import shipped_fit

START = datetime(2031, 3, 5, 6, tzinfo=UTC)


def at(hours: float) -> datetime:
    """A moment of the day, in hours after the first off blocks."""
    return START + timedelta(hours=hours)


def full_day() -> Day:
    """Two aircraft, five legs, two stations with trucks and places, services in each state, and more."""
    able = Station(
        code="ABLE",
        name="Able Field <b>&amp;</b>",
        time_zone="Europe/Berlin",
        offers=(Offer(tank="fresh", hours=(Span(start=at(-3), end=at(20)),), price=55.5), Offer(tank="waste")),
        outside_air_c=-2.5,
        places=(
            Place(id="A1"),
            Place(id="A2"),
            Place(id="F", kind="fill_point", handling_min=2.0),
            Place(id="D", kind="dump_point"),
        ),
        travel=(Travel(between=("A1", "F"), minutes=3.5),),
        trucks=(
            Truck(id="W1", tank="fresh", start_place="F", shift=Span(start=at(-2), end=at(10))),
            Truck(id="T1", tank="waste", capacity_l=1500.0, breaks=(Span(start=at(3), end=at(3.5)),), aboard_l=100.0),
        ),
        remark="Zürich → 東京, right: שלום",
    )
    bake = Station(code="BAKE", time_zone="Asia/Kolkata", approved_water=True)
    legs = (
        leg("1", "QX-AAA", "ZZ101", "ABLE", "BAKE", 0.0, 1.5, etd=at(0.25), atd=at(0.3), ata=at(1.75)),
        leg("2", "QX-AAA", "ZZ102", "BAKE", "ABLE", 2.5, 4.0, cabin_service="meal", stand="A1"),
        leg("3", "QX-AAA", "ZZ103", "ABLE", "BAKE", 5.0, 6.5, cabin_service="drinks"),
        leg("4", "QX-BBB", "ZZ201", "ABLE", "BAKE", 0.5, 2.0, cabin_service="none", passengers=50, crew=4),
        leg("5", "QX-BBB", "ZZ202", "BAKE", "ABLE", 3.0, 4.5, passengers=50, crew=4),
    )
    return Day(
        title="A full day",
        date=date(2031, 3, 5),
        policy=Policy(risk_limit=Figure(value=0.15, source="House rule", status="entered")),
        usage=Usage(day_factor_cv=Figure(value=0.25, source="Learned from 30 days", status="learned")),
        fits=(shipped_fit("single-aisle-180"), shipped_fit("turboprop-70")),
        stations=(able, bake),
        aircraft=(
            Aircraft(registration="QX-AAA", fit="single-aisle-180", start_stand="A2", fresh_percent=87.5),
            Aircraft(
                registration="QX-BBB",
                fit="turboprop-70",
                waste_percent=12.5,
                start_is="reading",
                inoperative=(Inoperative(item="waste_gauge", category="C", since=date(2031, 3, 1), remark="stuck"),),
            ),
        ),
        legs=legs,
        services=(
            Service(id="s1", aircraft="QX-AAA", turn=2, tank="fresh", target_percent=75.0, start=at(4.2), truck="W1"),
            Service(id="s2", aircraft="QX-AAA", turn=2, tank="waste", start=at(4.5), truck="T1", pinned=True),
            Service(id="s3", aircraft="QX-AAA", turn=1, tank="fresh", state="skipped"),
            Service(id="s4", aircraft="QX-BBB", turn=1, tank="waste", state="done", start=at(2.4)),
            Service(id="s5", aircraft="QX-BBB", turn=2, tank="fresh", state="missed", remark="=SUM(A1)"),
        ),
        readings=(
            Reading(aircraft="QX-AAA", turn=1, tank="fresh", percent=70.0, time=at(1.8)),
            Reading(aircraft="QX-BBB", turn=1, tank="fresh", percent=62.5),
        ),
        ground=(
            GroundTime(aircraft="QX-AAA", turn=1, kind="people_aboard", start=at(2.1), end=at(2.4), persons=120),
            GroundTime(aircraft="QX-BBB", turn=1, kind="unheated", start=at(2.1), end=at(2.9)),
        ),
    )


def leg(
    name: str, aircraft: str, flight: str, origin: str, destination: str, off: float, on: float, **changes: object
) -> Leg:
    """A leg from `off` to `on`, hours after the start of the day."""
    values: dict[str, object] = {"passengers": 150, "crew": 6, **changes}
    return Leg(
        id=name,
        aircraft=aircraft,
        flight=flight,
        origin=origin,
        destination=destination,
        std=at(off),
        sta=at(on),
        **values,  # type: ignore[arg-type]
    )
