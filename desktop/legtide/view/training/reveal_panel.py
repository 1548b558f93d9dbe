"""How the day came out: what followed, leg by leg, from each service that was left, missed, half done or late."""

from __future__ import annotations

from functools import partial
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from legtide.day.rotations import rotations
from legtide.draw.signs import Sign
from legtide.language import counted, tr
from legtide.play.aftermath import Aftermath, aftermaths
from legtide.play.rounds import Round
from legtide.view.icons import sign_pixmap
from legtide.view.planning_words import Places
from legtide.view.preferences import Preferences
from legtide.view.texts import menu_text, plain_label
from legtide.view.theme import Theme
from legtide.view.training.words import aftermath_title, aftermath_verdict, leg_after_text
from legtide.view.units import volume_text
from legtide.workspace.training import Training

SIGN_PX: Final = 14


class RevealPanel(QWidget):
    """Cards, the ones with breaches first."""

    chosen = Signal(str, int)
    """Registration and turn of a card."""

    def __init__(
        self, training: Training, preferences: Preferences, theme: Theme, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._training = training
        self._preferences = preferences
        self._theme = theme
        self._shown: Round | None = None
        self.found: tuple[Aftermath, ...] = ()
        self.summary = plain_label("", "strong")
        self.summary.setWordWrap(True)
        note = plain_label(
            tr(
                "The line over the bands is how it came out. Each card sets it against the same day with that "
                "service whole."
            ),
            "secondary",
        )
        note.setWordWrap(True)
        self._cards = QVBoxLayout()
        self._cards.setSpacing(8)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("How it came out"), "heading"))
        layout.addWidget(self.summary)
        layout.addWidget(note)
        layout.addLayout(self._cards)
        training.changed.connect(self.refresh)
        preferences.changed.connect(self._again)
        theme.changed.connect(self._again)
        self.refresh()

    def _again(self) -> None:
        self._shown = None
        self.refresh()

    def refresh(self) -> None:
        """Shows the cards of a round that is revealed."""
        self.setVisible(self._training.revealed)
        if not self._training.revealed or self._shown is self._training.round:
            return
        self._shown = self._training.round
        self.found = aftermaths(self._shown)
        while (item := self._cards.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        for row in self.found:
            self._cards.addWidget(self._card(row))
        breaches = sum(row.breaches for row in self.found)
        words = counted(
            len(self.found),
            "{n} service was not what it could have been",
            "{n} services were not what they could have been",
        )
        legs = counted(breaches, "{n} leg paid for it", "{n} legs paid for it")
        none = tr("Every service that was planned took place, whole and in time.")
        self.summary.setText(f"{words}; {legs}." if self.found else none)

    def _card(self, row: Aftermath) -> QFrame:
        card = QFrame(self)
        card.setObjectName("card")
        card.setProperty("kind", "act" if row.breaches else "watch")
        places = Places(self._training.round.day)
        title = plain_label(aftermath_title(row, places), "strong")
        title.setWordWrap(True)
        verdict = plain_label(aftermath_verdict(row), "small")
        verdict.setWordWrap(True)
        show = QPushButton(menu_text(tr("Show")), card)
        show.setAutoDefault(False)
        show.setAccessibleName(f"{tr('Show')}: {title.text()}")
        show.clicked.connect(partial(self.chosen.emit, row.aircraft, row.turn))
        head = QHBoxLayout()
        head.setSpacing(8)
        head.addWidget(title, 1)
        head.addWidget(show, 0, Qt.AlignmentFlag.AlignTop)
        layout = QVBoxLayout(card)
        layout.setContentsMargins(12, 8, 12, 8)
        layout.setSpacing(4)
        layout.addLayout(head)
        layout.addWidget(verdict)
        layout.addLayout(self._legs(row))
        return card

    def _legs(self, row: Aftermath) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(2, 1)
        capacity = rotations(self._training.round.day)[row.aircraft].fit.capacity_l(row.tank)

        def volume(litres: float) -> str:
            return volume_text(litres, self._preferences.unit, capacity)

        for number, leg in enumerate(row.legs):
            sign: Sign = "act" if leg.breached and not leg.would_have else "watch" if leg.breached else "settled"
            picture = QLabel()
            picture.setPixmap(sign_pixmap(sign, self._theme.colours, SIGN_PX, self.devicePixelRatioF()))
            grid.addWidget(picture, number, 0)
            grid.addWidget(plain_label(leg.flight, "small"), number, 1)
            words = leg_after_text(leg, volume)
            if leg.breached:
                words += ", " + tr("beyond the limit")
            text = plain_label(words, "small")
            text.setWordWrap(True)
            grid.addWidget(text, number, 2)
        return grid
