"""The readings of one aircraft as a table, with what becomes of each; new ones are entered and old ones deleted."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from legtide.day.document import Reading
from legtide.day.rotations import Turn
from legtide.draw.words import TANK_NAME
from legtide.language import counted, tr
from legtide.view.facts import turn_text
from legtide.view.panels.tank_detail_stages import Detail, ReadingFact
from legtide.view.panels.tank_detail_words import WHY_NOT, band_text, off_text, read_at, reading_sentence, turn_of
from legtide.view.report_rows import set_widths
from legtide.view.texts import plain_label, tooltip
from legtide.view.units import Unit, level_text

COLUMNS: Final = ("Read at", "Turn", "Tank", "Read", "Expected 5–95 %", "Off by", "Then 5–95 %", "Used")
WIDTHS: Final = (72, 190, 96, 76, 124, 104, 104)
Index = QModelIndex | QPersistentModelIndex


class ReadingsModel(QAbstractTableModel):
    """The readings of one aircraft, in the order of time."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.facts: tuple[ReadingFact, ...] = ()
        self._cells: list[tuple[str, ...]] = []
        self._sentences: list[str] = []

    def take(self, detail: Detail | None, unit: Unit) -> None:
        """Shows the readings of another state."""
        self.beginResetModel()
        self.facts = () if detail is None else detail.facts
        self._cells = [] if detail is None else [_cells(detail, fact, unit) for fact in self.facts]
        self._sentences = [] if detail is None else [reading_sentence(detail, fact, unit) for fact in self.facts]
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.facts)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return tr(COLUMNS[section])
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if role == Qt.ItemDataRole.DisplayRole:
            return self._cells[index.row()][index.column()]
        if role == Qt.ItemDataRole.ToolTipRole:
            return tooltip(self._sentences[index.row()])
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{tr(COLUMNS[index.column()])}: {self._cells[index.row()][index.column()]}"
        return None


def _cells(detail: Detail, fact: ReadingFact, unit: Unit) -> tuple[str, ...]:
    tank = fact.reading.tank
    capacity = detail.projection.curve(tank).capacity_l
    return (
        read_at(fact),
        turn_of(detail, fact),
        tr(TANK_NAME[tank]),
        level_text(fact.reading.percent, unit, capacity),
        "–" if fact.before is None else band_text(fact.before, unit, capacity),
        off_text(fact, unit, capacity),
        "–" if fact.after is None or fact.why_not else band_text(fact.after, unit, capacity),
        tr(WHY_NOT[fact.why_not]),
    )


class _Table(QTableView):
    delete_asked = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Delete:
            self.delete_asked.emit()
            return
        super().keyPressEvent(event)


class ReadingsTable(QWidget):
    """The table with its buttons. Its current row is the reading that the plots explain."""

    chosen = Signal(object)
    """The reading of the current row, or None."""
    add_asked = Signal(int)
    """Number of the turn at which a reading is to be entered."""
    delete_asked = Signal(object)
    """The reading to delete."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.model = ReadingsModel(self)
        self.table = _Table(self)
        self.turns = QComboBox(self)
        self.add = QPushButton(tr("Add reading…"), self)
        self.delete = QPushButton(tr("Delete reading"), self)
        self._count = plain_label("", "secondary")
        self._registration = ""
        self._read_only = False
        self._set_up()
        self._lay_out()
        self.add.clicked.connect(lambda: self.add_asked.emit(self.turns.currentIndex()))
        self.delete.clicked.connect(self._delete)
        self.table.delete_asked.connect(self._delete)
        self.table.selectionModel().currentRowChanged.connect(lambda now, _before: self._choose(now.row()))

    def _set_up(self) -> None:
        table = self.table
        table.setObjectName("flush")
        table.setModel(self.model)
        table.setAccessibleName(tr("Readings"))
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setShowGrid(False)
        table.setAlternatingRowColors(True)
        table.setTabKeyNavigation(False)
        table.setWordWrap(False)
        table.verticalHeader().hide()
        table.verticalHeader().setDefaultSectionSize(26)
        header = table.horizontalHeader()
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setStretchLastSection(True)
        set_widths(table, WIDTHS)
        self.turns.setAccessibleName(tr("Turn of a new reading"))
        self.turns.setMinimumWidth(180)
        for button in (self.add, self.delete):
            button.setAutoDefault(False)

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setContentsMargins(14, 8, 14, 8)
        head.setSpacing(8)
        head.addWidget(plain_label(tr("Readings"), "strong"))
        self._count.setWordWrap(True)
        head.addWidget(self._count, 1)
        for widget in (self.turns, self.add, self.delete):
            head.addWidget(widget)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addLayout(head)
        layout.addWidget(self.table, 1)

    # what is shown ----------------------------------------------------------------------------------------

    def show_detail(self, detail: Detail, unit: Unit, *, read_only: bool) -> None:
        """Shows the readings of another state; the current reading stays current if it is still there."""
        rotation = detail.projection.rotation
        same = rotation.registration == self._registration
        kept = self.current() if same else None
        if not same:
            self.turns.clear()
        self._registration, self._read_only = rotation.registration, read_only
        self.model.take(detail, unit)
        self._show_turns(rotation.turns, 1 + max((row.turn for row in rotation.readings), default=0))
        facts = detail.facts
        row = next((n for n, fact in enumerate(facts) if kept and fact.reading is kept.reading), len(facts) - 1)
        self.go_to(row)
        used = sum(not fact.why_not for fact in facts)
        self._count.setText(
            tr("none yet: read a gauge at a turn, and all later levels follow it")
            if not facts
            else tr("{all}, {used} used").format(all=counted(len(facts), "{n} reading", "{n} readings"), used=used)
        )

    def _show_turns(self, turns: tuple[Turn, ...], wanted: int) -> None:
        """Offers the turns of another aircraft, the one after the last reading first."""
        words = [f"{turn.number} · {turn_text(turn)}" for turn in turns]
        if words != [self.turns.itemText(number) for number in range(self.turns.count())]:
            self.turns.clear()
            self.turns.addItems(words)
            self.turns.setCurrentIndex(min(wanted, len(words) - 1))

    def go_to_turn(self, number: int | None) -> None:
        """Offers a turn for the next reading."""
        if number is not None and number < self.turns.count():
            self.turns.setCurrentIndex(number)

    def go_to_reading(self, reading: Reading) -> None:
        """Makes a reading's row current."""
        self.go_to(next((n for n, fact in enumerate(self.model.facts) if fact.reading is reading), -1))

    def go_to(self, row: int) -> None:
        """Makes a row current; none when it is negative."""
        if 0 <= row < self.model.rowCount():
            self.table.selectRow(row)
            self.table.scrollTo(self.model.index(row, 0))
        else:
            self.table.clearSelection()
        self._choose(row)

    def current(self) -> ReadingFact | None:
        """The reading of the current row."""
        row = self.table.currentIndex().row()
        return self.model.facts[row] if 0 <= row < len(self.model.facts) else None

    def _choose(self, row: int) -> None:
        fact = self.model.facts[row] if 0 <= row < len(self.model.facts) else None
        self.add.setEnabled(not self._read_only and self.turns.count() > 0)
        self.turns.setEnabled(self.add.isEnabled())
        self.delete.setEnabled(not self._read_only and fact is not None)
        self.chosen.emit(fact)

    def _delete(self) -> None:
        fact = self.current()
        if fact is not None and self.delete.isEnabled():
            self.delete_asked.emit(fact.reading)
