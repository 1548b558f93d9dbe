"""Tables of a report: plain rows of plain text, such as what an import would not take and why."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from legtide.view.copying import CopiesCells
from legtide.view.texts import tooltip

_HEADING_PX: Final = 18
"""Beside the words of a heading."""

Index = QModelIndex | QPersistentModelIndex


class Rows(QAbstractTableModel):
    """Plain rows of plain text."""

    def __init__(self, headers: tuple[str, ...], parent: QWidget) -> None:
        super().__init__(parent)
        self._headers = headers
        self.rows: list[tuple[str, ...]] = []

    def put(self, rows: list[tuple[str, ...]]) -> None:
        """Shows other rows."""
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self._headers)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return self._headers[section]
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        text = self.rows[index.row()][index.column()]
        if role == Qt.ItemDataRole.DisplayRole:
            return text
        return tooltip(text) if role == Qt.ItemDataRole.ToolTipRole else None


def rows_table(model: Rows, widths: tuple[int, ...], name: str) -> QTableView:
    """A table that only shows, and can be copied; widths of all columns but the last, which takes what is left."""
    table = QTableView()
    table.setAccessibleName(name)
    CopiesCells(table)
    table.setObjectName("flush")
    table.setModel(model)
    table.setShowGrid(False)
    table.setAlternatingRowColors(True)
    table.setTabKeyNavigation(False)
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.verticalHeader().hide()
    table.verticalHeader().setDefaultSectionSize(26)
    header = table.horizontalHeader()
    header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
    set_widths(table, widths)
    header.setSectionResizeMode(model.columnCount() - 1, QHeaderView.ResizeMode.Stretch)
    return table


def set_widths(table: QTableView, widths: Sequence[int]) -> None:
    """Widths in pixels of a table's columns, the first ones; a column whose heading needs more gets it."""
    header = table.horizontalHeader()
    header.ensurePolished()
    for column, width in enumerate(widths):
        text = table.model().headerData(column, Qt.Orientation.Horizontal) or ""
        table.setColumnWidth(column, max(width, header.fontMetrics().horizontalAdvance(text) + _HEADING_PX))
