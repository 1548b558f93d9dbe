"""What would come of a form: what the checks of the day have against it, field by field, and what it takes along."""

from __future__ import annotations

from collections.abc import Mapping

from legtide.day.checks import problems
from legtide.day.consequences import consequences
from legtide.day.document import Day
from legtide.draw.words import TANK_SERVICE
from legtide.language import capped, counted, inside, tr
from legtide.view.form import Weighed


def weighed(before: Day, after: Day, row: str = "", fields: Mapping[str, str] | None = None) -> Weighed:
    """What comes of an edit. `row` is the place of the edited row in the file, such as `legs[3]`.

    `fields` gives the form's name of a field of the file where it is another one.
    """
    if before is after:
        return Weighed()
    found = problems(after)
    known = set(problems(before)) if found else set()
    refused = []
    for problem in found:
        if problem not in known:
            name = problem.place.removeprefix(f"{row}.") if row and problem.place.startswith(f"{row}.") else ""
            refused.append(((fields or {}).get(name, name), sentence(problem.reason)))
    return Weighed(tuple(refused), "" if refused else " ".join(followed(before, after)))


def sentence(reason: str) -> str:
    """A reason of the checks as a sentence."""
    return f"{capped(reason)}{'' if reason.endswith('.') else '.'}" if reason else ""


def followed(before: Day, after: Day, *, legs: bool = True) -> list[str]:
    """What an edit takes along, in sentences; `legs` tells whether legs that go are worth a word."""
    found = consequences(before, after)
    lines = []
    gone = [
        counted(found.legs_gone, "{n} leg", "{n} legs") if legs and found.legs_gone else "",
        counted(len(found.services_gone), "{n} service", "{n} services") if found.services_gone else "",
        counted(found.readings_gone, "{n} reading", "{n} readings") if found.readings_gone else "",
        counted(found.ground_gone, "{n} ground time", "{n} ground times") if found.ground_gone else "",
    ]
    if any(gone):
        lines.append(tr("With it goes: {what}.").format(what=", ".join(filter(None, gone))))
    for one in found.moved[:3]:
        words = tr(
            "{service} of {aircraft} moves from {before} to {after}, without a truck, and has to be asked for."
        )
        lines.append(
            words.format(
                service=tr(TANK_SERVICE[one.service.tank]),
                aircraft=one.service.aircraft,
                before=one.before,
                after=one.after,
            )
        )
    if len(found.moved) > 3:
        lines.append(counted(len(found.moved) - 3, "{n} more service moves.", "{n} more services move."))
    if found.without_truck:
        trucks = ", ".join(sorted({row.truck for row in found.without_truck if row.truck is not None}))
        words = counted(
            len(found.without_truck),
            "{n} service loses its truck ({{trucks}}).",
            "{n} services lose their truck ({{trucks}}).",
        )
        lines.append(words.format(trucks=trucks))
    if found.stands_gone:
        lines.append(counted(found.stands_gone, "{n} stand is left open.", "{n} stands are left open."))
    for row in found.doubled[:3]:
        words = tr("{aircraft} then has two planned services of one kind at one turn: {service}.")
        lines.append(words.format(aircraft=row.aircraft, service=inside(tr(TANK_SERVICE[row.tank]))))
    return lines
