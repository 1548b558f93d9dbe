"""The one undo command: it puts one frozen day in the place of another."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QUndoCommand

from legtide.day.document import Day


class Swap(QUndoCommand):
    """Replaces the open day by `after`; undone, by `before`.

    Days are frozen and share what they have in common, so keeping both costs no more than the change.
    """

    def __init__(self, text: str, before: Day, after: Day, put: Callable[[Day], None]) -> None:
        super().__init__(text)
        self._before = before
        self._after = after
        self._put = put

    @property
    def before(self) -> Day:
        """The day that it replaced."""
        return self._before

    def redo(self) -> None:
        self._put(self._after)

    def undo(self) -> None:
        self._put(self._before)
