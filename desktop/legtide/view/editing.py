"""What can be done to the selected service, turn, leg or aircraft: each is one undo step."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QDialog, QWidget

from legtide.day import edits
from legtide.day.checks import problems
from legtide.day.document import Day, Reading, Service, ServiceState, Tank
from legtide.day.rotations import Rotation, Turn
from legtide.draw.words import service_title
from legtide.engine.types import Caution
from legtide.language import inside, tr
from legtide.view.dialogs import opened
from legtide.view.forms.aircraft_form import AircraftForm
from legtide.view.forms.leg_form import LegForm
from legtide.view.forms.reading_form import reading_form
from legtide.view.forms.service_forms import level_form, move_form
from legtide.view.panels.remedies import applied, step_text
from legtide.view.preferences import Preferences
from legtide.workspace.workspace import Workspace

_STATE_STEPS = {
    "planned": "Plan {service} of {aircraft} again",
    "done": "Mark {service} of {aircraft} done",
    "skipped": "Skip {service} of {aircraft}",
    "missed": "Mark {service} of {aircraft} missed",
}


class Editing(QObject):
    """Edits of what is selected. Every method does nothing when its part is not selected."""

    said = Signal(str)
    """What was done, in a sentence."""

    def __init__(self, workspace: Workspace, preferences: Preferences, window: QWidget) -> None:
        super().__init__(window)
        self._workspace = workspace
        self._preferences = preferences
        self._window = window
        self._moment: datetime | None = None
        workspace.selection_changed.connect(self._forget_moment)

    # what is selected -------------------------------------------------------------------------------------

    @property
    def service(self) -> Service | None:
        """The selected service."""
        wanted = self._workspace.selection.service
        return next((row for row in self._workspace.day.services if row.id == wanted), None) if wanted else None

    @property
    def rotation(self) -> Rotation | None:
        """The rotation of the selected aircraft."""
        one = self._workspace.settled_projection.aircraft.get(self._workspace.selection.aircraft or "")
        return None if one is None else one.rotation

    @property
    def turn(self) -> Turn | None:
        """The selected turn, or that of the selected service."""
        rotation, number = self.rotation, self._workspace.selection.turn
        if rotation is None or number is None or number >= len(rotation.turns):
            return None
        return rotation.turns[number]

    def can_edit(self) -> bool:
        """Whether the day may be changed at all."""
        return not self._workspace.read_only

    def has_service(self) -> bool:
        """Whether a service is selected that may be changed."""
        return self.can_edit() and self.service is not None

    def has_turn(self) -> bool:
        """Whether a turn is selected that may be changed."""
        return self.can_edit() and self.turn is not None

    def has_leg(self) -> bool:
        """Whether a leg is selected that may be changed."""
        return self.can_edit() and self._workspace.selection.leg is not None

    def has_aircraft(self) -> bool:
        """Whether an aircraft is selected that may be changed."""
        return self.can_edit() and self._workspace.selection.aircraft is not None

    def in_state(self, state: ServiceState) -> bool:
        """Whether the selected service is in a state."""
        row = self.service
        return row is not None and row.state == state

    def at(self, moment: datetime | None) -> None:
        """The moment that was pointed at: a service added to the turn starts then."""
        self._moment = moment

    def _forget_moment(self) -> None:
        self._moment = None

    def _apply(self, day: Day, text: str) -> bool:
        done = self._workspace.apply(day, text)
        if done:
            self.said.emit(text)
        return done

    def take(self, day: Day, text: str) -> str:
        """Applies what a form gives, unless the day could not be saved then: the sentence says why."""
        found = problems(day)
        known = set(problems(self._workspace.day)) if found else set()
        new = [problem.reason for problem in found if problem not in known]
        if new:
            return tr("This cannot be: {reason}.").format(reason="; ".join(new[:3]))
        self._apply(day, text)
        return ""

    # services ---------------------------------------------------------------------------------------------

    def set_state(self, state: ServiceState) -> None:
        """The selected service planned, done, skipped or missed; the same again makes it planned."""
        row = self.service
        if row is not None:
            wanted: ServiceState = "planned" if row.state == state else state
            self._apply(
                edits.set_service_state(self._workspace.day, row.id, wanted),
                self._step(tr(_STATE_STEPS[wanted]), row),
            )

    def toggle_pin(self) -> None:
        """Holds the selected service where it is when a plan is made, or lets it go."""
        row = self.service
        if row is not None:
            text = tr("Unpin {service} of {aircraft}") if row.pinned else tr("Pin {service} of {aircraft}")
            self._apply(
                edits.change_service(self._workspace.day, row.id, pinned=not row.pinned), self._step(text, row)
            )

    def delete(self) -> None:
        """Deletes the selected service."""
        row = self.service
        if row is not None:
            text = self._step(tr("Delete {service} of {aircraft}"), row)
            self._apply(edits.delete_service(self._workspace.day, row.id), text)

    def add(self, tank: Tank) -> None:
        """Adds a service to the selected turn, at the moment pointed at if there is one, and selects it."""
        turn, rotation = self.turn, self.rotation
        if turn is None or rotation is None:
            return
        start = self._moment if self._moment is not None and turn.holds(self._moment) else None
        name = rotation.registration
        day, key = edits.add_service(self._workspace.day, name, turn.number, tank, start=start)
        words = tr("Add water service for {aircraft}") if tank == "fresh" else tr("Add waste service for {aircraft}")
        if self._apply(day, words.format(aircraft=name)):
            self._workspace.select(service=key)

    def _step(self, text: str, row: Service) -> str:
        """What is done to which service, and at which turn: rows and turns are easily mixed up."""
        title = service_title(row, None)
        words = text.format(service=inside(title), aircraft=row.aircraft)
        return f"{words}, {place}" if (place := self._place(row)) else words

    def _place(self, row: Service) -> str:
        one = self._workspace.settled_projection.aircraft.get(row.aircraft)
        if one is None or row.turn >= len(one.rotation.turns):
            return ""
        return tr("turn {n} at {station}").format(n=row.turn, station=one.rotation.turns[row.turn].station)

    # forms ------------------------------------------------------------------------------------------------

    def open_level(self) -> QDialog | None:
        """The form of the selected service's level."""
        row = self.service
        return None if row is None else self._form(level_form, row, self._preferences.unit)

    def open_move(self) -> QDialog | None:
        """The form of the selected service's turn, time and truck."""
        row, turn = self.service, self.turn
        return None if row is None else self._form(move_form, row, self.zone(turn.station if turn else None))

    def open_leg(self) -> QDialog | None:
        """The form of the selected leg."""
        wanted = self._workspace.selection.leg
        leg = next((row for row in self._workspace.day.legs if row.id == wanted), None)
        return None if leg is None else self._form(LegForm, leg)

    def open_aircraft(self) -> QDialog | None:
        """The form of the selected aircraft."""
        wanted = self._workspace.selection.aircraft
        found = next((row for row in self._workspace.day.aircraft if row.registration == wanted), None)
        return None if found is None else self._form(AircraftForm, found, self._preferences.unit)

    def open_reading(self) -> QDialog | None:
        """The form of readings at the selected turn."""
        rotation, turn = self.rotation, self.turn
        return None if rotation is None or turn is None else self._form(reading_form, rotation, turn)

    def enter_reading(self, tank: Tank, percent: float) -> None:
        """What the gauge shows at the selected turn: read now while the turn lasts, else on arrival."""
        rotation, turn, now = self.rotation, self.turn, self._workspace.now
        if rotation is None or turn is None:
            return
        read_at = now if now is not None and turn.start is not None and turn.holds(now) else None
        row = Reading(aircraft=rotation.registration, turn=turn.number, tank=tank, percent=percent, time=read_at)
        words = tr("Enter reading of {aircraft}").format(aircraft=rotation.registration)
        self._apply(edits.add_reading(self._workspace.day, row), words)

    def _form(self, make: Callable[..., QDialog], *args: object) -> QDialog:
        return opened(make(self._workspace.day, *args, self.take, self._window))

    def zone(self, code: str | None) -> str | None:
        """The time zone of a station of the day."""
        return next((row.time_zone for row in self._workspace.day.stations if row.code == code), None)

    # warnings ---------------------------------------------------------------------------------------------

    def fix(self, caution: Caution) -> None:
        """Does what a warning proposes, and selects the service that it concerns."""
        if caution.remedy is None:
            return
        try:
            day, key = applied(self._workspace.day, caution.remedy)
        except edits.EditError as error:
            self.said.emit(tr("Not done: {reason}.").format(reason=error))
            return
        if self._apply(day, step_text(caution.remedy)) and key:
            self._workspace.select(service=key)
