"""What differs between two days, in sentences: for recovery, and for whatever is shown before it is taken."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any, Final

from legtide.day.document import Day, Figure, Frozen, Leg, Service
from legtide.draw.words import TANK_SERVICE, hhmm

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


def described(before: Day, after: Day) -> list[str]:
    """Each difference as a sentence, services first; empty when the days are the same."""
    lines = list(_lines(before, after))
    if len(lines) > MOST:
        return [*lines[:MOST], f"and {len(lines) - MOST} more differences"]
    return lines


def _lines(before: Day, after: Day) -> Iterator[str]:
    if before is after:
        return
    for field, word in _WORDS.items():
        yield from _rows(word, getattr(before, field), getattr(after, field))
    for name in ("title", "date"):
        if getattr(before, name) != getattr(after, name):
            yield f"{name.capitalize()}: {getattr(before, name) or 'none'} → {getattr(after, name) or 'none'}"
    for name in ("policy", "usage"):
        yield from _fields(name.capitalize(), getattr(before, name), getattr(after, name))


def _rows(word: str, before: tuple[Frozen, ...], after: tuple[Frozen, ...]) -> Iterator[str]:
    if before is after:
        return
    old, new = {_key(row): row for row in before}, {_key(row): row for row in after}
    for key, row in new.items():
        if key not in old:
            yield f"{_name(word, row)} added"
        elif row is not old[key]:
            yield from _fields(_name(word, row), old[key], row)
    for key, row in old.items():
        if key not in new:
            yield f"{_name(word, row)} removed"


def _key(row: Frozen) -> Any:
    for name in ("id", "code", "registration"):
        value = getattr(row, name, None)
        if value:
            return value
    return row


def _name(word: str, row: Frozen) -> str:
    if isinstance(row, Service):
        return f"{TANK_SERVICE[row.tank]} of {row.aircraft}, turn {row.turn}"
    if isinstance(row, Leg):
        return f"{row.flight} {row.origin}–{row.destination} of {row.aircraft}"
    who = getattr(row, "aircraft", None) or _key(row)
    return f"{word.capitalize()} {who if isinstance(who, str) else ''}".strip()


def _fields(name: str, before: Frozen, after: Frozen) -> Iterator[str]:
    for field in type(after).model_fields:
        old, new = getattr(before, field), getattr(after, field)
        if old != new:
            yield f"{name}: {field.replace('_', ' ')} {_text(old)} → {_text(new)}"


def _text(value: Any) -> str:
    if value is None:
        return "none"
    if isinstance(value, Figure):
        return f"{value.value:g}"
    if isinstance(value, datetime):
        return hhmm(value)
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple):
        return f"{len(value)} entries"
    return str(value)
