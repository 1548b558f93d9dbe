"""The form of a leg: estimated and actual times, heads and cabin service."""

from __future__ import annotations

from typing import Any, get_args

from pydantic import ValidationError
from PySide6.QtWidgets import QWidget

from legtide.day import edits
from legtide.day.document import CabinService, Day, Leg
from legtide.day.rotations import off_blocks, on_blocks
from legtide.draw.words import hhmm
from legtide.language import tr
from legtide.view.fields import ChoiceField, LineField
from legtide.view.form import Form
from legtide.view.forms.service_forms import Apply
from legtide.view.readers import or_none, text_reader, time_reader, time_typed, whole_reader
from legtide.view.texts import date_text

TIMES = {
    "etd": "Estimated off blocks (UTC)",
    "eta": "Estimated on blocks (UTC)",
    "atd": "Actual off blocks (UTC)",
    "ata": "Actual on blocks (UTC)",
}
CABIN_WORDS = {"average": "average use", "none": "none", "drinks": "hot drinks", "meal": "meal and hot drinks"}


def leg_form(day: Day, leg: Leg, zones: tuple[str | None, str | None], apply: Apply, parent: QWidget) -> Form:
    """Edits a leg. `zones` are the time zones at its two ends, for the local times beside UTC."""

    def take(values: dict[str, Any]) -> str:
        late = {name: values.get(name, getattr(leg, name)) for name in TIMES}
        start = late["atd"] or late["etd"] or leg.std
        end = late["ata"] or late["eta"]
        if end is not None and end <= start:
            return tr("It would be on blocks at {end}, not after off blocks {start}.").format(
                end=hhmm(end), start=hhmm(start)
            )
        try:
            changed = edits.change_leg(day, leg.id, **values)
        except ValidationError as error:
            return str(error.errors()[0]["msg"])
        return apply(changed, tr("Change {flight} of {aircraft}").format(flight=leg.flight, aircraft=leg.aircraft))

    about = tr("{aircraft} · {origin} – {destination} · {date}, scheduled {std}–{sta} UTC").format(
        aircraft=leg.aircraft,
        origin=leg.origin,
        destination=leg.destination,
        date=date_text(leg.std.date()),
        std=hhmm(leg.std),
        sta=hhmm(leg.sta),
    )
    form = Form(leg.flight, about, take, parent)
    near = {"etd": off_blocks(leg), "atd": off_blocks(leg), "eta": on_blocks(leg), "ata": on_blocks(leg)}
    for name, words in TIMES.items():
        zone = zones[0] if name.endswith("td") else zones[1]
        form.add(name, tr(words), LineField(time_reader(near[name], zone), time_typed(getattr(leg, name)), "HH:MM"))
    form.add("passengers", tr("Passengers"), LineField(whole_reader(0, 2000, tr("heads")), str(leg.passengers)))
    form.add("crew", tr("Crew"), LineField(whole_reader(0, 2000, tr("heads")), str(leg.crew)))
    cabins = {name: tr(CABIN_WORDS[name]) for name in get_args(CabinService)}
    form.add("cabin_service", tr("Cabin service"), ChoiceField(cabins, leg.cabin_service))
    form.add("stand", tr("Stand on arrival"), LineField(or_none(text_reader(64)), leg.stand or ""))
    form.add("remark", tr("Remark"), LineField(text_reader(400), leg.remark))
    return form
