"""The board a second time, below the first: another stretch of the same day, with a zoom and a scroll of its own.

Both show one day and one selection. Zooming, jumping to now and the like act on the board that had the keyboard last.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QSplitter

from legtide.language import tr
from legtide.view.theme import Theme
from legtide.view.timeline.canvas import BoardCanvas
from legtide.view.timeline.navigate import Navigator
from legtide.workspace.workspace import Workspace

HOURS: Final = 6.0
"""What the second board shows at first."""


class Split(QObject):
    """Splits the board of a window in two and joins it again."""

    changed = Signal()

    def __init__(
        self,
        workspace: Workspace,
        board: BoardCanvas,
        theme: Theme,
        rows: QSplitter,
        wire: Callable[[BoardCanvas], None],
    ) -> None:
        """`wire` connects a board's signals as the window does those of the first."""
        super().__init__(rows)
        self._workspace = workspace
        self._board = board
        self._theme = theme
        self._rows = rows
        self._wire = wire
        self.second: BoardCanvas | None = None
        self._looking = board
        board.focused.connect(lambda: self._look(board))
        theme.changed.connect(self._wear)

    @property
    def shown(self) -> bool:
        """Whether there are two boards."""
        return self.second is not None

    @property
    def looking(self) -> BoardCanvas:
        """The board that had the keyboard last."""
        return self._looking

    @property
    def navigate(self) -> Navigator:
        """Where that board looks."""
        return self._looking.navigate

    def show_day(self) -> None:
        """Shows the whole day on the board that had the keyboard last."""
        self.navigate.show_day()

    def jump_to_now(self) -> bool:
        """Scrolls that board to now; False when no moment is now."""
        return self.navigate.jump_to_now()

    def zoom_to_bank(self) -> bool:
        """Zooms that board to the next bank; False when there is none."""
        return self.navigate.zoom_to_bank()

    def toggle(self) -> None:
        """Splits the board, or joins it."""
        if self.second is None:
            self._split()
        else:
            self.join()

    def _split(self) -> None:
        self.second = second = BoardCanvas(self._workspace, dark=self._theme.dark)
        second.setObjectName("secondBoard")
        second.setAccessibleName(tr("Rotation board, second view"))
        self._wire(second)
        second.focused.connect(lambda: self._look(second))
        self._board.proposed.connect(second.set_proposals)
        second.set_proposals(*self._board.proposals)
        half = self._board.height() // 2
        self._rows.insertWidget(1, second)
        self._rows.setSizes([half, half, *self._rows.sizes()[2:]])
        # One set of lanes is enough, at the bottom.
        self._board.show_lanes(False)
        second.navigate.show_hours(HOURS)
        second.setFocus()
        self.changed.emit()

    def join(self) -> None:
        """Takes the second board away."""
        second, self.second = self.second, None
        if second is None:
            return
        self._look(self._board)
        self._board.show_lanes(True)
        second.mover.cancel()
        second.hide()
        second.setParent(None)
        second.deleteLater()
        self._board.setFocus()
        self.changed.emit()

    def other(self) -> None:
        """Gives the keyboard to the other board."""
        if self.second is not None:
            (self._board if self._looking is self.second else self.second).setFocus()

    def _look(self, board: BoardCanvas) -> None:
        self._looking = board

    def _wear(self) -> None:
        if self.second is not None:
            self.second.set_dark(self._theme.dark)
