"""Sentences as a list that wraps; choosing one shows its place on the board."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QIcon, QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QListView, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from legtide.view.planning_words import Line

Index = QModelIndex | QPersistentModelIndex
ICONS: Final = {"move": "next", "change": "level", "drop": "delete", "fresh": "drop", "waste": "bucket"}
"""Tank of an added service, or kind of another change -> its icon; any other line has a caution."""
BESIDE_PX: Final = 56
"""What a line has beside its words: icon, padding, and a little to spare."""
AROUND_PX: Final = 12


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
            return self._icon(ICONS.get(line.tank or line.kind or "", "caution"))
        return None


class _Wrapping(QStyledItemDelegate):
    """Gives a line the height of its words in the width of the list: the style forgets the item's padding."""

    def __init__(self, view: QListView) -> None:
        super().__init__(view)
        self._view = view

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        room = max(self._view.viewport().width() - BESIDE_PX, 1)
        words = str(index.data(Qt.ItemDataRole.DisplayRole))
        box = self._view.fontMetrics().boundingRect(QRect(0, 0, room, 1 << 16), Qt.TextFlag.TextWordWrap, words)
        return QSize(room, box.height() + AROUND_PX)


class Lines(QListView):
    """The list. Enter or a click on a line asks for its place."""

    asked = Signal(object)
    """A `Line`."""

    def __init__(self, icon: Callable[[str], QIcon], name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = LinesModel(icon, self)
        self.setModel(self._model)
        self.setAccessibleName(name)
        self.setItemDelegate(_Wrapping(self))
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
