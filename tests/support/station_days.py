"""An invented day on which several aircraft turn at one station with a few trucks."""

from __future__ import annotations

from datetime import timedelta

from legtide.day.document import Day, Place, Service, Span, Station, Travel, Truck
from legtide.day.edits import rebuilt
from support.days import MORNING, rotation_day


def station_day(aircraft: int = 6, *, trucks: int = 1, services: tuple[Service, ...] = (), **changes: object) -> Day:
    """`aircraft` rotations of six legs whose turns at BAKE overlap, with so many trucks of each kind there."""
    day = rotation_day(1.6, 6, 0.85, aircraft=aircraft, services=services, **changes)  # type: ignore[arg-type]
    shift = Span(start=MORNING - timedelta(hours=2), end=MORNING + timedelta(hours=18))
    stands = tuple(Place(id=f"S{n}") for n in range(aircraft))
    points = (
        Place(id="F", kind="fill_point", handling_min=3.0, flow_l_per_min=300.0),
        Place(id="D", kind="dump_point", handling_min=3.0, flow_l_per_min=300.0),
        Place(id="B", kind="base"),
    )
    vehicles = tuple(
        Truck(id=f"{name}{n}", tank=tank, capacity_l=700.0, shift=shift, start_place="B")
        for tank, name in (("fresh", "W"), ("waste", "T"))
        for n in range(trucks)
    )
    bake = Station(
        code="BAKE",
        places=(*stands, *points),
        travel=(Travel(between=("B", "F"), minutes=2.0), Travel(between=("B", "D"), minutes=3.0)),
        default_travel_min=3.0,
        trucks=vehicles,
    )
    legs = tuple(
        rebuilt(leg, std=leg.std + apart, sta=leg.sta + apart, stand=f"S{n}" if leg.destination == "BAKE" else None)
        for leg in day.legs
        for n in [int(leg.aircraft.removeprefix("QX-"))]
        for apart in [timedelta(minutes=7 * n)]
    )
    return rebuilt(day, legs=legs, stations=(day.stations[0], bake))
