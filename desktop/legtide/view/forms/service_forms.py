"""Forms of a service: its level, and its turn and time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from PySide6.QtWidgets import QWidget

from legtide.day import edits
from legtide.day.document import Day, Service
from legtide.day.rotations import Rotation, rotations, service_start
from legtide.draw.words import hhmm, service_title
from legtide.language import inside, tr
from legtide.view.facts import turn_text
from legtide.view.fields import ChoiceField, LineField
from legtide.view.form import Form
from legtide.view.readers import level_reader, text_reader, time_reader, time_typed
from legtide.view.units import Unit, level_typed

Apply = Callable[[Day, str], str]
"""Takes a new day and the name of the undo step; gives a sentence when the day cannot be taken, else nothing."""


def _rotation(day: Day, row: Service) -> Rotation:
    rotation = rotations(day).get(row.aircraft)
    if rotation is None:
        raise edits.EditError(tr("aircraft {aircraft} has no fit in the day").format(aircraft=row.aircraft))
    return rotation


def level_form(day: Day, row: Service, unit: Unit, apply: Apply, parent: QWidget) -> Form:
    """The level after a service, in the unit that the user prefers; any other may be typed."""
    fit = _rotation(day, row).fit
    capacity = fit.capacity_l(row.tank)
    words = tr("Fill up to") if row.tank == "fresh" else tr("Drain down to")

    def take(values: dict[str, float]) -> str:
        return apply(
            edits.change_service(day, row.id, target_percent=values.get("level", row.target)), tr("Change level")
        )

    about = tr("{aircraft}, tank of {capacity:g} L. Percent, L, US gal, kg or lb.").format(
        aircraft=row.aircraft, capacity=capacity
    )
    form = Form(tr("Level after the {service}").format(service=inside(service_title(row, None))), about, take, parent)
    form.add("level", words, LineField(level_reader(unit, capacity), level_typed(row.target, unit, capacity)))
    return form


def move_form(day: Day, row: Service, zone: str | None, apply: Apply, parent: QWidget) -> Form:
    """Another turn, time, truck or remark for a service."""
    rotation = _rotation(day, row)
    margin = day.policy.margin_after_on_blocks_min.value
    start = service_start(rotation, row, margin)
    near = start or rotation.legs[0].std if rotation.legs else datetime.combine(day.date, datetime.min.time())

    def take(values: dict[str, Any]) -> str:
        changed = edits.move_service(day, row.id, values.pop("turn", row.turn), values.pop("start", row.start))
        text = tr("Change {service} of {aircraft}").format(service=inside(title), aircraft=row.aircraft)
        return apply(edits.change_service(changed, row.id, **values), text)

    title = service_title(row, None)
    about = f"{row.aircraft} · {'' if start is None else hhmm(start)} UTC"
    form = Form(title, about, take, parent)
    turns = {turn.number: turn_text(turn) for turn in rotation.turns}
    form.add("turn", tr("Turn"), ChoiceField(turns, row.turn))
    form.add(
        "start",
        tr("Start (UTC)"),
        LineField(time_reader(near, zone), time_typed(row.start), tr("as early as possible")),
    )
    form.add("truck", tr("Truck"), ChoiceField(truck_choices(day, rotation, row), row.truck))
    form.add("remark", tr("Remark"), LineField(text_reader(400), row.remark))
    return form


def truck_choices(day: Day, rotation: Rotation, row: Service) -> dict[str | None, str]:
    """The trucks of the turn's station that do this kind of service, and none."""
    code = rotation.turns[row.turn].station if row.turn < len(rotation.turns) else ""
    choices: dict[str | None, str] = {None: tr("none assigned")}
    for station in day.stations:
        if station.code == code:
            choices |= {
                truck.id: f"{truck.id} ({truck.capacity_l:g} L)" for truck in station.trucks if truck.tank == row.tank
            }
    if row.truck is not None and row.truck not in choices:
        choices[row.truck] = tr("{truck} (not at {station})").format(truck=row.truck, station=code)
    return choices
