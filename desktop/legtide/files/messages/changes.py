"""What a movement or load message changes in its leg."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from legtide.day.document import Leg
from legtide.day.rotations import off_blocks, on_blocks
from legtide.files.messages.matching import MatchError
from legtide.files.messages.records import Load, Movement
from legtide.files.messages.times import first_after, nearest
from legtide.language import tr

FIELDS: Final = {
    "etd": "ETD",
    "eta": "ETA",
    "atd": "ATD",
    "ata": "ATA",
    "passengers": "passengers",
    "crew": "crew",
    "outside_air_c": "outside air",
}
_DELAY_WORDS: Final = {
    "09": "scheduled ground time too short",
    "34": "servicing equipment",
    "35": "cabin cleaning",
}
"""Codes of AHM 730 that bear on water and toilet service; there is none for these two themselves."""


@dataclass(frozen=True, slots=True)
class Change:
    """One field of the day that a message moves."""

    line: int
    """Line of the pasted text where the message names its flight or station."""
    what: str
    """The leg or station, such as `X0 201 OZM-TQB`."""
    field: str
    """In words, such as `ATD`."""
    before: str
    after: str

    def __str__(self) -> str:
        return f"{self.what}: {self.field} {self.before} -> {self.after}"


def shown(value: object, day: date) -> str:
    """A value in words: a time with its date where that is not the day's."""
    if value is None:
        return tr("none")
    if isinstance(value, datetime):
        return f"{value:%H:%M}" if value.date() == day else tr("{time:%H:%M} on {time:%Y-%m-%d}").format(time=value)
    return f"{value:g} °C" if isinstance(value, float) else str(value)


def movement_changes(movement: Movement, leg: Leg) -> tuple[dict[str, Any], list[str]]:
    """The fields of a leg that a message gives, and what it says besides.

    A time without a day is the one nearest to when the leg is expected to be there; what follows another
    time in the same message comes after it, past midnight if need be.

    Raises:
        TimeError: a time lies far from the leg.
        MatchError: the estimate belongs to another airport.
    """
    fields: dict[str, Any] = {}
    notes: list[str] = []
    if movement.returned is not None:
        notes.append(_returned(movement, leg, fields))
    if movement.estimated_off_blocks is not None:
        fields["etd"] = nearest(movement.estimated_off_blocks, off_blocks(leg))
    if movement.off_blocks is not None and movement.returned is None:
        fields["atd"] = nearest(movement.off_blocks, leg.std)
        if movement.airborne is not None:
            first_after(movement.airborne, fields["atd"])
    left = fields.get("atd") or fields.get("etd") or off_blocks(leg)
    notes += _arrival(movement, leg, left, fields)
    if movement.passengers is not None:
        fields["passengers"] = movement.passengers
    return fields, [*notes, *_remarks(movement, leg)]


def _returned(movement: Movement, leg: Leg, fields: dict[str, Any]) -> str:
    """Back at the stand: what was known of the departure and of the arrival holds no more."""
    assert movement.returned is not None  # noqa: S101 - asked by the caller
    back = first_after(movement.returned, leg.atd or leg.std)
    fields |= {"atd": None, "eta": None}
    if movement.returned_from_air:
        return tr(
            "returned from the air, at the stand from {time:%H:%M}: the water used on the way is not in the levels, "
            "read the gauges; a new estimate of the departure is needed"
        ).format(time=back)
    return tr("returned to the ramp at {time:%H:%M}: a new estimate of the departure is needed").format(time=back)


def _arrival(movement: Movement, leg: Leg, left: datetime, fields: dict[str, Any]) -> list[str]:
    """Puts the times of the arrival, which comes after the departure."""
    expected = on_blocks(leg) if left == off_blocks(leg) else left + (leg.sta - leg.std)
    if movement.touchdown is not None:
        touchdown = nearest(movement.touchdown, expected)
        if movement.on_blocks is not None:
            fields["ata"] = first_after(movement.on_blocks, touchdown)
            return []
        fields["eta"] = touchdown
        return [tr("on blocks is not given: the touchdown is taken as estimate, without taxiing")]
    if movement.estimated_touchdown is None and movement.estimated_on_blocks is None:
        return []
    if movement.estimated_at is not None and movement.estimated_at != leg.destination:
        raise MatchError(
            tr("the estimate is for {station}, the leg ends at {destination}").format(
                station=movement.estimated_at, destination=leg.destination
            )
        )
    if movement.estimated_on_blocks is not None:
        fields["eta"] = nearest(movement.estimated_on_blocks, expected)
    elif movement.estimated_touchdown is not None:
        fields["eta"] = nearest(movement.estimated_touchdown, expected)
    return []


def _remarks(movement: Movement, leg: Leg) -> list[str]:
    """What changes nothing by itself, in words."""
    out = []
    if movement.estimated_airborne is not None:
        airborne = nearest(movement.estimated_airborne, off_blocks(leg))
        out.append(tr("take-off is expected at {time:%H:%M}; off blocks stays as it is").format(time=airborne))
    if movement.next_information is not None:
        following = nearest(movement.next_information, off_blocks(leg))
        out.append(
            tr("next information at {time:%H:%M}; the estimate stays as it is until then").format(time=following)
        )
    for delay in movement.delays:
        parts = []
        for place, code in enumerate(delay.codes):
            words = f" ({tr(_DELAY_WORDS[code[:2]])})" if code[:2] in _DELAY_WORDS else ""
            length = tr(" {minutes} min").format(minutes=delay.minutes[place]) if place < len(delay.minutes) else ""
            parts.append(f"{code}{words}{length}")
        out.append(tr("delay code {codes}").format(codes=", ".join(parts)))
    return out


def load_changes(load: Load) -> dict[str, Any]:
    """The fields of a leg that a load message gives."""
    fields: dict[str, Any] = {"passengers": load.passengers}
    if load.crew is not None:
        fields["crew"] = load.crew
    return fields
