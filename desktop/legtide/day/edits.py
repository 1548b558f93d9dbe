"""Edits: pure functions Day -> Day.

An edit that changes nothing returns the same object, so that no undo step is made of it. Leaves are rebuilt
through their constructors (`model_copy` does not validate); only the branches above them are copied.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from datetime import datetime
from typing import Any, TypeVar

from legtide.day.document import (
    Aircraft,
    Day,
    Figure,
    Fit,
    Frozen,
    GroundTime,
    Leg,
    Policy,
    Reading,
    Service,
    ServiceState,
    Station,
    Tank,
    Usage,
)
from legtide.day.rotations import rotations
from legtide.language import tr

_Part = TypeVar("_Part", bound=Frozen)


class EditError(ValueError):
    """An edit that cannot be done; the message names what was not found or is not allowed."""


def rebuilt(part: _Part, **changes: Any) -> _Part:
    """A validated copy of a leaf with changes; the same object when nothing changes.

    Raises pydantic.ValidationError when a changed value is not acceptable.
    """
    if all(getattr(part, name) == value for name, value in changes.items()):
        return part
    values = {name: getattr(part, name) for name in type(part).model_fields}
    return type(part)(**{**values, **changes})


def _branch(day: Day, **changes: Any) -> Day:
    return day.model_copy(update=changes)


def _replaced(rows: tuple[_Part, ...], match: Callable[[_Part], bool], change: Callable[[_Part], _Part]) -> Any:
    """The tuple with every matching row changed; the same tuple when nothing changes. None: nothing matches."""
    found = changed = False
    out = []
    for row in rows:
        new = row
        if match(row):
            found = True
            new = change(row)
            changed |= new is not row
        out.append(new)
    if not found:
        return None
    return tuple(out) if changed else rows


def _with_rows(day: Day, field: str, match: Callable[[Any], bool], change: Callable[[Any], Any], what: str) -> Day:
    rows = getattr(day, field)
    new = _replaced(rows, match, change)
    if new is None:
        raise EditError(tr("{what} is not in the day").format(what=what))
    return day if new is rows else _branch(day, **{field: new})


# services -------------------------------------------------------------------------------------------------


def service(day: Day, service_id: str) -> Service:
    """The service of that id. Raises EditError when there is none."""
    for row in day.services:
        if row.id == service_id:
            return row
    raise EditError(tr("service {service} is not in the day").format(service=service_id))


def next_service_id(day: Day) -> str:
    """A service id that the day does not use yet: `s1`, `s2` and so on."""
    return unused_id("s", {row.id for row in day.services})


def unused_id(prefix: str, taken: Collection[str]) -> str:
    """The prefix with the first number, counted from one more than are taken, that makes a new id."""
    number = len(taken) + 1
    while f"{prefix}{number}" in taken:
        number += 1
    return f"{prefix}{number}"


def number_services(day: Day, used: Iterable[str] = ()) -> Day:
    """The day with a name for each service that has none (files by hand or by other programs leave it out).

    Names in `used` are not given.
    """
    if all(row.id for row in day.services):
        return day
    taken = {row.id for row in day.services} | set(used)
    out, number = [], 0
    for row in day.services:
        new = row
        if not row.id:
            number += 1
            while f"s{number}" in taken:
                number += 1
            new = rebuilt(row, id=f"s{number}")
        out.append(new)
    return _branch(day, services=tuple(out))


def change_service(day: Day, service_id: str, **changes: Any) -> Day:
    """A service with some fields changed (`turn`, `start`, `target_percent`, `state`, `truck`, `pinned`, ...)."""
    return _with_rows(
        day,
        "services",
        lambda row: row.id == service_id,
        lambda row: rebuilt(row, **changes),
        tr("service {service}").format(service=service_id),
    )


def move_service(day: Day, service_id: str, turn: int, start: datetime | None) -> Day:
    """A service at another turn or time. A truck stays at its station: at another one the service has none."""
    row = service(day, service_id)
    changes: dict[str, Any] = {"turn": turn, "start": start}
    if row.truck is not None and _station_of(day, row.aircraft, turn) != _station_of(day, row.aircraft, row.turn):
        changes["truck"] = None
    return change_service(day, service_id, **changes)


def _station_of(day: Day, aircraft: str, turn: int) -> str | None:
    rotation = rotations(day).get(aircraft)
    return rotation.turns[turn].station if rotation is not None and turn < len(rotation.turns) else None


def set_service_state(day: Day, service_id: str, state: ServiceState) -> Day:
    """A service planned, done, skipped or missed."""
    return change_service(day, service_id, state=state)


def set_target(day: Day, service_id: str, target_percent: float) -> Day:
    """Another fill level."""
    return change_service(day, service_id, target_percent=target_percent)


def add_service(
    day: Day,
    aircraft: str,
    turn: int,
    tank: Tank,
    *,
    target_percent: float | None = None,
    start: datetime | None = None,
    truck: str | None = None,
) -> tuple[Day, str]:
    """A new planned service; returns the day and the new service's id."""
    if all(row.registration != aircraft for row in day.aircraft):
        raise EditError(tr("aircraft {aircraft} is not in the day").format(aircraft=aircraft))
    name = next_service_id(day)
    whole = 0.0 if tank == "waste" else 100.0
    row = Service(
        id=name,
        aircraft=aircraft,
        turn=turn,
        tank=tank,
        target_percent=whole if target_percent is None else target_percent,
        start=start,
        truck=truck,
    )
    return _branch(day, services=(*day.services, row)), name


def delete_service(day: Day, service_id: str) -> Day:
    """The day without a service."""
    kept = tuple(row for row in day.services if row.id != service_id)
    if len(kept) == len(day.services):
        raise EditError(tr("service {service} is not in the day").format(service=service_id))
    return _branch(day, services=kept)


def replace_services(day: Day, services: Iterable[Service]) -> Day:
    """All services at once, as when a proposal is taken. A new one never gets the name of one that goes."""
    new = tuple(services)
    if new == day.services:
        return day
    return number_services(_branch(day, services=new), (row.id for row in day.services))


# readings -------------------------------------------------------------------------------------------------


def add_reading(day: Day, reading: Reading) -> Day:
    """One more reading; the same reading twice changes nothing."""
    return day if reading in day.readings else _branch(day, readings=(*day.readings, reading))


def delete_reading(day: Day, reading: Reading) -> Day:
    """The day without a reading."""
    kept = tuple(row for row in day.readings if row != reading)
    if len(kept) == len(day.readings):
        raise EditError(tr("that reading of {aircraft} is not in the day").format(aircraft=reading.aircraft))
    return _branch(day, readings=kept)


# the day itself -------------------------------------------------------------------------------------------


def change_leg(day: Day, leg_id: str, **changes: Any) -> Day:
    """A leg with some fields changed (times, heads, cabin service, stand, ...)."""
    return _with_rows(
        day,
        "legs",
        lambda row: row.id == leg_id,
        lambda row: rebuilt(row, **changes),
        tr("leg {leg}").format(leg=leg_id),
    )


def replace_legs(day: Day, legs: Mapping[str, Leg]) -> Day:
    """Many legs at once, each in the place of the one of its id. Raises EditError when one is not in the day."""
    missing = legs.keys() - {row.id for row in day.legs}
    if missing:
        raise EditError(tr("leg {leg} is not in the day").format(leg=min(missing)))
    new = tuple(legs.get(row.id, row) for row in day.legs)
    return day if all(one is other for one, other in zip(new, day.legs, strict=True)) else _branch(day, legs=new)


def change_aircraft(day: Day, registration: str, **changes: Any) -> Day:
    """An aircraft with some fields changed."""
    return _with_rows(
        day,
        "aircraft",
        lambda row: row.registration == registration,
        lambda row: rebuilt(row, **changes),
        tr("aircraft {aircraft}").format(aircraft=registration),
    )


def change_station(day: Day, code: str, **changes: Any) -> Day:
    """A station with some fields changed."""
    return _with_rows(
        day,
        "stations",
        lambda row: row.code == code,
        lambda row: rebuilt(row, **changes),
        tr("station {station}").format(station=code),
    )


def change_fit(day: Day, fit_id: str, **changes: Any) -> Day:
    """A fit with some fields changed."""
    return _with_rows(
        day,
        "fits",
        lambda row: row.id == fit_id,
        lambda row: rebuilt(row, **changes),
        tr("fit {fit}").format(fit=fit_id),
    )


def set_figure(day: Day, group: str, field: str, value: float, source: str = "", status: str = "entered") -> Day:
    """A figure of `usage` or `policy` with another value and where it comes from."""
    if group not in ("usage", "policy"):
        raise EditError(tr("{group} is not a group of figures").format(group=group))
    part: Usage | Policy = getattr(day, group)
    if field not in type(part).model_fields:
        raise EditError(tr("{figure} is not a figure").format(figure=f"{group}.{field}"))
    new = rebuilt(part, **{field: Figure(value=value, source=source, status=status)})  # type: ignore[arg-type]
    return day if new is part else _branch(day, **{group: new})


def add_rows(
    day: Day,
    *,
    fits: Iterable[Fit] = (),
    stations: Iterable[Station] = (),
    aircraft: Iterable[Aircraft] = (),
    legs: Iterable[Leg] = (),
    ground: Iterable[GroundTime] = (),
) -> Day:
    """The day with more fits, stations, aircraft, legs or ground times."""
    more = {"fits": tuple(fits), "stations": tuple(stations), "aircraft": tuple(aircraft)}
    more |= {"legs": tuple(legs), "ground": tuple(ground)}
    changes = {name: getattr(day, name) + rows for name, rows in more.items() if rows}
    return _branch(day, **changes) if changes else day


def retitled(day: Day, title: str) -> Day:
    """The day under another title."""
    return rebuilt(day, title=title)
