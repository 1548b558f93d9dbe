"""The card of the selected turn: what is known there, and the calls that can be made."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from legtide.day.document import TANKS, Service, Tank
from legtide.day.rotations import Rotation, rotations
from legtide.draw.words import TANK_NAME, hhmm, likely
from legtide.engine.types import Spread
from legtide.language import tr
from legtide.plan.rotation.records import FILLS
from legtide.view.facts import turn_text
from legtide.view.preferences import Preferences
from legtide.view.texts import plain_label
from legtide.view.training.words import called_text
from legtide.view.units import volume_text
from legtide.workspace.training import Training

_LEAVE: Final = "leave"


class TurnCard(QFrame):
    """Buttons for both tanks and the gauges; they follow the clock, and say why when a call cannot be made."""

    service_asked = Signal(str, bool, object)
    """Tank, whether it is served, target percent or none."""
    reading_asked = Signal()

    def __init__(self, training: Training, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.setAccessibleName(tr("Turn"))
        self._training = training
        self._preferences = preferences
        self.title = plain_label("", "strong")
        self.where = plain_label("", "secondary")
        self.refusal = plain_label("", "problem")
        self.refusal.setWordWrap(True)
        self.refusal.hide()
        self._levels: dict[Tank, QLabel] = {}
        self._state: dict[Tank, QLabel] = {}
        self.buttons: dict[tuple[Tank, str], QPushButton] = {}
        self.reading = QPushButton(tr("Read the gauges"), self)
        self.reading.setAutoDefault(False)
        self.reading.clicked.connect(self.reading_asked)
        self._lay_out()
        for signal in (training.changed, training.board.selection_changed, preferences.changed):
            signal.connect(self.refresh)
        self.refresh()

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 10, 12, 10)
        layout.setSpacing(6)
        layout.addWidget(self.title)
        layout.addWidget(self.where)
        for tank in TANKS:
            layout.addSpacing(4)
            layout.addLayout(self._tank(tank))
        layout.addSpacing(4)
        layout.addWidget(self.reading)
        layout.addWidget(self.refusal)

    def _tank(self, tank: Tank) -> QVBoxLayout:
        """What is known of a tank and called for, over its buttons."""
        self._levels[tank], self._state[tank] = plain_label("", "small"), plain_label("", "secondary")
        head = QHBoxLayout()
        head.setSpacing(8)
        head.addWidget(plain_label(tr(TANK_NAME[tank]), "strong"))
        head.addStretch(1)
        head.addWidget(self._state[tank])
        self._levels[tank].setWordWrap(True)
        row = QHBoxLayout()
        row.setSpacing(4)
        for name, words in self._choices(tank):
            button = QPushButton(words, self)
            button.setCheckable(True)
            button.setAutoDefault(False)
            button.setAccessibleName(f"{tr(TANK_NAME[tank])}: {words}")
            button.clicked.connect(lambda _checked=False, tank=tank, name=name: self._press(tank, name))
            self.buttons[tank, name] = button
            row.addWidget(button)
        row.addStretch(1)
        both = QVBoxLayout()
        both.setSpacing(4)
        both.addLayout(head)
        both.addWidget(self._levels[tank])
        both.addLayout(row)
        return both

    @staticmethod
    def _choices(tank: Tank) -> list[tuple[str, str]]:
        leave = (_LEAVE, tr("Leave"))
        if tank == "waste":
            return [("0", tr("Drain")), leave]
        return [*((f"{fill:g}", f"{fill:g}\u00a0%") for fill in FILLS), leave]

    def _press(self, tank: Tank, name: str) -> None:
        self.service_asked.emit(tank, name != _LEAVE, None if name == _LEAVE else float(name))

    def refuse(self, sentence: str) -> None:
        """Says why a call cannot be made; nothing takes the words away."""
        self.refusal.setText(sentence)
        self.refusal.setVisible(bool(sentence))
        self.refresh()

    # following --------------------------------------------------------------------------------------------

    def selected(self) -> tuple[Rotation, int] | None:
        """The aircraft and turn that the card is about."""
        chosen = self._training.board.selection
        rotation = rotations(self._training.round.day).get(chosen.aircraft or "")
        if rotation is None or chosen.turn is None or chosen.turn >= len(rotation.legs):
            return None
        return rotation, chosen.turn

    def refresh(self) -> None:
        """Shows the selected turn as it stands now."""
        found = self.selected()
        self.setVisible(found is not None and not self._training.revealed)
        if found is None:
            return
        rotation, number = found
        turn, clock = rotation.turns[number], self._training.round.clock
        left = turn.end is not None and turn.end <= clock
        here = turn.start is None or turn.start <= clock
        self.title.setText(tr("{aircraft}, turn {n}").format(aircraft=rotation.registration, n=number))
        self.where.setText(f"{turn_text(turn)} · {self._when(rotation, number, left, here)}")
        for tank in TANKS:
            rows = [row for row in rotation.services if row.turn == number and row.tank == tank]
            self._levels[tank].setText(self._level(rotation.registration, number, tank))
            self._state[tank].setText(tr("called for: {what}").format(what=called_text(rows, tank)))
            self._show_buttons(tank, rows, left)
        self.reading.setEnabled(here and not left)

    def _when(self, rotation: Rotation, number: int, left: bool, here: bool) -> str:
        turn = rotation.turns[number]
        if left or turn.end is None:
            return tr("left: what was called stands")
        if not here and turn.start is not None:
            return tr("comes on blocks at {time}").format(time=hhmm(turn.start))
        minutes = (turn.end - self._training.round.clock).total_seconds() / 60.0
        return tr("leaves in {minutes} min").format(minutes=f"{minutes:.0f}")

    def _level(self, registration: str, number: int, tank: Tank) -> str:
        """The level at departure and the risk on the next leg, from what is known."""
        one = self._training.board.projection.aircraft[registration]
        leg = one.legs[number]
        spread: Spread = leg.fresh_departure if tank == "fresh" else leg.waste_departure
        risk = leg.risk_fresh_below_reserve if tank == "fresh" else leg.risk_waste_over_limit
        capacity = one.curve(tank).capacity_l
        low, mid, high = (
            volume_text(value, self._preferences.unit, capacity) for value in (spread.p05, spread.p50, spread.p95)
        )
        words = tr("{mid} at departure ({low} to {high}); next leg at risk: {risk}")
        return words.format(mid=mid, low=low, high=high, risk=likely(risk))

    def _show_buttons(self, tank: Tank, rows: list[Service], left: bool) -> None:
        settled = any(row.state in ("done", "missed") for row in rows)
        planned = next((row for row in rows if row.state in ("planned", "done")), None)
        for (other, name), button in self.buttons.items():
            if other == tank:
                button.setEnabled(not left and not settled)
                chosen = planned is None if name == _LEAVE else planned is not None and f"{planned.target:g}" == name
                button.setChecked(chosen and not any(row.state == "missed" for row in rows))
