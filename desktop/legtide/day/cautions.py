"""What is doubtful in a day, found without projecting it: nothing here refuses the day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Final, Literal

from legtide.day.assumptions import CATALOGUE
from legtide.day.delays import least_turn
from legtide.day.document import Day, Figure, Fit, Leg, Policy, Service, Station, Tank, Usage
from legtide.day.quoting import quoted
from legtide.day.rotations import (
    Rotation,
    block_hours,
    off_blocks,
    rotations,
    service_minutes,
    service_start,
    stations,
)
from legtide.day.windows import offered
from legtide.language import tr

_LONGEST_LEG_H: Final = 20.0
"""Longer legs are taken for a slip of the date: no scheduled flight takes longer (from memory)."""
_DAYS_APART: Final = timedelta(days=2)
"""A day's legs lie within this of its date, whatever the time zone."""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something doubtful: what, how grave, and where."""

    code: str
    severity: Literal["breach", "caution", "note"]
    message: str
    place: str = ""
    """Part of the day file that is meant, as in `stations[2]`; empty where an aircraft or leg says it better."""
    aircraft: str = ""
    leg: str = ""
    station: str = ""
    turn: int = -1
    tank: Tank | None = None


def cautions(day: Day) -> tuple[Finding, ...]:
    """All that is doubtful in a day: figures first, then aircraft by aircraft in the order of the day."""
    places = stations(day)
    found = list(figure_cautions(day))
    for rotation in rotations(day).values():
        found.extend(rotation_cautions(day, rotation, places))
    return tuple(found)


# figures --------------------------------------------------------------------------------------------------


def figure_cautions(day: Day) -> Iterator[Finding]:
    """Figures of the day outside their usual range."""
    yield from _unusual("usage", day.usage, "usage", "")
    yield from _unusual("policy", day.policy, "policy", "")
    for index, fit in enumerate(day.fits):
        yield from _unusual("fit", fit, f"fits[{index}]", tr(" of {fit}").format(fit=quoted(fit.id)))


def _unusual(group: str, part: Usage | Policy | Fit, place: str, whose: str) -> Iterator[Finding]:
    for field in type(part).model_fields:
        known = CATALOGUE.get(f"{group}.{field}")
        figure = getattr(part, field)
        if known is None or not isinstance(figure, Figure) or known.low <= figure.value <= known.high:
            continue
        unit = "" if known.unit == "1" else f" {tr(known.unit)}"
        yield Finding(
            "figure-unusual",
            "caution",
            tr("{figure} is {value:g}{unit}; usual is {low:g} to {high:g}{unit}").format(
                figure=tr(known.label).rstrip(" .") + whose,
                value=figure.value,
                unit=unit,
                low=known.low,
                high=known.high,
            ),
            place=f"{place}.{field}",
        )


# aircraft by aircraft -------------------------------------------------------------------------------------


def rotation_cautions(day: Day, rotation: Rotation, places: Mapping[str, Station]) -> Iterator[Finding]:
    """All that is doubtful in one rotation, given the day's date and policy and its stations by code."""
    yield from _inoperative(rotation)
    yield from _chain(day.policy, rotation)
    yield from _legs(day.date, rotation)
    yield from _rows_outside(rotation)
    for service in rotation.services:
        if service.turn < len(rotation.turns):
            yield from _service(day.policy, rotation, service, places)


def _inoperative(rotation: Rotation) -> Iterator[Finding]:
    broken = sum(row.count for row in rotation.aircraft.inoperative if row.item == "lavatory")
    if broken > rotation.fit.lavatories.value:
        yield Finding(
            "lavatories-more-than-fitted",
            "caution",
            tr("{aircraft} has {broken} lavatories marked inoperative, but its fit has {fitted:g}").format(
                aircraft=rotation.registration, broken=broken, fitted=rotation.fit.lavatories.value
            ),
            aircraft=rotation.registration,
        )


def _chain(policy: Policy, rotation: Rotation) -> Iterator[Finding]:
    """Legs that do not chain in place, and turns that delays have cut short or eaten."""
    for number, (before, after) in enumerate(pairwise(rotation.legs), start=1):
        if before.destination != after.origin:
            yield Finding(
                "broken-chain",
                "caution",
                tr(
                    "{aircraft} arrives at {station} with {flight}, but {next} "
                    "leaves from {origin}: a leg is missing, or another aircraft flies it"
                ).format(
                    aircraft=rotation.registration,
                    station=before.destination,
                    flight=before.flight,
                    next=after.flight,
                    origin=after.origin,
                ),
                aircraft=rotation.registration,
                leg=after.id,
                station=after.origin,
                turn=number,
            )
        minutes = rotation.turns[number].minutes
        if minutes is not None and minutes <= 0.0:
            yield Finding(
                "turn-eaten",
                "caution",
                tr(
                    "{flight} leaves no time on the ground at {station} before {next} "
                    "{time:%H:%M}: enter a later estimate, or change the aircraft"
                ).format(flight=before.flight, station=before.destination, next=after.flight, time=off_blocks(after)),
                aircraft=rotation.registration,
                leg=after.id,
                station=before.destination,
                turn=number,
            )
        elif minutes is not None and after.atd is None and minutes < _least_minutes(before, after, policy):
            yield Finding(
                "turn-short",
                "caution",
                tr(
                    "{flight} leaves {minutes:.0f} min on the ground at {station} before {next} {time:%H:%M}; "
                    "a turn takes {least:.0f} min"
                ).format(
                    flight=before.flight,
                    minutes=minutes,
                    station=before.destination,
                    next=after.flight,
                    time=off_blocks(after),
                    least=_least_minutes(before, after, policy),
                ),
                aircraft=rotation.registration,
                leg=after.id,
                station=before.destination,
                turn=number,
            )


def _least_minutes(before: Leg, after: Leg, policy: Policy) -> float:
    return least_turn(before, after, policy).total_seconds() / 60.0


def _legs(day_date: date, rotation: Rotation) -> Iterator[Finding]:
    name, seats = rotation.registration, rotation.fit.seats.value
    for index, leg in enumerate(rotation.legs):
        route = f"{leg.flight} {leg.origin}-{leg.destination}"
        texts: dict[str, str] = {}
        if leg.passengers > seats:
            texts["passengers-over-seats"] = tr("{leg} has {passengers} passengers on {seats:g} seats").format(
                leg=route, passengers=leg.passengers, seats=seats
            )
        if block_hours(leg) == 0.0:
            texts["estimate-before-departure"] = tr(
                "{leg} is expected to arrive before it departs: enter a new estimate"
            ).format(leg=route)
        if block_hours(leg) > _LONGEST_LEG_H:
            texts["leg-long"] = tr("{leg} takes {hours:.1f} h: is the date right?").format(
                leg=route, hours=block_hours(leg)
            )
        if abs(off_blocks(leg).date() - day_date) > _DAYS_APART:
            texts["leg-off-date"] = tr("{leg} leaves on {left:%Y-%m-%d}, the day is {date:%Y-%m-%d}").format(
                leg=route, left=off_blocks(leg), date=day_date
            )
        for code, text in texts.items():
            yield Finding(code, "caution", text, aircraft=name, leg=leg.id, station=leg.origin, turn=index)


def _rows_outside(rotation: Rotation) -> Iterator[Finding]:
    """Readings, ground times and services done outside their turn (the projection looks after planned services)."""
    rows: list[tuple[str, str, int, tuple[datetime | None, ...], Tank | None]] = []
    rows += [("reading", tr("A reading"), row.turn, (row.time,), row.tank) for row in rotation.readings]
    rows += [("ground", tr("A ground time"), row.turn, (row.start, row.end), None) for row in rotation.ground]
    done = (row for row in rotation.services if row.state == "done")
    rows += [("service", tr("A service done"), row.turn, (row.start,), row.tank) for row in done]
    for code, what, number, moments, tank in rows:
        if number >= len(rotation.turns):
            continue
        turn = rotation.turns[number]
        if turn.minutes is not None and turn.minutes <= 0.0:
            continue  # eaten by a delay: nothing lies inside it
        outside = [moment for moment in moments if moment is not None and not turn.holds(moment)]
        if outside:
            yield Finding(
                f"{code}-outside-turn",
                "caution",
                tr("{what} at {station} {time:%H:%M} lies outside its turn {turn}").format(
                    what=what, station=turn.station, time=outside[0], turn=_stretch(turn.start, turn.end)
                ),
                aircraft=rotation.registration,
                station=turn.station,
                turn=number,
                tank=tank,
            )


def _stretch(start: datetime | None, end: datetime | None) -> str:
    if start is None:
        return tr("(until {end:%H:%M})").format(end=end) if end is not None else ""
    return (
        tr("(from {start:%H:%M})").format(start=start)
        if end is None
        else tr("({start:%H:%M} to {end:%H:%M})").format(start=start, end=end)
    )


# services -------------------------------------------------------------------------------------------------


def _service(
    policy: Policy, rotation: Rotation, service: Service, places: Mapping[str, Station]
) -> Iterator[Finding]:
    code = rotation.turns[service.turn].station
    station = places.get(code)
    if station is None:
        return
    what = tr("Water service") if service.tank == "fresh" else tr("Waste service")
    texts: dict[str, str] = {}
    if service.state == "planned":
        texts |= _not_offered(policy, rotation, service, station, what)
    if service.tank == "fresh" and service.state in ("planned", "done") and not station.approved_water:
        texts["water-not-approved"] = tr(
            "{aircraft} takes water at {station}, which is not marked as an approved point: water comes "
            "only from approved points (21 CFR 1240.80, 1240.83)"
        ).format(aircraft=rotation.registration, station=code)
    for kind, text in texts.items():
        yield Finding(
            kind,
            "caution",
            text,
            aircraft=rotation.registration,
            station=code,
            turn=service.turn,
            tank=service.tank,
        )


def _not_offered(policy: Policy, rotation: Rotation, service: Service, station: Station, what: str) -> dict[str, str]:
    if all(offer.tank != service.tank for offer in station.offers):
        return {
            "service-not-offered": tr("{service} of {aircraft} is planned at {station}, which has none").format(
                service=what, aircraft=rotation.registration, station=station.code
            )
        }
    start = service_start(rotation, service, policy.margin_after_on_blocks_min.value)
    if start is None:
        return {}
    end = start + timedelta(minutes=service_minutes(rotation.fit, service))
    if offered(station, service.tank, start, end):
        return {}
    when = tr("{start:%H:%M} to {end:%H:%M}").format(start=start, end=end)
    text = tr("{service} of {aircraft} at {station} {hours} lies outside the hours there").format(
        service=what, aircraft=rotation.registration, station=station.code, hours=when
    )
    return {"service-outside-hours": text}
