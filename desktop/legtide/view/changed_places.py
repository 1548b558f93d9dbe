"""Where a step changed the day: what to bring into view when it is taken back or done again, and in which rows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from legtide.day.document import Day
from legtide.language import tr
from legtide.view.timeline.navigate import Navigator

NAMED = 3
"""Most aircraft named in a sentence."""


@dataclass(frozen=True, slots=True)
class Places:
    """What differs between two days, by aircraft; the first of each kind."""

    aircraft: tuple[str, ...]
    service: str | None = None
    """Id of a service that is there now."""
    leg: str | None = None
    turn: tuple[str, int] | None = None
    """Aircraft and turn of a service that is gone, or of a reading."""


def _differing(old: Iterable[Any], new: Iterable[Any]) -> list[Any]:
    """What is in one of two collections only, what came before what is gone; compared by identity, then value."""
    old, new = list(old), list(new)
    same = {id(row) for row in old} & {id(row) for row in new}
    was, now = ([row for row in rows if id(row) not in same] for rows in (old, new))
    return [row for row in now if row not in was] + [row for row in was if row not in now]


def changed_places(before: Day, after: Day) -> Places:
    """Where two days differ, as far as it is a place on the board."""
    services = _differing(before.services, after.services)
    legs = _differing(before.legs, after.legs)
    readings = _differing(before.readings, after.readings)
    planes = _differing(before.aircraft, after.aircraft)
    names = [row.aircraft for row in (*services, *legs, *readings)] + [row.registration for row in planes]
    there = {row.id for row in after.services}
    leg_ids = {row.id for row in after.legs}
    gone = [(row.aircraft, row.turn) for row in (*services, *readings)]
    return Places(
        tuple(dict.fromkeys(names)),
        next((row.id for row in services if row.id in there), None),
        next((row.id for row in legs if row.id in leg_ids), None),
        gone[0] if gone else None,
    )


def reveal(places: Places, go: Navigator) -> bool:
    """Selects and shows the first place; False when there is none on the board."""
    # A leg carries its services along: what was slipped is the leg.
    if places.leg is not None and go.reveal_leg(places.leg):
        return True
    if places.service is not None and go.reveal_service(places.service):
        return True
    if places.turn is not None and go.reveal_turn(*places.turn):
        return True
    return bool(places.aircraft) and go.reveal(places.aircraft[0])


def rows_text(places: Places) -> str:
    """The rows that differ where they are several, for the sentence about a step."""
    if len(places.aircraft) < 2:
        return ""
    names = ", ".join(places.aircraft[:NAMED])
    more = len(places.aircraft) - NAMED
    return tr("{names} and {n} more").format(names=names, n=more) if more > 0 else names
