"""Edits of the list of aircraft: adding, changing, renaming and removing, with all that refers to them."""

from __future__ import annotations

from typing import Any, Final

from legtide.day.document import Aircraft, Day
from legtide.day.edits import EditError, rebuilt
from legtide.language import tr

_REFERRING: Final = ("legs", "services", "readings", "ground")


def add_aircraft(day: Day, aircraft: Aircraft) -> Day:
    """One more aircraft. Raises EditError when its registration is taken."""
    _refuse_taken(day, aircraft.registration)
    return day.model_copy(update={"aircraft": (*day.aircraft, aircraft)})


def put_aircraft(day: Day, registration: str, aircraft: Aircraft) -> Day:
    """An aircraft in the place of another; under a new registration its legs, services and readings follow.

    Raises EditError when there is none of the old registration, or one of the new.
    """
    old = next((row for row in day.aircraft if row.registration == registration), None)
    if old is None:
        raise EditError(tr("aircraft {aircraft} is not in the day").format(aircraft=registration))
    if old == aircraft:
        return day
    changes: dict[str, Any] = {"aircraft": tuple(aircraft if row is old else row for row in day.aircraft)}
    if aircraft.registration != registration:
        _refuse_taken(day, aircraft.registration)
        for part in _REFERRING:
            rows = getattr(day, part)
            if any(row.aircraft == registration for row in rows):
                changes[part] = tuple(
                    rebuilt(row, aircraft=aircraft.registration) if row.aircraft == registration else row
                    for row in rows
                )
    return day.model_copy(update=changes)


def remove_aircraft(day: Day, registration: str) -> Day:
    """The day without an aircraft, its legs, and all that hangs on their turns."""
    kept = tuple(row for row in day.aircraft if row.registration != registration)
    if len(kept) == len(day.aircraft):
        raise EditError(tr("aircraft {aircraft} is not in the day").format(aircraft=registration))
    changes: dict[str, Any] = {"aircraft": kept}
    for part in _REFERRING:
        rows = getattr(day, part)
        left = tuple(row for row in rows if row.aircraft != registration)
        if len(left) != len(rows):
            changes[part] = left
    return day.model_copy(update=changes)


def _refuse_taken(day: Day, registration: str) -> None:
    if any(row.registration == registration for row in day.aircraft):
        raise EditError(tr("aircraft {aircraft} is in the day already").format(aircraft=registration))
