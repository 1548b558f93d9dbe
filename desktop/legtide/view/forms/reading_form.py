"""The form of a reading: what the gauges showed at a turn."""

from __future__ import annotations

from typing import Any

from PySide6.QtWidgets import QWidget

from legtide.day import edits
from legtide.day.document import TANKS, Day, Reading
from legtide.day.rotations import Rotation, Turn
from legtide.language import tr
from legtide.view.facts import turn_text
from legtide.view.fields import LineField
from legtide.view.form import Form
from legtide.view.forms.service_forms import Apply
from legtide.view.readers import level_reader, time_reader


def reading_form(day: Day, rotation: Rotation, turn: Turn, apply: Apply, parent: QWidget) -> Form:
    """Enters readings of one turn; a field left empty enters none."""

    def take(values: dict[str, Any]) -> str:
        changed = day
        for tank in TANKS:
            percent = values.get(tank)
            if percent is not None:
                row = Reading(
                    aircraft=rotation.registration,
                    turn=turn.number,
                    tank=tank,
                    percent=percent,
                    time=values.get("time"),
                )
                changed = edits.add_reading(changed, row)
        return apply(changed, tr("Enter reading of {aircraft}").format(aircraft=rotation.registration))

    about = tr("{aircraft} · {turn}. As the gauge shows it; without a time: on arrival, before any service.").format(
        aircraft=rotation.registration, turn=turn_text(turn)
    )
    form = Form(tr("Gauge reading"), about, take, parent)
    words = {"fresh": tr("Fresh water"), "waste": tr("Waste")}
    for tank in TANKS:
        reader = level_reader("%", rotation.fit.capacity_l(tank), optional=tr("not read"))
        form.add(tank, words[tank], LineField(reader, "", "%"))
    near = turn.start or turn.end
    if near is not None:
        form.add("time", tr("Read at (UTC)"), LineField(time_reader(near, None), "", "HH:MM"))
    return form
