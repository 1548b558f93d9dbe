"""Forms of the day as a whole: a new one from nothing, and its title and date."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from PySide6.QtWidgets import QWidget

from legtide.day.document import Day, Station
from legtide.day.edits import rebuilt
from legtide.language import tr
from legtide.view.amounts import zone_names, zone_reader
from legtide.view.fields import LineField
from legtide.view.form import Form
from legtide.view.forms.service_forms import Apply
from legtide.view.readers import date_reader, key_reader, text_reader


def new_day_form(today: date, take: Callable[[Day], object], parent: QWidget) -> Form:
    """A new day with its first station; the rest is added to it."""

    def made(_values: dict[str, Any]) -> str:
        value = {name: field.value for name, field in form.fields.items()}
        station = Station(code=value["code"], name=value["name"], time_zone=value["time_zone"])
        take(Day(title=value["title"], date=value["date"], stations=(station,)))
        return ""

    about = tr("Then add what it needs: further stations and trucks, aircraft with their fits, legs, and services.")
    form = Form(tr("New day"), about, made, parent, accept=tr("Make the day"), guarded=True)
    form.add("title", tr("Title"), LineField(text_reader(400)))
    form.add("date", tr("Date"), LineField(date_reader(), today.isoformat()))
    form.pages.begin_section(tr("First station"))
    form.add("code", tr("Code"), LineField(key_reader(tr("code"))))
    form.add("name", tr("Name"), LineField(text_reader(400)))
    form.add("time_zone", tr("Time zone"), LineField(zone_reader(today), "UTC", "Region/City", words=zone_names()))
    return form


def title_form(day: Day, apply: Apply, parent: QWidget) -> Form:
    """The title and date of the day; the legs keep their times."""

    def take(values: dict[str, Any]) -> str:
        return apply(rebuilt(day, **values), tr("Change title or date"))

    about = tr("The legs keep their own dates and times.")
    form = Form(tr("Title and date"), about, take, parent)
    form.add("title", tr("Title"), LineField(text_reader(400), day.title))
    form.add("date", tr("Date"), LineField(date_reader(), day.date.isoformat()))
    return form
