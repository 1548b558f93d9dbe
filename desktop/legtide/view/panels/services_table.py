"""All services as a table: the plan of the board for reading, sorting, the keyboard and screen readers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from PySide6.QtCore import (
    QAbstractTableModel,
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    QPoint,
    QSortFilterProxyModel,
    Qt,
    Signal,
)
from PySide6.QtGui import QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from legtide.draw.words import NBSP, TANK_SERVICE, hhmm
from legtide.engine.types import AircraftProjection, ServiceResult
from legtide.language import counted, tr
from legtide.view.copying import CopiesCells, copied_text
from legtide.view.empty import said_over
from legtide.view.preferences import Preferences
from legtide.view.report_rows import set_widths
from legtide.view.texts import cell_side, plain_label, tooltip
from legtide.view.units import volume_text
from legtide.workspace.workspace import Workspace

COLUMNS: Final = ("Start", "Aircraft", "Station", "Turn", "Service", "Before", "After", "Litres", "State", "Truck")
NUMBERS: Final = frozenset(COLUMNS.index(name) for name in ("Turn", "Before", "After", "Litres"))
Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class _Row:
    key: str
    cells: tuple[str, ...]
    order: tuple[Any, ...]
    """What each cell is sorted by."""


class ServicesModel(QAbstractTableModel):
    """The services of what is shown; rows follow by service, so that an edit does not lose the selection."""

    def __init__(self, workspace: Workspace, preferences: Preferences) -> None:
        super().__init__(workspace)
        self._workspace = workspace
        self._preferences = preferences
        self._seen: dict[str, tuple[AircraftProjection, list[_Row]]] = {}
        self.rows: list[_Row] = []
        preferences.changed.connect(self._restate)
        self.follow()

    def _restate(self) -> None:
        self._seen.clear()
        self.follow()

    def follow(self) -> None:
        """Takes over what has changed."""
        seen: dict[str, tuple[AircraftProjection, list[_Row]]] = {}
        for name, one in self._workspace.projection.aircraft.items():
            known = self._seen.get(name)
            seen[name] = known if known is not None and known[0] is one else (one, self._rows_of(one))
        self._seen = seen
        rows = [row for _, group in seen.values() for row in group]
        if [row.key for row in rows] == [row.key for row in self.rows]:
            changed = [n for n, (old, new) in enumerate(zip(self.rows, rows, strict=True)) if old is not new]
            self.rows = rows
            if changed:
                self.dataChanged.emit(self.index(changed[0], 0), self.index(changed[-1], len(COLUMNS) - 1))
            return
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def _rows_of(self, one: AircraftProjection) -> list[_Row]:
        return [self._row(one, result) for result in one.services]

    def _row(self, one: AircraftProjection, result: ServiceResult) -> _Row:
        row, unit = result.service, self._preferences.unit
        capacity = one.curve(row.tank).capacity_l
        cells = (
            "–" if result.start is None else hhmm(result.start),
            row.aircraft,
            result.station,
            str(row.turn),
            tr(TANK_SERVICE[row.tank]),
            volume_text(result.before.p50, unit, capacity),
            volume_text(result.after.p50, unit, capacity),
            f"{result.volume.p50:.0f}{NBSP}L",
            tr(row.state) + (tr(", pinned") if row.pinned else ""),
            row.truck or "",
        )
        start = 0.0 if result.start is None else result.start.timestamp()
        order = (
            start,
            *cells[1:3],
            row.turn,
            cells[4],
            result.before.p50,
            result.after.p50,
            result.volume.p50,
            *cells[8:],
        )
        return _Row(row.id, cells, order)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return tr(COLUMNS[section])
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.TextAlignmentRole:
            return cell_side(section in NUMBERS)
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row = self.rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return row.cells[index.column()]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return cell_side(index.column() in NUMBERS)
        if role == Qt.ItemDataRole.UserRole:
            return row.order[index.column()]
        if role == Qt.ItemDataRole.ToolTipRole:
            return tooltip(row.cells[index.column()])
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{tr(COLUMNS[index.column()])}: {row.cells[index.column()]}"
        return None


class _ByWords(QSortFilterProxyModel):
    def __init__(self, model: ServicesModel) -> None:
        super().__init__(model)
        self._model = model
        self._words: list[str] = []
        self.setSourceModel(model)
        self.setSortRole(Qt.ItemDataRole.UserRole)

    def narrow(self, text: str) -> None:
        self._words = text.casefold().split()
        self.invalidate()

    def filterAcceptsRow(self, source_row: int, source_parent: object) -> bool:
        text = " ".join(self._model.rows[source_row].cells).casefold()
        return all(word in text for word in self._words)

    def lessThan(self, left: Index, right: Index) -> bool:
        rows = self._model.rows
        return bool(rows[left.row()].order[left.column()] < rows[right.row()].order[right.column()])


class _Table(QTableView):
    menu_asked = Signal(QPoint)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Menu):
            place = self.visualRect(self.currentIndex()).bottomLeft()
            self.menu_asked.emit(self.viewport().mapToGlobal(place))
            return
        super().keyPressEvent(event)


class ServicesTable(QWidget):
    """The table with its filter. Its current row is the board's selection, and the other way round."""

    said = Signal(str)
    menu_asked = Signal(str, QPoint)
    """Id of the service, and where its menu is to open."""

    def __init__(self, workspace: Workspace, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workspace = workspace
        self.model = ServicesModel(workspace, preferences)
        self._shown = _ByWords(self.model)
        self.table = _Table(self)
        self.field = QLineEdit(self)
        self._count = plain_label("", "secondary")
        self._set_up()
        self.nothing = said_over(self.table)
        self.copies = CopiesCells(self.table)
        self.copies.copied.connect(lambda rows: self.said.emit(copied_text(rows)))
        self.copy = QPushButton(tr("Copy"), self)
        self.copy.setToolTip(tooltip(tr("Copy the rows that are shown as cells for a spreadsheet")))
        self.copy.clicked.connect(self.copies.copy_all)
        self._lay_out()
        self.field.textChanged.connect(self._narrow)
        self.model.modelReset.connect(self._follow)
        workspace.changed.connect(self._on_changed)
        workspace.selection_changed.connect(self._follow)
        self.table.selectionModel().currentRowChanged.connect(self._choose)
        self.table.menu_asked.connect(self._ask_menu)
        self.table.customContextMenuRequested.connect(
            lambda place: self._ask_menu(self.table.viewport().mapToGlobal(place))
        )
        self._narrow("")

    def _set_up(self) -> None:
        table = self.table
        table.setObjectName("flush")
        table.setModel(self._shown)
        table.setAccessibleName(tr("Services"))
        table.setSortingEnabled(True)
        table.sortByColumn(0, Qt.SortOrder.AscendingOrder)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setShowGrid(False)
        table.setAlternatingRowColors(True)
        table.setTabKeyNavigation(False)
        table.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        table.verticalHeader().hide()
        table.verticalHeader().setDefaultSectionSize(26)
        header = table.horizontalHeader()
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setMinimumSectionSize(48)
        header.setStretchLastSection(True)
        header.resizeSection(self.model.columnCount() - 1, 60)
        self.usual_columns()

    def usual_columns(self) -> None:
        """The widths of the first day."""
        set_widths(self.table, (78, 92, 80, 60, 122, 86, 86, 86, 124))

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setContentsMargins(14, 6, 14, 6)
        head.setSpacing(8)
        head.addWidget(plain_label(tr("Services"), "strong"))
        head.addWidget(self._count)
        head.addStretch(1)
        self.field.setPlaceholderText(tr("Filter by words"))
        self.field.setAccessibleName(tr("Filter services by words"))
        self.field.setClearButtonEnabled(True)
        self.field.setMaximumWidth(220)
        head.addWidget(self.field)
        head.addWidget(self.copy)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addLayout(head)
        layout.addWidget(self.table, 1)

    def _on_changed(self) -> None:
        if self.isVisible():
            self.model.follow()

    def showEvent(self, event: QShowEvent) -> None:
        self.model.follow()
        super().showEvent(event)

    def _narrow(self, text: str) -> None:
        self._shown.narrow(text)
        self._tell()
        self._follow()

    def _tell(self) -> None:
        shown, all_of_them = self._shown.rowCount(), self.model.rowCount()
        hidden = all_of_them - shown
        self.copy.setEnabled(shown > 0)
        self.nothing.setVisible(not shown)
        self.nothing.setText(
            tr("No service has these words.")
            if hidden
            else tr("No service yet. Select a turn on the board and press W for water, B for waste; F9 proposes all.")
        )
        if not hidden:
            self._count.setText(tr("{n} in all").format(n=all_of_them))
            return
        words = tr("{n} shown, {hidden} hidden by the filter").format(n=shown, hidden=hidden)
        open_ones = self._warnings_hidden()
        if open_ones:
            words += counted(open_ones, ", and with them one open warning", ", and with them {n} open warnings")
        self._count.setText(words)

    def _warnings_hidden(self) -> int:
        """Open warnings of aircraft that the filter leaves no row of."""
        cells = (self._shown.mapToSource(self._shown.index(row, 0)).row() for row in range(self._shown.rowCount()))
        seen = {self.model.rows[row].cells[1] for row in cells}
        gone = {row.cells[1] for row in self.model.rows} - seen
        warnings = self._workspace.settled_projection.warnings
        return sum(row.severity != "note" and row.aircraft in gone for row in warnings)

    def _follow(self) -> None:
        self._tell()
        wanted = self._workspace.selection.service
        number = next((n for n, row in enumerate(self.model.rows) if row.key == wanted), -1)
        index = self._shown.mapFromSource(self.model.index(number, 0)) if number >= 0 else QModelIndex()
        if not index.isValid():
            self.table.selectionModel().clear()
        elif index.row() != self.table.currentIndex().row():
            flags = QItemSelectionModel.SelectionFlag
            self.table.selectionModel().setCurrentIndex(index, flags.ClearAndSelect | flags.Rows)
            self.table.scrollTo(index)

    def _choose(self, current: QModelIndex, _before: QModelIndex) -> None:
        if current.isValid():
            self._workspace.select(service=self.model.rows[self._shown.mapToSource(current).row()].key)

    def _ask_menu(self, place: QPoint) -> None:
        if self._workspace.selection.service is not None:
            self.menu_asked.emit(self._workspace.selection.service, place)
