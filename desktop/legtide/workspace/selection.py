"""What the user has singled out on the board, as data that survives edits of the day."""

from __future__ import annotations

from dataclasses import dataclass, replace

from legtide.day.document import Day
from legtide.day.rotations import rotations


@dataclass(frozen=True, slots=True)
class Selection:
    """The selected aircraft, and within it a service, a turn or a leg; all `None` when nothing is selected."""

    aircraft: str | None = None
    service: str | None = None
    """Id of the service."""
    turn: int | None = None
    """Number of the turn, as `Service.turn`."""
    leg: str | None = None
    """Id of the leg."""


def completed(day: Day, wanted: Selection) -> Selection:
    """The selection with the aircraft and turn that its service or leg belong to; what the day lacks is left out."""
    if wanted.service is not None:
        found = next((row for row in day.services if row.id == wanted.service), None)
        if found is not None:
            return Selection(found.aircraft, found.id, found.turn, None)
        wanted = replace(wanted, service=None)
    if wanted.leg is not None:
        leg = next((row for row in day.legs if row.id == wanted.leg), None)
        if leg is not None:
            return Selection(leg.aircraft, None, wanted.turn, leg.id)
        wanted = replace(wanted, leg=None)
    if all(row.registration != wanted.aircraft for row in day.aircraft):
        return Selection()
    if wanted.turn is not None:
        rotation = rotations(day).get(wanted.aircraft or "")
        if rotation is None or not 0 <= wanted.turn < len(rotation.turns):
            return replace(wanted, turn=None)
    return wanted
