"""Sentences as a list that wraps; choosing one shows its place on the board."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QIcon, QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QListView, QWidget

from legtide.view.planning_words import Line

Index = QModelIndex | QPersistentModelIndex
ICONS: Final = {"add": "drop", "move": "next", "change": "level", "drop": "delete"}
"""Kind of a change -> its icon; a bucket stands for an added waste service."""


class LinesModel(QAbstractListModel):
    """Lines with an icon for the kind of change."""

    def __init__(self, icon: Callable[[str], QIcon], parent: QWidget) -> None:
        super().__init__(parent)
        self._icon = icon
        self.lines: tuple[Line, ...] = ()

    def put(self, lines: tuple[Line, ...]) -> None:
        """Shows other lines."""
        self.beginResetModel()
        self.lines = lines
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.lines)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        line = self.lines[index.row()]
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return line.text
        if role == Qt.ItemDataRole.DecorationRole:
            return self._icon(ICONS[line.kind] if line.kind is not None else "caution")
        return None


class Lines(QListView):
    """The list. Enter or a click on a line asks for its place."""

    asked = Signal(object)
    """A `Line`."""

    def __init__(self, icon: Callable[[str], QIcon], name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = LinesModel(icon, self)
        self.setModel(self._model)
        self.setAccessibleName(name)
        self.setWordWrap(True)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.clicked.connect(self._ask)

    @property
    def lines(self) -> tuple[Line, ...]:
        """What is shown."""
        return self._model.lines

    def put(self, lines: tuple[Line, ...]) -> None:
        """Shows other lines."""
        self._model.put(lines)

    def _ask(self, index: QModelIndex) -> None:
        if index.isValid():
            self.asked.emit(self._model.lines[index.row()])

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._ask(self.currentIndex())
            return
        super().keyPressEvent(event)
