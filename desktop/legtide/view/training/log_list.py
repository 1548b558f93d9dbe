"""Which aircraft are on the ground now, and what has happened: two short lists whose lines lead to their place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from legtide.day.rotations import rotations
from legtide.draw.signs import Sign
from legtide.draw.words import hhmm
from legtide.language import tr
from legtide.play.rounds import openings
from legtide.view.icons import sign_pixmap
from legtide.view.planning_words import Places
from legtide.view.texts import menu_text, plain_label
from legtide.view.theme import Theme
from legtide.view.training.words import event_text
from legtide.workspace.training import Training

SHOWN: Final = 60
SIGN_PX: Final = 14


@dataclass(frozen=True, slots=True)
class Entry:
    """One line: words, their place, and a sign where something went wrong."""

    head: str
    text: str
    aircraft: str
    turn: int
    sign: Sign | None = None


class _Line(QWidget):
    def __init__(self, page: EntryList) -> None:
        super().__init__(page)
        self._page = page
        self.entry: Entry | None = None
        self.sign = QLabel(self)
        self.sign.setFixedWidth(SIGN_PX + 2)
        self.head = QPushButton(self)
        self.head.setObjectName("link")
        self.head.setAutoDefault(False)
        self.head.clicked.connect(self._go)
        self.words = plain_label("", "small")
        self.words.setWordWrap(True)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.sign)
        layout.addWidget(self.head)
        layout.addWidget(self.words, 1)

    def fill(self, entry: Entry, theme: Theme) -> None:
        self.entry = entry
        self.head.setText(menu_text(entry.head))
        self.words.setText(entry.text)
        self.head.setAccessibleName(f"{entry.head}: {entry.text}")
        if entry.sign is None:
            self.sign.clear()
        else:
            self.sign.setPixmap(sign_pixmap(entry.sign, theme.colours, SIGN_PX, self.devicePixelRatioF()))

    def _go(self) -> None:
        if self.entry is not None:
            self._page.chosen.emit(self.entry.aircraft, self.entry.turn)


class EntryList(QWidget):
    """A heading over lines; lines are made once and filled again."""

    chosen = Signal(str, int)
    """Registration and turn of a line."""

    def __init__(self, title: str, empty: str, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._lines: list[_Line] = []
        self.entries: tuple[Entry, ...] = ()
        self._empty = plain_label(empty, "secondary")
        self._empty.setWordWrap(True)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(2)
        self._layout.addWidget(plain_label(title, "section"))
        self._layout.addWidget(self._empty)
        theme.changed.connect(self._fill)

    def put(self, entries: Iterable[Entry]) -> None:
        """Shows other lines, the first of them at the top."""
        new = tuple(entries)[:SHOWN]
        if new != self.entries:
            self.entries = new
            self._fill()

    def _fill(self) -> None:
        while len(self._lines) < len(self.entries):
            line = _Line(self)
            self._lines.append(line)
            self._layout.addWidget(line)
        for place, line in enumerate(self._lines):
            line.setVisible(place < len(self.entries))
            if place < len(self.entries):
                line.fill(self.entries[place], self._theme)
        self._empty.setVisible(not self.entries)


def on_the_ground(training: Training) -> list[Entry]:
    """The turns that are open now, the one that leaves first at the top."""
    round_, known, places = training.round, rotations(training.round.day), Places(training.round.day)
    found = []
    for row in openings(round_):
        turn = known[row.aircraft].turns[row.turn]
        if row.time <= round_.clock and turn.end is not None and turn.end > round_.clock:
            words = tr("{station}, leaves {time}").format(station=places.station(turn.station), time=hhmm(turn.end))
            found.append((turn.end, Entry(row.aircraft, words, row.aircraft, row.turn)))
    return [entry for _, entry in sorted(found, key=lambda pair: (pair[0], pair[1].aircraft))]


def happened(training: Training) -> list[Entry]:
    """What the class got to know, the newest at the top."""
    known, places = rotations(training.round.day), Places(training.round.day)
    signs: dict[str, Sign] = {"missed": "watch", "dry": "act", "full": "act"}
    return [
        Entry(
            f"{hhmm(row.time)} {row.aircraft}",
            event_text(row, places, known[row.aircraft]),
            row.aircraft,
            row.turn,
            signs.get(row.kind),
        )
        for row in reversed(training.round.events)
    ]
