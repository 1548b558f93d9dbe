"""What stands where there is nothing to show: why it is empty, and what to do about it."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout

from legtide.language import tr
from legtide.view.actions import Registry
from legtide.view.texts import plain_label
from legtide.view.timeline.canvas import BoardCanvas
from legtide.view.top_bar import ActionButton
from legtide.workspace.workspace import Workspace

WIDE_PX: Final = 560
WAYS_OUT: Final = ("file.import", "aircraft.add", "file.open", "file.demo")
"""Actions that fill an empty board, the likeliest first."""


def said_over(view: QAbstractScrollArea) -> QLabel:
    """A sentence in the middle of a view; hidden until it is given words."""
    label = plain_label("", "secondary")
    label.setAlignment(Qt.AlignmentFlag.AlignCenter)
    label.setWordWrap(True)
    label.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    QVBoxLayout(view.viewport()).addWidget(label)
    label.hide()
    return label


class EmptyBoard(QFrame):
    """Lies on a board without flights."""

    def __init__(self, workspace: Workspace, board: BoardCanvas, registry: Registry) -> None:
        super().__init__(board.viewport())
        self.setObjectName("card")
        self.setMaximumWidth(WIDE_PX)
        self._workspace = workspace
        self.title = plain_label("", "heading")
        self.words = plain_label("", "")
        for label in (self.title, self.words):
            label.setWordWrap(True)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        for place, name in enumerate(WAYS_OUT):
            button = ActionButton(registry[name])
            if place:
                button.setObjectName("")
            buttons.addWidget(button)
        buttons.addStretch(1)
        inside = QVBoxLayout(self)
        inside.setContentsMargins(16, 14, 16, 14)
        inside.setSpacing(8)
        inside.addWidget(self.title)
        inside.addWidget(self.words)
        inside.addSpacing(4)
        inside.addLayout(buttons)
        around = QVBoxLayout(board.viewport())
        around.addWidget(self, 0, Qt.AlignmentFlag.AlignCenter)
        workspace.changed.connect(self.refresh)
        self.refresh()

    @property
    def buttons(self) -> list[QPushButton]:
        """The ways out."""
        return self.findChildren(QPushButton)

    def refresh(self) -> None:
        """Shows itself where the day has no flights."""
        day = self._workspace.day
        self.setVisible(not day.legs)
        if day.legs:
            return
        if day.aircraft:
            self.title.setText(tr("These aircraft have no flights yet"))
            self.words.setText(
                tr("Levels are drawn across flights: add a leg to an aircraft, or import the day's schedule.")
            )
        else:
            self.title.setText(tr("This day is empty"))
            self.words.setText(tr("Import a schedule, add an aircraft, open a day, or try one of the demo days."))
