"""Going to a place on the board: aircraft and flights by name, warnings one after another."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QDialog, QWidget

from legtide.draw.words import hhmm
from legtide.engine.types import Caution
from legtide.language import tr
from legtide.view.chooser import Choice, Chooser
from legtide.view.dialogs import opened
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace


class Places(QObject):
    """Moves the board to what was asked for."""

    said = Signal(str)

    def __init__(self, workspace: Workspace, board: BoardCanvas, window: QWidget) -> None:
        super().__init__(window)
        self._workspace = workspace
        self._board = board
        self._window = window
        self._last: Caution | None = None

    def show(self, caution: Caution) -> None:
        """Shows the place that a warning speaks of."""
        self._last = caution
        go = self._board.navigate
        if caution.remedy is not None and caution.remedy.service_id and go.reveal_service(caution.remedy.service_id):
            return
        turn = caution.remedy.turn if caution.remedy is not None and caution.remedy.turn >= 0 else caution.turn
        if turn >= 0 and go.reveal_turn(caution.aircraft, turn):
            return
        if not go.reveal(caution.aircraft):
            self.said.emit(tr("This warning has no place on the board."))

    def step(self, direction: int, aircraft: str | None = None) -> None:
        """Shows the next (or the last) open warning, of one aircraft if it is named."""
        rows = [row for row in self._workspace.settled_projection.warnings if row.severity != "note" and row.aircraft]
        if aircraft is not None:
            rows = [row for row in rows if row.aircraft == aircraft]
        if not rows:
            self.said.emit(tr("No open warning."))
            return
        here = rows.index(self._last) if self._last in rows else (-1 if direction > 0 else len(rows))
        number = (here + direction) % len(rows)
        self.show(rows[number])
        words = tr("Warning {n} of {all}: {message}")
        self.said.emit(words.format(n=number + 1, all=len(rows), message=rows[number].message))

    def select_leg(self) -> None:
        """Selects the leg after the selected turn; after the last turn, the leg before it."""
        chosen = self._workspace.selection
        one = self._workspace.projection.aircraft.get(chosen.aircraft or "")
        legs = () if one is None else one.rotation.legs
        if legs and chosen.turn is not None:
            self._board.navigate.reveal_leg(legs[min(chosen.turn, len(legs) - 1)].id)
            self._board.setFocus()

    def find(self) -> QDialog:
        """Asks for an aircraft or a flight, and goes there."""
        day = self._workspace.day
        rows = [
            Choice(row.registration, row.fit, lambda name=row.registration: self._board.navigate.reveal(name))  # type: ignore[misc]
            for row in day.aircraft
        ]
        rows += [
            Choice(
                f"{leg.flight}  {leg.origin} – {leg.destination}",
                f"{leg.aircraft}  {hhmm(leg.std)}",
                lambda leg=leg: self._show_leg(leg.aircraft, leg.id),  # type: ignore[misc]
            )
            for leg in day.legs
        ]
        return opened(Chooser(tr("Find"), tr("Aircraft, flight or station"), rows, self._window))

    def _show_leg(self, aircraft: str, leg_id: str) -> None:
        one = self._workspace.projection.aircraft.get(aircraft)
        legs = () if one is None else one.rotation.legs
        turn = next((n for n, leg in enumerate(legs) if leg.id == leg_id), None)
        if turn is not None:
            self._board.navigate.reveal_turn(aircraft, turn)
        self._workspace.select(leg=leg_id)

    def choose_station(self) -> QDialog:
        """Asks for the station whose local time stands beside UTC."""
        rows = [Choice(tr("None: UTC alone"), "", lambda: self._workspace.set_local_station(None))]
        rows += [
            Choice(
                f"{row.code}  {row.name}".strip(),
                row.time_zone,
                lambda code=row.code: self._workspace.set_local_station(code),  # type: ignore[misc]
            )
            for row in self._workspace.day.stations
        ]
        return opened(Chooser(tr("Local time"), tr("Station"), rows, self._window))
