"""What differs between two days, in sentences: for recovery, and for whatever is shown before it is taken."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any, Final

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
    Station,
    Usage,
)
from legtide.draw.words import TANK_SERVICE, hhmm
from legtide.language import capped, tr

MOST: Final = 200
"""Sentences given at most; the last one then tells how many are left out."""

_WORDS: Final = {
    "services": "service",
    "legs": "leg",
    "aircraft": "aircraft",
    "stations": "station",
    "fits": "fit",
    "readings": "reading",
    "ground": "ground time",
}
_HEAD: Final = ("title", "date")
_FIGURES: Final = ("policy", "usage")
FIELD_WORDS: Final = {
    field: field.replace("_", " ")
    for part in (Service, Leg, Aircraft, Station, Fit, Reading, GroundTime, Policy, Usage)
    for field in part.model_fields
}
"""Field of a part -> what it is called."""
_CHOICES: Final = ("state", "tank", "cabin_service", "kind")
"""Fields that hold one of a few words."""


def described(before: Day, after: Day) -> list[str]:
    """Each difference as a sentence, services first; empty when the days are the same."""
    lines = list(_lines(before, after))
    if len(lines) > MOST:
        return [*lines[:MOST], tr("and {n} more differences").format(n=len(lines) - MOST)]
    return lines


def _lines(before: Day, after: Day) -> Iterator[str]:
    if before is after:
        return
    for field, word in _WORDS.items():
        yield from _rows(tr(word), getattr(before, field), getattr(after, field))
    for name in _HEAD:
        if getattr(before, name) != getattr(after, name):
            old, new = getattr(before, name) or tr("none"), getattr(after, name) or tr("none")
            yield f"{capped(tr(name))}: {old} → {new}"
    for name in _FIGURES:
        yield from _fields(capped(tr(name)), getattr(before, name), getattr(after, name))


def _rows(word: str, before: tuple[Frozen, ...], after: tuple[Frozen, ...]) -> Iterator[str]:
    if before is after:
        return
    old, new = {_key(row): row for row in before}, {_key(row): row for row in after}
    for key, row in new.items():
        if key not in old:
            yield tr("{what} added").format(what=_name(word, row))
        elif row is not old[key]:
            yield from _fields(_name(word, row), old[key], row)
    for key, row in old.items():
        if key not in new:
            yield tr("{what} removed").format(what=_name(word, row))


def _key(row: Frozen) -> Any:
    for name in ("id", "code", "registration"):
        value = getattr(row, name, None)
        if value:
            return value
    return row


def _name(word: str, row: Frozen) -> str:
    if isinstance(row, Service):
        return tr("{service} of {aircraft}, turn {turn}").format(
            service=tr(TANK_SERVICE[row.tank]), aircraft=row.aircraft, turn=row.turn
        )
    if isinstance(row, Leg):
        return tr("{flight} {origin}–{destination} of {aircraft}").format(
            flight=row.flight, origin=row.origin, destination=row.destination, aircraft=row.aircraft
        )
    who = getattr(row, "aircraft", None) or _key(row)
    return f"{capped(word)} {who if isinstance(who, str) else ''}".strip()


def _fields(name: str, before: Frozen, after: Frozen) -> Iterator[str]:
    for field in type(after).model_fields:
        old, new = getattr(before, field), getattr(after, field)
        if old != new:
            yield f"{name}: {tr(FIELD_WORDS[field])} {_text(field, old)} → {_text(field, new)}"


def _text(field: str, value: Any) -> str:
    if value is None:
        return tr("none")
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    if field in _CHOICES:
        return tr(value)
    if isinstance(value, Figure):
        return f"{value.value:g}"
    if isinstance(value, datetime):
        return hhmm(value)
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple):
        return tr("{n} entries").format(n=len(value))
    return str(value)
