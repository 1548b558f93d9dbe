"""What a board without aircraft says: how to begin, with a button for each way."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtWidgets import QHBoxLayout, QToolButton, QVBoxLayout, QWidget

from legtide.view.actions import Registry
from legtide.view.texts import plain_label, tr
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace

WAYS: Final = ("aircraft.add", "file.import", "file.open", "file.demo")
WIDE_PX: Final = 560


class EmptyBoard(QWidget):
    """Lies in the middle of the board while the day has no aircraft."""

    def __init__(self, workspace: Workspace, board: BoardCanvas, registry: Registry) -> None:
        super().__init__(board)
        self._workspace = workspace
        self._board = board
        layout = QVBoxLayout(self)
        layout.setSpacing(12)
        layout.addWidget(plain_label(tr("No aircraft yet"), "heading"), 0, Qt.AlignmentFlag.AlignHCenter)
        about = plain_label(tr("Add the first one, take in a schedule, or look at a demo day."), "secondary")
        about.setWordWrap(True)
        about.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        layout.addWidget(about)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addStretch(1)
        for name in WAYS:
            button = QToolButton(self)
            button.setDefaultAction(registry[name])
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
            row.addWidget(button)
        row.addStretch(1)
        layout.addLayout(row)
        workspace.changed.connect(self._follow)
        board.installEventFilter(self)
        self._follow()

    def _follow(self) -> None:
        self.setVisible(not self._workspace.shown.aircraft)
        self._place()

    def _place(self) -> None:
        size = self.sizeHint()
        room = self._board.size()
        wide = min(max(size.width(), WIDE_PX), room.width())
        self.setGeometry((room.width() - wide) // 2, (room.height() - size.height()) // 2, wide, size.height())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._board and event.type() == QEvent.Type.Resize:
            self._place()
        return super().eventFilter(watched, event)
