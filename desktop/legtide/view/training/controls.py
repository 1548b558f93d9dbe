"""The bar of a round: whose it is, the clock, and what lets it run."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QFrame, QHBoxLayout, QPushButton, QWidget

from legtide.draw.words import hhmm
from legtide.language import tr
from legtide.view.texts import plain_label, tooltip
from legtide.view.theme import Theme
from legtide.view.top_bar import FittedLabel
from legtide.workspace.training import SPEEDS, Training


class Controls(QFrame):
    """Group and clock on the left; start, speed, next turn, truth and the end on the right."""

    next_asked = Signal()
    end_asked = Signal()
    round_asked = Signal()
    scores_asked = Signal()

    def __init__(self, training: Training, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("topBar")
        self._training = training
        self.group = FittedLabel("title")
        self.clock = plain_label("", "wallClock")
        self.clock.setAccessibleName(tr("Clock of the round"))
        self.start = self._button(tr("Run"), self.toggle, tr("Let the clock run, or stop it (P)"))
        self.start.setObjectName("primary")
        self.speed = QComboBox(self)
        self.speed.setAccessibleName(tr("Speed of the clock"))
        for minutes in SPEEDS:
            self.speed.addItem(tr("{n} min a second").format(n=minutes), minutes)
        self.speed.setCurrentIndex(SPEEDS.index(training.speed))
        self.speed.currentIndexChanged.connect(self._take_speed)
        self.stops = QCheckBox(tr("Stop at turns"), self)
        self.stops.setChecked(training.stops_at_turns)
        self.stops.toggled.connect(self._take_stops)
        self.next = self._button(tr("Next turn"), self.next_asked.emit, tr("To the next aircraft on blocks (N)"))
        self.truth = QPushButton(tr("Truth so far"), self)
        self.truth.setCheckable(True)
        self.truth.setAutoDefault(False)
        self.truth.setToolTip(tooltip(tr("For the trainer: how the levels came out up to now (V)")))
        self.end = self._button(
            tr("Play to the end"), self.end_asked.emit, tr("Show how it came out, score it (Ctrl+E)")
        )
        self.new = self._button(tr("New round…"), self.round_asked.emit, tr("Another group, day or turn (Ctrl+N)"))
        self.scores = self._button(tr("Scores"), self.scores_asked.emit, tr("All groups in one table (Ctrl+R)"))
        self._busy = False
        self._lay_out()
        training.changed.connect(self.refresh)
        training.running_changed.connect(self.refresh)
        training.scored.connect(self.refresh)
        self.refresh()

    def _button(self, words: str, do: object, tip: str) -> QPushButton:
        button = QPushButton(words, self)
        button.setAutoDefault(False)
        button.setToolTip(tooltip(tip))
        button.clicked.connect(lambda _checked=False: do())  # type: ignore[operator]
        return button

    def _lay_out(self) -> None:
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 6, 14, 6)
        row.setSpacing(8)
        row.addWidget(self.clock)
        row.addSpacing(6)
        row.addWidget(self.group, 1)
        for part in (self.start, self.speed, self.stops, self.next):
            row.addWidget(part)
        row.addSpacing(8)
        for part in (self.truth, self.end, self.new, self.scores):
            row.addWidget(part)

    def toggle(self) -> None:
        """Starts or stops the clock."""
        if self._training.running:
            self._training.pause()
        else:
            self._training.run()

    def show_busy(self, busy: bool) -> None:
        """Whether a score is being worked out."""
        self._busy = busy
        self.refresh()

    def _take_speed(self, place: int) -> None:
        self._training.speed = SPEEDS[place]

    def _take_stops(self, stops: bool) -> None:
        self._training.stops_at_turns = stops

    def refresh(self) -> None:
        """Shows where the round stands."""
        training = self._training
        over = training.round.over
        self.clock.setText(hhmm(training.round.clock))
        name = training.beginning.group or tr("a group without a name")
        words = tr("{group} · round {n} · day no. {seed}")
        self.group.show_text(words.format(group=name, n=training.number, seed=training.beginning.seed))
        self.start.setText(tr("Stop") if training.running else tr("Run"))
        self.start.setEnabled(not over)
        self.next.setEnabled(not over)
        self.truth.setEnabled(not training.revealed)
        self.end.setEnabled(not training.revealed)
        self.scores.setText(tr("Scoring…") if self._busy else tr("Scores"))
        self.scores.setEnabled(not self._busy)
