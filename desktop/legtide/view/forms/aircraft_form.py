"""The form of an aircraft: how it starts the day, its fit, and its inoperative items."""

from __future__ import annotations

from typing import Any

from PySide6.QtWidgets import QWidget

from legtide.day import edits
from legtide.day.document import Aircraft, Day, Inoperative
from legtide.language import tr
from legtide.view.fields import ChoiceField, LineField
from legtide.view.form import Form
from legtide.view.forms.service_forms import Apply
from legtide.view.readers import level_reader, or_none, text_reader, whole_reader
from legtide.view.units import Unit, level_text

ITEMS = {
    "lavatory": "Lavatories inoperative",
    "fresh_gauge": "Fresh-water gauge",
    "waste_gauge": "Waste gauge",
    "galley_water": "Galley water",
}


def aircraft_form(day: Day, aircraft: Aircraft, unit: Unit, apply: Apply, parent: QWidget) -> Form:
    """Edits an aircraft; the levels are those before its first leg."""
    name = aircraft.registration
    fit = next((row for row in day.fits if row.id == aircraft.fit), None)
    fresh_l = 100.0 if fit is None else fit.fresh_capacity_l.value
    waste_l = 100.0 if fit is None else fit.waste_capacity_l.value

    def take(values: dict[str, Any]) -> str:
        broken = {item: values.pop(item) for item in ITEMS if item in values}
        if broken:
            values["inoperative"] = changed_items(aircraft.inoperative, broken)
        return apply(edits.change_aircraft(day, name, **values), tr("Change {aircraft}").format(aircraft=name))

    form = Form(name, tr("Levels before the first leg. Percent, L, US gal, kg or lb."), take, parent)
    form.add("fit", tr("Fit"), ChoiceField({row.id: tr(row.name or row.id) for row in day.fits}, aircraft.fit))
    fresh = LineField(level_reader(unit, fresh_l), level_text(aircraft.fresh_percent, unit, fresh_l))
    form.add("fresh_percent", tr("Fresh water"), fresh)
    typed = "" if aircraft.waste_percent is None else level_text(aircraft.waste_percent, unit, waste_l)
    waste = LineField(level_reader(unit, waste_l, optional=tr("just drained: the pre-charge alone")), typed)
    form.add("waste_percent", tr("Waste"), waste)
    meaning = {"level": tr("true levels"), "reading": tr("readings in the gauge's steps")}
    form.add("start_is", tr("These are"), ChoiceField(meaning, aircraft.start_is))
    counts = {row.item: row.count for row in aircraft.inoperative}
    most = 60 if fit is None else int(fit.lavatories.value)
    reader = whole_reader(0, max(most, counts.get("lavatory", 0)), tr("lavatories"))
    form.add("lavatory", tr(ITEMS["lavatory"]), LineField(reader, str(counts.get("lavatory", 0))))
    for item in ("fresh_gauge", "waste_gauge", "galley_water"):
        words = {0: tr("works"), 1: tr("inoperative")}
        form.add(item, tr(ITEMS[item]), ChoiceField(words, min(counts.get(item, 0), 1)))
    form.add("start_stand", tr("Stand"), LineField(or_none(text_reader(64)), aircraft.start_stand or ""))
    form.add("remark", tr("Remark"), LineField(text_reader(400), aircraft.remark))
    return form


def changed_items(items: tuple[Inoperative, ...], counts: dict[str, int]) -> tuple[Inoperative, ...]:
    """The inoperative items with other counts; categories and remarks of those that stay are kept."""
    kept = [
        row if row.item not in counts else edits.rebuilt(row, count=counts[row.item])
        for row in items
        if counts.get(row.item, 1)
    ]
    known = {row.item for row in items}
    return (*kept, *(Inoperative(item=item, count=n) for item, n in counts.items() if n and item not in known))  # type: ignore[arg-type]
