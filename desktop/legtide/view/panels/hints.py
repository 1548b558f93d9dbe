"""Five hints for the first start, above the sentences; once closed they do not come back."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from legtide.language import tr
from legtide.view.preferences import Preferences
from legtide.view.texts import plain_label

HINTS: Final = (
    "Drag a drop or a bucket along its row: the levels follow, Esc puts it back.",
    "Click a row to open it; right-click a turn to add a service there.",
    "The sentences below say what to do by when; their buttons do it.",
    "Ctrl+K finds every command, F1 shows the keys, Ctrl+Z takes anything back.",
    "This is an invented day. Open your own schedule with Ctrl+I.",
)


class Hints(QWidget):
    """The card with the hints."""

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(tr("Hints"))
        self._preferences = preferences
        card = QFrame(self)
        card.setObjectName("accentCard")
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(card)
        layout = QVBoxLayout(card)
        layout.setContentsMargins(12, 10, 12, 10)
        layout.setSpacing(6)
        head = QHBoxLayout()
        head.addWidget(plain_label(tr("First steps"), "accentHeading"))
        head.addStretch(1)
        self.close_button = QPushButton(tr("Close"))
        self.close_button.setObjectName("link")
        self.close_button.clicked.connect(lambda: preferences.put(hints_seen=True))
        head.addWidget(self.close_button)
        layout.addLayout(head)
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        for number, hint in enumerate(HINTS):
            words = plain_label(tr(hint), "small")
            words.setWordWrap(True)
            grid.addWidget(plain_label(str(number + 1), "secondary"), number, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(words, number, 1)
        layout.addLayout(grid)
        preferences.changed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        self.setVisible(not self._preferences.settings.hints_seen)
