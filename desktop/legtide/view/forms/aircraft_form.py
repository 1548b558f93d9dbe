"""The form of an aircraft: registration, fit, how it starts the day, and its inoperative items."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtWidgets import QWidget

from legtide.day import edits_aircraft, edits_fits
from legtide.day.document import Aircraft, Day, Fit, Inoperative
from legtide.day.edits import rebuilt
from legtide.day.fits import DEFAULT_FIT, FIT_IDS, shipped_fit
from legtide.language import tr
from legtide.view.cells import CellsModel, Column, filled, worded
from legtide.view.cells_table import CellsTable
from legtide.view.fields import ChoiceField, LineField
from legtide.view.form import Form, Weighed
from legtide.view.forms.service_forms import Apply
from legtide.view.forms.weighing import weighed
from legtide.view.readers import (
    Read,
    Reader,
    date_reader,
    key_reader,
    level_reader,
    or_none,
    text_reader,
    whole_reader,
)
from legtide.view.units import Unit, level_typed

ITEMS: Final = {
    "lavatory": "Lavatories",
    "fresh_gauge": "Fresh-water gauge",
    "waste_gauge": "Waste gauge",
    "galley_water": "Galley water",
}
CATEGORIES: Final = ("B", "C", "D")
MOST_ITEMS: Final = 60


class AircraftForm(Form):
    """Edits an aircraft, or enters a new one; the levels are those before its first leg."""

    def __init__(self, day: Day, aircraft: Aircraft | None, unit: Unit, apply: Apply, parent: QWidget) -> None:
        self._day, self._unit, self._apply = day, unit, apply
        self._aircraft = aircraft
        title = tr("New aircraft") if aircraft is None else aircraft.registration
        about = tr("Levels before the first leg. Percent, L, US gal, kg or lb.")
        super().__init__(title, about, self._applied, parent, weigh=self._weighed, guarded=True)
        self._shown = aircraft or Aircraft(registration=" ", fit=_usual_fit(day))
        self.pages.begin_section(tr("At the start of the day"))
        self._level_rows()
        self.pages.begin_column()
        self.pages.begin_section(tr("Inoperative items"))
        about = tr("What is deferred. Category and date are for the sheets; the projection counts the items.")
        self.add_part("inoperative", CellsTable(_items(self._shown), tr("Inoperative items"), tr("Add"), about=about))
        self.fields["fit"].edited.connect(self._read_levels_again)

    # fields -----------------------------------------------------------------------------------------------

    def _level_rows(self) -> None:
        shown, fits = self._shown, self._fits()
        taken = [row.registration for row in self._day.aircraft if row is not self._aircraft]
        name = "" if self._aircraft is None else shown.registration
        self.add("registration", tr("Registration"), LineField(key_reader(tr("registration"), lambda: taken), name))
        words = {key: tr(fit.name or key) for key, fit in fits.items()}
        for key in fits.keys() - {row.id for row in self._day.fits}:
            words[key] = tr("{name} (generic)").format(name=words[key])
        self.add("fit", tr("Fit"), ChoiceField(words, shown.fit))
        for tank, label in (("fresh", tr("Fresh water")), ("waste", tr("Waste"))):
            percent = shown.fresh_percent if tank == "fresh" else shown.waste_percent
            typed = "" if percent is None else level_typed(percent, self._unit, self._capacity(tank))
            optional = "" if tank == "fresh" else tr("just drained: the pre-charge alone")
            field = LineField(self._level(tank, optional), typed)
            self.add(f"{tank}_percent", label, field)
        meaning = {"level": tr("true levels"), "reading": tr("readings in the gauge's steps")}
        self.add("start_is", tr("These are"), ChoiceField(meaning, shown.start_is))
        self.add("start_stand", tr("Stand"), LineField(or_none(text_reader(64)), shown.start_stand or ""))
        self.add("remark", tr("Remark"), LineField(text_reader(400), shown.remark))

    def _fits(self) -> dict[str, Fit]:
        """The fits of the day, then those that come with the program."""
        own = {row.id: row for row in self._day.fits}
        return own | {key: shipped_fit(key) for key in FIT_IDS if key not in own}

    def _capacity(self, tank: str) -> float:
        field = self.fields.get("fit")
        fit = self._fits().get(self._shown.fit if field is None else field.value)
        if fit is None:
            return 100.0
        return fit.fresh_capacity_l.value if tank == "fresh" else fit.waste_capacity_l.value

    def _level(self, tank: str, optional: str) -> Reader:
        """Reads a level as a share of the tank of the fit that is chosen by then."""

        def read(text: str) -> Read:
            return level_reader(self._unit, self._capacity(tank), optional=optional)(text)

        return read

    def _read_levels_again(self) -> None:
        """The same litres are another share of another tank."""
        for tank in ("fresh", "waste"):
            self.fields[f"{tank}_percent"].read_again()

    # taking -----------------------------------------------------------------------------------------------

    def _plane(self, values: dict[str, Any]) -> Aircraft:
        if "inoperative" in values:
            values = values | {"inoperative": _items_of(values["inoperative"])}
        return rebuilt(self._shown, **{"fit": self.fields["fit"].value, **values})

    def _changed(self, values: dict[str, Any]) -> Day:
        plane, day = self._plane(values), self._day
        if all(row.id != plane.fit for row in day.fits) and plane.fit in FIT_IDS:
            day = edits_fits.add_fit(day, shipped_fit(plane.fit))
        if self._aircraft is None:
            return edits_aircraft.add_aircraft(day, plane)
        return edits_aircraft.put_aircraft(day, self._aircraft.registration, plane)

    def _weighed(self, values: dict[str, Any]) -> Weighed:
        if not self.touched:
            return Weighed()
        after = self._changed(values)
        number = len(after.aircraft) - 1 if self._aircraft is None else self._day.aircraft.index(self._aircraft)
        return weighed(self._day, after, f"aircraft[{number}]")

    def _applied(self, values: dict[str, Any]) -> str:
        name = values.get("registration", self._shown.registration)
        words = tr("Add aircraft {aircraft}") if self._aircraft is None else tr("Change {aircraft}")
        return self._apply(self._changed(values), words.format(aircraft=name))


def _usual_fit(day: Day) -> str:
    """The fit that most aircraft of the day have."""
    used = [row.fit for row in day.aircraft]
    known = [row.id for row in day.fits]
    return max(known, key=used.count, default=DEFAULT_FIT)


def _items(aircraft: Aircraft) -> CellsModel:
    columns = (
        Column(
            "item",
            tr("Item"),
            choices=worded(ITEMS),
            fresh="lavatory",
            width=130,
        ),
        Column("count", tr("How many"), whole_reader(1, MOST_ITEMS, tr("items")), fresh="1", width=76),
        Column(
            "category",
            tr("Category"),
            choices=lambda: {None: "–"} | {key: key for key in CATEGORIES},
            fresh=None,
            width=76,
            tip=tr("Repair interval of the deferred item"),
        ),
        Column("since", tr("Since"), date_reader(optional=True), width=96),
        Column("remark", tr("Remark"), text_reader(400), width=90),
    )
    return CellsModel(columns, filled(columns, aircraft.inoperative))


def _items_of(rows: list[tuple[Any, dict[str, Any]]]) -> tuple[Inoperative, ...]:
    return tuple(Inoperative(**values) for _origin, values in rows)
