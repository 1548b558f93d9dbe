"""The form of a fit: its figures with status and source, and its two gauges."""

from __future__ import annotations

from typing import Any, Final, get_args

from pydantic import ValidationError
from PySide6.QtWidgets import QWidget

from legtide.day import edits_fits
from legtide.day.assumptions import CATALOGUE, Status
from legtide.day.document import TANKS, Day, Figure, Fit, Gauge, Tank
from legtide.day.edits import rebuilt
from legtide.language import counted, tr
from legtide.view.amounts import share_reader, share_typed
from legtide.view.cells import worded
from legtide.view.fields import ChoiceField, LineField
from legtide.view.form import Form, Weighed
from legtide.view.forms.figure_field import FigureField
from legtide.view.forms.service_forms import Apply
from legtide.view.forms.weighing import sentence, weighed
from legtide.view.readers import key_reader, text_reader
from legtide.view.units import Unit

SHOWS: Final = {"percent": "percent", "eighths": "eighths", "litres": "litres"}
ROUNDS: Final = {"nearest": "to the nearest step", "down": "down to the step below"}
_GAUGE: Final = ("shows", "step_percent", "rounds", "error_percent", "source", "status")


class FitForm(Form):
    """Edits a fit of the day, or enters a copy of one under a new id."""

    def __init__(self, day: Day, fit: Fit, unit: Unit, apply: Apply, parent: QWidget) -> None:
        self._day, self._fit, self._unit, self._apply = day, fit, unit, apply
        self._new = all(row is not fit for row in day.fits)
        title = tr("New fit") if self._new else tr("Fit {id}").format(id=fit.id)
        users = sum(row.fit == fit.id for row in day.aircraft)
        about = tr("Generic figures are to be replaced by what the operator's manuals say.")
        if users and not self._new:
            about += " " + counted(users, "{n} aircraft has this fit.", "{n} aircraft have this fit.")
        super().__init__(title, about, self._applied, parent, weigh=self._weighed, guarded=True)
        self._figures_page()
        self._gauges_page()

    def _figures_page(self) -> None:
        self.pages.begin_page(tr("Tanks and cabin"))
        taken = [row.id for row in self._day.fits if row is not self._fit]
        self.add("id", tr("Id"), LineField(key_reader(tr("id"), lambda: taken), self._fit.id))
        self.add("name", tr("Name"), LineField(text_reader(400), tr(self._fit.name)))
        self.pages.begin_section(tr("Value, status and source"))
        for name in Fit.model_fields:
            figure, known = getattr(self._fit, name), CATALOGUE.get(f"fit.{name}")
            if known is not None and isinstance(figure, Figure):
                field = FigureField(known, figure, self._unit)
                label = tr(known.label)
                field.name(label)
                self.add_part(name, field, label)

    def _gauges_page(self) -> None:
        self.pages.begin_page(tr("Gauges"))
        titles = {"fresh": tr("Fresh-water gauge"), "waste": tr("Waste gauge")}
        for number, tank in enumerate(TANKS):
            if number:
                self.pages.begin_column()
            self.pages.begin_section(titles[tank])
            self._gauge_rows(tank, self._fit.gauge(tank))

    def _gauge_rows(self, tank: Tank, gauge: Gauge) -> None:
        step = LineField(share_reader(0.01, 50.0), share_typed(gauge.step_percent))
        error = LineField(share_reader(0.0, 25.0), share_typed(gauge.error_percent))
        status = ChoiceField({name: tr(name) for name in get_args(Status)}, gauge.status)
        self.add(f"{tank}_shows", tr("Shows"), ChoiceField(dict(worded(SHOWS)()), gauge.shows))
        self.add(f"{tank}_step_percent", tr("One step"), step)
        self.add(f"{tank}_rounds", tr("Shows a level"), ChoiceField(dict(worded(ROUNDS)()), gauge.rounds))
        self.add(f"{tank}_error_percent", tr("Error of the sensor"), error)
        self.add(f"{tank}_status", tr("Status"), status)
        self.add(f"{tank}_source", tr("Source"), LineField(text_reader(400), tr(gauge.source)))

    # taking -----------------------------------------------------------------------------------------------

    def _fit_of(self, values: dict[str, Any]) -> Fit:
        changes = {name: value for name, value in values.items() if name in Fit.model_fields}
        for tank in TANKS:
            gauge = {name: values[f"{tank}_{name}"] for name in _GAUGE if f"{tank}_{name}" in values}
            if gauge:
                changes[f"{tank}_gauge"] = rebuilt(self._fit.gauge(tank), **gauge)
        return rebuilt(self._fit, **changes)

    def _changed(self, fit: Fit) -> Day:
        return edits_fits.add_fit(self._day, fit) if self._new else edits_fits.put_fit(self._day, self._fit.id, fit)

    def _weighed(self, values: dict[str, Any]) -> Weighed:
        try:
            fit = self._fit_of(values)
        except ValidationError as error:
            # The one rule of a fit that no field alone can break.
            return Weighed((("pre_charge_l", sentence(error.errors()[0]["msg"])),))
        return weighed(self._day, self._changed(fit))

    def _applied(self, values: dict[str, Any]) -> str:
        fit = self._fit_of(values)
        words = tr("Add fit {id}") if self._new else tr("Change fit {id}")
        return self._apply(self._changed(fit), words.format(id=fit.id))
