"""What a warning is called, and its way out as one undo step."""

from __future__ import annotations

from typing import Final

from legtide.day import edits
from legtide.day.delays import following_legs
from legtide.day.document import Day
from legtide.day.rotations import rotations
from legtide.engine.types import Caution, Remedy
from legtide.language import tr

HEADLINES: Final = {
    "fresh-below-reserve": "Fresh water will run low",
    "fresh-near-reserve": "Fresh water may run low",
    "waste-over-limit": "The waste tank will fill",
    "waste-near-limit": "The waste tank may fill",
    "reading-implausible": "A reading does not agree",
    "water-due": "Drinking water is due",
    "freezing": "The fresh tank may freeze",
    "service-outside-turn": "A service does not fit its turn",
    "lavatories-short": "Too few lavatories work",
    "lavatories-more-than-fitted": "More lavatories inoperative than fitted",
    "figure-unusual": "A figure is unusual",
    "broken-chain": "A leg seems to be missing",
    "turn-eaten": "No time on the ground is left",
    "turn-short": "The turn is too short",
    "passengers-over-seats": "More passengers than seats",
    "estimate-before-departure": "An estimate is out of order",
    "leg-long": "A leg is unusually long",
    "leg-off-date": "A leg lies far from the day's date",
    "reading-outside-turn": "A reading lies outside its turn",
    "ground-outside-turn": "A ground time lies outside its turn",
    "service-not-offered": "The station does not offer the service",
    "service-outside-hours": "A service lies outside the station's hours",
    "water-not-approved": "The water is not approved there",
    "changed-outside": "The file was changed outside of Legtide",
}
"""Code of a warning -> its headline where its way out is not one."""

_BUTTONS: Final = {
    "add_service": "Add service",
    "raise_target": "Raise fill",
    "move_service": "Move service",
    "push_legs": "Delay what follows",
}
_STEPS: Final = {
    "add_service": "Add {tank} service for {aircraft}",
    "raise_target": "Raise fill for {aircraft}",
    "move_service": "Move {tank} service of {aircraft}",
    "push_legs": "Delay what follows of {aircraft}",
}


def headline(caution: Caution) -> str:
    """What to do if it can be done with one press, else what is wrong."""
    remedy = caution.remedy
    if remedy is not None and remedy.kind != "none":
        return remedy.text
    return tr(HEADLINES[caution.code])


def advice(caution: Caution) -> str:
    """A way out that somebody has to do by hand, or nothing."""
    remedy = caution.remedy
    return remedy.text if remedy is not None and remedy.kind == "none" else ""


def button_text(remedy: Remedy) -> str:
    """The words on the button that does it."""
    return tr(_BUTTONS[remedy.kind])


def step_text(remedy: Remedy) -> str:
    """The name of the undo step."""
    tank = tr("water") if remedy.tank == "fresh" else tr("waste")
    return tr(_STEPS[remedy.kind]).format(tank=tank, aircraft=remedy.aircraft)


def applied(day: Day, remedy: Remedy) -> tuple[Day, str]:
    """The day with the remedy done, and the id of the service that it concerns; empty where it concerns legs.

    Raises EditError when the day no longer holds what the remedy speaks of.
    """
    if remedy.kind == "add_service":
        return edits.add_service(
            day, remedy.aircraft, remedy.turn, remedy.tank, target_percent=remedy.target_percent, start=remedy.start
        )
    if remedy.kind == "raise_target":
        target = 100.0 if remedy.target_percent is None else remedy.target_percent
        return edits.set_target(day, remedy.service_id, target), remedy.service_id
    if remedy.kind == "move_service":
        return edits.move_service(day, remedy.service_id, remedy.turn, remedy.start), remedy.service_id
    if remedy.kind == "push_legs":
        rotation = rotations(day).get(remedy.aircraft)
        if rotation is None or not 0 < remedy.turn <= len(rotation.legs):
            raise edits.EditError(tr("{aircraft} has no such turn any more").format(aircraft=remedy.aircraft))
        legs = following_legs(rotation, remedy.turn, day.policy)
        return edits.replace_legs(day, {leg.id: leg for leg in legs}), ""
    raise edits.EditError(tr("this way out cannot be done with one press"))
