"""What can be done to the parts of the day: adding, changing and removing aircraft, legs, stations and fits."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Final

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QDialog, QWidget

from legtide.day import edits_aircraft, edits_fits, edits_legs, edits_stations
from legtide.day.document import Aircraft, Day, Fit, Leg, Station
from legtide.day.edits import rebuilt
from legtide.day.fits import shipped_fits
from legtide.day.rotations import scheduled
from legtide.day.suggestions import next_leg, return_leg
from legtide.language import counted, tr
from legtide.view.chooser import Choice, Chooser
from legtide.view.dialogs import Answer, ask, opened, tell
from legtide.view.editing import Editing
from legtide.view.forms.aircraft_form import AircraftForm
from legtide.view.forms.day_forms import new_day_form, title_form
from legtide.view.forms.fit_form import FitForm
from legtide.view.forms.leg_form import LegForm, NewLeg
from legtide.view.forms.station_form import StationForm
from legtide.view.forms.weighing import followed
from legtide.view.opening import Opening
from legtide.view.preferences import Preferences
from legtide.workspace.workspace import Workspace

NAMED: Final = 5
"""Of those that use something, so many are named."""


class DayParts(QObject):
    """Opens the forms of the day's parts, and removes parts after saying what goes with them."""

    said = Signal(str)

    def __init__(
        self,
        workspace: Workspace,
        preferences: Preferences,
        editing: Editing,
        opening: Opening,
        window: QWidget,
    ) -> None:
        super().__init__(window)
        self._workspace = workspace
        self._preferences = preferences
        self._editing = editing
        self._opening = opening
        self._window = window

    @property
    def _day(self) -> Day:
        return self._workspace.day

    def _take(self, day: Day, text: str) -> str:
        """Applies an edit, and selects the aircraft or leg that it added."""
        known = {row.id for row in self._day.legs}, {row.registration for row in self._day.aircraft}
        problem = self._editing.take(day, text)
        if not problem:
            leg = next((row.id for row in self._day.legs if row.id not in known[0]), None)
            plane = next((row.registration for row in self._day.aircraft if row.registration not in known[1]), None)
            if leg is not None or plane is not None:
                self._workspace.select(plane, leg=leg)
        return problem

    # the day ----------------------------------------------------------------------------------------------

    def new_day(self) -> None:
        """Asks for a new day, after asking about changes of the open one."""
        self._opening.when_saved(self._ask_new_day)

    def _ask_new_day(self) -> QDialog:
        return opened(new_day_form(datetime.now(UTC).date(), self._begin, self._window))

    def _begin(self, day: Day) -> None:
        self._workspace.new(day, unsaved=True)
        self._opening.opened.emit()
        self.said.emit(tr("A new day: add aircraft and legs from the menu Edit"))

    def edit_title(self) -> QDialog:
        """The form of the day's title and date."""
        return opened(title_form(self._day, self._editing.take, self._window))

    # aircraft ---------------------------------------------------------------------------------------------

    def add_aircraft(self) -> QDialog:
        """The form of a new aircraft."""
        return opened(AircraftForm(self._day, None, self._preferences.unit, self._take, self._window))

    def remove_aircraft(self) -> QDialog | None:
        """Asks whether the selected aircraft may go, with all that is its own."""
        name = self._workspace.selection.aircraft
        if name is None:
            return None
        text = tr("Remove aircraft {aircraft}").format(aircraft=name)
        return self._ask_removal(text, lambda day: edits_aircraft.remove_aircraft(day, name))

    def _ask_removal(self, text: str, edit: Callable[[Day], Day], *, legs: bool = True) -> QDialog:
        """Says what would go, move or lose its truck; the step can be undone."""
        before = self._day
        lines = followed(before, edit(before), legs=legs)
        lines.append(tr("It can be undone."))

        def remove() -> None:
            problem = self._take(edit(self._day), text)
            if problem:
                tell(self._window, text, problem, kind="warn")

        answers = [Answer(tr("Remove") if legs else tr("Delete"), remove), Answer(tr("Cancel"), role="reject")]
        return ask(self._window, tr("{step}?").format(step=text), "\n".join(lines), answers)

    # legs -------------------------------------------------------------------------------------------------

    @property
    def _leg(self) -> Leg | None:
        wanted = self._workspace.selection.leg
        return next((row for row in self._day.legs if row.id == wanted), None)

    def can_add_leg(self) -> bool:
        """Whether there is an aircraft to fly it."""
        return self._editing.can_edit() and bool(self._day.aircraft)

    def add_leg(self) -> QDialog | None:
        """The form of a new leg: after the selected leg or turn where legs do not chain, else at the end."""
        chosen = self._workspace.selection
        name = chosen.aircraft or next((row.registration for row in self._day.aircraft), None)
        if name is None:
            return None
        legs = scheduled(self._day.legs).get(name, [])
        after = next((number for number, row in enumerate(legs) if row.id == chosen.leg), None)
        if after is None and chosen.turn:
            after = chosen.turn - 1
        missing = after is not None and after + 1 < len(legs) and legs[after + 1].origin != legs[after].destination
        draft = next_leg(self._day, name, legs[after].id if missing and after is not None else None)
        return opened(LegForm(self._day, NewLeg(name, draft), self._take, self._window))

    def add_return(self) -> QDialog | None:
        """The form of the flight back of the selected leg."""
        leg = self._leg
        if leg is None:
            return None
        return opened(LegForm(self._day, NewLeg(leg.aircraft, return_leg(self._day, leg)), self._take, self._window))

    def delete_leg(self) -> QDialog | None:
        """Asks whether the selected leg may go, and says what becomes of what hangs on its turns."""
        leg = self._leg
        if leg is None:
            return None
        words = tr("Delete {flight} of {aircraft}")
        text = words.format(flight=leg.flight, aircraft=leg.aircraft)
        return self._ask_removal(text, lambda day: edits_legs.delete_leg(day, leg.id), legs=False)

    # stations ---------------------------------------------------------------------------------------------

    def add_station(self) -> QDialog:
        """The form of a new station."""
        return self._open_station(None)

    def edit_station(self) -> QDialog | None:
        """The form of a station; asks which, unless there is only one."""
        rows = self._day.stations
        return self._open_station(rows[0]) if len(rows) == 1 else self._choose_station(self._open_station)

    def remove_station(self) -> QDialog | None:
        """Asks which station is to be removed; one that legs use stays, and why is said."""
        return self._choose_station(self._remove_station)

    def has_station(self) -> bool:
        """Whether there is a station that may be changed."""
        return self._editing.can_edit() and bool(self._day.stations)

    def _open_station(self, station: Station | None) -> QDialog:
        return opened(StationForm(self._day, station, self._preferences.unit, self._take, self._window))

    def _choose_station(self, do: Callable[[Station], object]) -> QDialog:
        here = self._workspace.local_station
        rows = sorted(self._day.stations, key=lambda row: row.code != here)
        choices = [
            Choice(
                f"{row.code}  {row.name}".strip(),
                counted(len(row.trucks), "{n} truck", "{n} trucks"),
                lambda row=row: do(row),  # type: ignore[misc]
            )
            for row in rows
        ]
        return opened(Chooser(tr("Stations"), tr("Code or name of a station"), choices, self._window))

    def _remove_station(self, station: Station) -> QDialog:
        text = tr("Remove station {code}").format(code=station.code)
        users = [leg.flight for leg in self._day.legs if station.code in (leg.origin, leg.destination)]
        return self._remove_unused(text, users, lambda day: edits_stations.remove_station(day, station.code))

    def _remove_unused(self, text: str, users: list[str], edit: Callable[[Day], Day]) -> QDialog:
        """Asks whether something may go that nothing refers to any more; says what still does."""
        if not users:
            return self._ask_removal(text, edit)
        words = tr("It is still used: {names}.").format(names=", ".join(users[:NAMED]))
        if len(users) > NAMED:
            words += " " + tr("And {n} more.").format(n=len(users) - NAMED)
        return tell(self._window, tr("{step}: not possible").format(step=text), words, kind="warn")

    # fits -------------------------------------------------------------------------------------------------

    def add_fit(self) -> QDialog:
        """Asks which of the generic fits to take into the day, and opens it."""
        choices = [
            Choice(tr(fit.name or fit.id), _capacities(fit), lambda fit=fit: self._open_new_fit(fit, fit.id))  # type: ignore[misc]
            for fit in shipped_fits()
        ]
        return opened(Chooser(tr("Generic fits"), tr("Name of a fit"), choices, self._window))

    def edit_fit(self) -> QDialog:
        """Asks for a fit of the day and opens it."""
        return self._choose_fit(self._open_fit)

    def copy_fit(self) -> QDialog:
        """Asks for a fit of the day and opens a copy of it under a new id."""
        return self._choose_fit(lambda fit: self._open_new_fit(fit, fit.id))

    def remove_fit(self) -> QDialog:
        """Asks which fit is to be removed; one that an aircraft has stays, and why is said."""
        return self._choose_fit(self._remove_fit)

    def has_fit(self) -> bool:
        """Whether there is a fit that may be changed."""
        return self._editing.can_edit() and bool(self._day.fits)

    def _open_fit(self, fit: Fit) -> QDialog:
        return opened(FitForm(self._day, fit, self._preferences.unit, self._take, self._window))

    def _open_new_fit(self, fit: Fit, wanted: str) -> QDialog:
        new = edits_fits.unused_fit_id(self._day, wanted)
        # A copy that is none of the day's own, even where it is called as it was.
        return self._open_fit(rebuilt(fit, id=new) if new != fit.id else fit.model_copy())

    def _choose_fit(self, do: Callable[[Fit], object]) -> QDialog:
        chosen = self._selected_aircraft()
        rows = sorted(self._day.fits, key=lambda row: chosen is None or row.id != chosen.fit)
        choices = [
            Choice(f"{row.id}  {tr(row.name)}".strip(), _capacities(row), lambda row=row: do(row))  # type: ignore[misc]
            for row in rows
        ]
        return opened(Chooser(tr("Fits"), tr("Id or name of a fit"), choices, self._window))

    def _selected_aircraft(self) -> Aircraft | None:
        wanted = self._workspace.selection.aircraft
        return next((row for row in self._day.aircraft if row.registration == wanted), None)

    def _remove_fit(self, fit: Fit) -> QDialog:
        text = tr("Remove fit {id}").format(id=fit.id)
        users = [row.registration for row in self._day.aircraft if row.fit == fit.id]
        return self._remove_unused(text, users, lambda day: edits_fits.remove_fit(day, fit.id))


def _capacities(fit: Fit) -> str:
    """Seats and tanks of a fit, in few words."""
    words = tr("{seats} seats, {fresh} L fresh, {waste} L waste")
    return words.format(
        seats=f"{fit.seats.value:g}", fresh=f"{fit.fresh_capacity_l.value:g}", waste=f"{fit.waste_capacity_l.value:g}"
    )
