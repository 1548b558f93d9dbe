"""Windows beside the board come back as they were left: their size, and the widths of their tables' columns."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QSize
from PySide6.QtWidgets import QTableView, QWidget

from legtide.view.preferences import Preferences


class Keeping(QObject):
    """Gives a window its last size when it is made, and keeps the size that it is closed with."""

    def __init__(self, window: QWidget, preferences: Preferences, tables: Sequence[QTableView] = ()) -> None:
        """`window`: known by its object name. `tables`: known by their place in the sequence."""
        super().__init__(window)
        self._window = window
        self._preferences = preferences
        self._tables = tuple(tables)
        self._restore()
        window.installEventFilter(self)

    def _name(self, place: int) -> str:
        return f"{self._window.objectName()}.{place}"

    def _restore(self) -> None:
        settings = self._preferences.settings
        size = settings.sizes.get(self._window.objectName())
        if size is not None:
            room = self._window.screen().availableSize()
            self._window.resize(QSize(*size).boundedTo(room))
        for place, table in enumerate(self._tables):
            for column, width in enumerate(settings.columns.get(self._name(place), ())):
                table.setColumnWidth(column, width)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        # A dialog that is accepted or left is hidden, and closed only where its frame was used.
        if event.type() == QEvent.Type.Hide and not event.spontaneous():
            self.keep()
        return False

    def keep(self) -> None:
        """Remembers how the window is now."""
        settings, window = self._preferences.settings, self._window
        columns = dict(settings.columns)
        for place, table in enumerate(self._tables):
            columns[self._name(place)] = tuple(map(table.columnWidth, range(table.model().columnCount())))
        sizes = {**settings.sizes, window.objectName(): (window.width(), window.height())}
        self._preferences.put(sizes=sizes, columns=columns)
