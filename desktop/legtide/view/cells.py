"""Rows of typed cells: each cell keeps what was typed, how it was read, and what is wrong with it.

A cell that nobody touched keeps the value that it came with, whatever its text was rounded to.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal

from legtide.day.quoting import quoted
from legtide.language import tr
from legtide.view.readers import Reader, ReadError
from legtide.view.texts import tooltip

Index = QModelIndex | QPersistentModelIndex
WRONG_ROLE: Final = int(Qt.ItemDataRole.UserRole) + 1
"""Whether something is wrong with a cell."""
EMPTY_ROLE: Final = WRONG_ROLE + 1
"""Whether a cell shows what an empty one means."""
Choices = Callable[[], Mapping[Any, str]]


def worded(words: Mapping[Any, str]) -> Choices:
    """Choices of a few values, each with an English sentence that is translated when it is shown."""
    return lambda: {value: tr(text) for value, text in words.items()}


@dataclass(frozen=True, slots=True)
class Column:
    """One column: what its cells mean, and how they are read and shown."""

    name: str
    title: str
    reader: Reader | None = None
    """Of a typed cell; a cell of choices has none."""
    choices: Choices | None = None
    typed: Callable[[Any], str] = str
    """A value as the reader takes it back."""
    fresh: Any = ""
    """The text of a new row's cell, or its choice."""
    width: int = 90
    tip: str = ""
    missing: Callable[[Any], str] = lambda value: tr("{name} is not listed.").format(name=quoted(value))
    """What to say of a value that is none of the choices any more."""


@dataclass(slots=True)
class _Cell:
    text: str
    value: Any
    said: str = ""
    problem: str = ""
    touched: bool = False


@dataclass(slots=True)
class CellsRow:
    """One row of a table."""

    origin: Any
    """What it was made from; none for a new one."""
    cells: dict[str, _Cell] = field(default_factory=dict)
    known_as: str = ""
    """The last good value of its key: by this name others refer to it."""

    @property
    def touched(self) -> bool:
        """Whether a cell of it was edited."""
        return any(cell.touched for cell in self.cells.values())

    def values(self) -> dict[str, Any]:
        """Column name -> value."""
        return {name: cell.value for name, cell in self.cells.items()}


class Cells(QAbstractTableModel):
    """What a view of typed cells asks of its model."""

    edited = Signal()

    @property
    def touched(self) -> bool:
        """Whether anything is different from what it was at first."""
        raise NotImplementedError

    @property
    def entered(self) -> Any:
        """What all the cells together say."""
        raise NotImplementedError

    def problem(self, row: int, column: int) -> str:
        """What is wrong with a cell, or nothing."""
        raise NotImplementedError

    def note(self, row: int, column: int) -> str:
        """How a cell was read, or what is wrong with it."""
        raise NotImplementedError

    def try_text(self, row: int, column: int, text: str) -> tuple[str, bool]:
        """How a text would be read, or what would be wrong with it, and whether it would be wrong."""
        raise NotImplementedError

    def choices_at(self, row: int, column: int) -> Mapping[Any, str] | None:
        """What can be chosen in a cell; none where one types."""
        raise NotImplementedError

    def first_wrong(self) -> tuple[int, int] | None:
        """Row and column of the first cell with something wrong."""
        places = ((row, column) for row in range(self.rowCount()) for column in range(self.columnCount()))
        return next((place for place in places if self.problem(*place)), None)


def filled(columns: Sequence[Column], parts: Iterable[Any]) -> list[tuple[Any, dict[str, Any]]]:
    """Rows of parts of a day: what each was made from, and its fields by column."""
    return [(part, {column.name: getattr(part, column.name) for column in columns}) for part in parts]


class CellsModel(Cells):
    """The rows of one table.

    `key` names the column whose values may stand only once; `between` looks at the values of a row together and gives
    the column that does not go with the others, and why.
    """

    renamed = Signal(str, str)
    """A key was changed from one good value to another."""

    def __init__(
        self,
        columns: Sequence[Column],
        rows: Sequence[tuple[Any, Mapping[str, Any]]],
        *,
        key: str = "",
        between: Callable[[Mapping[str, Any]], tuple[str, str] | None] = lambda _values: None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.columns = tuple(columns)
        self._key = key
        self._between = between
        self.rows = [self._row(origin, values) for origin, values in rows]
        self._first = [row.origin for row in self.rows]
        self._counts: Counter[Any] = Counter()
        self._count()

    def _row(self, origin: Any, values: Mapping[str, Any] | None) -> CellsRow:
        row = CellsRow(origin)
        for column in self.columns:
            if values is None:
                cell = _Cell(column.fresh if column.choices is None else "", column.fresh, touched=True)
                self._read(column, cell)
            else:
                value = values[column.name]
                cell = _Cell("" if value is None or column.choices else column.typed(value), value)
                cell.said = self._said(column, cell.text)
            row.cells[column.name] = cell
        row.known_as = "" if values is None or not self._key else str(values[self._key])
        return row

    @staticmethod
    def _said(column: Column, text: str) -> str:
        try:
            return "" if column.reader is None else column.reader(text).read_as
        except ReadError:
            return ""

    @staticmethod
    def _read(column: Column, cell: _Cell) -> None:
        if column.reader is None:
            return
        try:
            read = column.reader(cell.text)
        except ReadError as error:
            cell.problem = str(error)
        else:
            cell.value, cell.said, cell.problem = read.value, read.read_as, ""

    def _count(self) -> None:
        self._counts = Counter(row.cells[self._key].value for row in self.rows) if self._key else Counter()

    # what a form asks -------------------------------------------------------------------------------------

    @property
    def touched(self) -> bool:
        same = len(self.rows) == len(self._first) and all(
            row.origin is first for row, first in zip(self.rows, self._first, strict=True)
        )
        return not same or any(row.touched for row in self.rows)

    def problem(self, row: int, column: int) -> str:
        what = self.columns[column]
        cell = self.rows[row].cells[what.name]
        if cell.problem:
            return cell.problem
        if what.choices is not None and cell.value not in what.choices():
            return what.missing(cell.value)
        if what.name == self._key and self._counts[cell.value] > 1:
            owner = self._owner(cell.value)
            if owner != row:
                return tr("{name} stands already in row {row}.").format(name=quoted(cell.value), row=owner + 1)
        against = self._between(self.rows[row].values())
        return against[1] if against is not None and against[0] == what.name else ""

    def _owner(self, key: Any) -> int:
        """The row that had a key first: another one with the same is wrong."""
        rows = [number for number, row in enumerate(self.rows) if row.cells[self._key].value == key]
        return next((number for number in rows if self.rows[number].known_as == key), rows[0])

    def note(self, row: int, column: int) -> str:
        return self.problem(row, column) or self.rows[row].cells[self.columns[column].name].said

    @property
    def entered(self) -> list[tuple[Any, dict[str, Any]]]:
        """What each row was made from (none for a new one), and its values by column."""
        return [(row.origin, row.values()) for row in self.rows]

    def keys(self) -> list[str]:
        """The values of the key column, in order, those that can be read."""
        cells = [row.cells[self._key] for row in self.rows]
        return [cell.value for cell in cells if cell.value and not cell.problem]

    def try_text(self, row: int, column: int, text: str) -> tuple[str, bool]:
        reader = self.columns[column].reader
        try:
            return ("" if reader is None else reader(text).read_as), False
        except ReadError as error:
            return str(error), True

    def choices_at(self, row: int, column: int) -> Mapping[Any, str] | None:
        choices = self.columns[column].choices
        return None if choices is None else choices()

    # rows -------------------------------------------------------------------------------------------------

    def add(self) -> int:
        """A new row at the end; gives its number."""
        number = len(self.rows)
        self.beginInsertRows(QModelIndex(), number, number)
        self.rows.append(self._row(None, None))
        self._count()
        self.endInsertRows()
        self.edited.emit()
        return number

    def remove(self, number: int) -> None:
        """Takes a row out."""
        self.beginRemoveRows(QModelIndex(), number, number)
        del self.rows[number]
        self._count()
        self.endRemoveRows()
        self.edited.emit()

    def follow(self, column: str, old: Any, new: Any) -> None:
        """Puts another value in the cells of a column that have the old one, as when what they name was renamed."""
        for row in self.rows:
            cell = row.cells[column]
            if cell.value == old:
                cell.value, cell.touched = new, True
        self.refresh()

    def refresh(self) -> None:
        """Shows all cells again, as when the choices are others."""
        if self.rows:
            self.dataChanged.emit(self.index(0, 0), self.index(len(self.rows) - 1, len(self.columns) - 1))

    # the toolkit's side -----------------------------------------------------------------------------------

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.columns)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if orientation == Qt.Orientation.Vertical:
            return str(section + 1) if role == Qt.ItemDataRole.DisplayRole else None
        if role == Qt.ItemDataRole.DisplayRole:
            return self.columns[section].title
        return tooltip(self.columns[section].tip) if role == Qt.ItemDataRole.ToolTipRole else None

    def flags(self, index: Index) -> Qt.ItemFlag:
        return super().flags(index) | Qt.ItemFlag.ItemIsEditable

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        column = self.columns[index.column()]
        cell = self.rows[index.row()].cells[column.name]
        if role == Qt.ItemDataRole.EditRole:
            return cell.value if column.choices is not None else cell.text
        if role == Qt.ItemDataRole.DisplayRole:
            return self._shown(column, cell, self.problem(index.row(), index.column()))
        if role == WRONG_ROLE:
            return bool(self.problem(index.row(), index.column()))
        if role == EMPTY_ROLE:
            return column.choices is None and not cell.text
        if role == Qt.ItemDataRole.ToolTipRole:
            return tooltip(self.note(index.row(), index.column()))
        if role == Qt.ItemDataRole.AccessibleTextRole:
            note = self.note(index.row(), index.column())
            return f"{column.title}: {self._shown(column, cell, '')}{'. ' if note else ''}{note}"
        return None

    @staticmethod
    def _shown(column: Column, cell: _Cell, problem: str) -> str:
        if column.choices is not None:
            text = column.choices().get(cell.value, str(cell.value))
        else:
            text = cell.text or cell.said
        return f"! {text}" if problem else text

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        column = self.columns[index.column()]
        cell = self.rows[index.row()].cells[column.name]
        if role != Qt.ItemDataRole.EditRole or value == (cell.text if column.choices is None else cell.value):
            return False
        cell.touched = True
        if column.choices is None:
            cell.text = str(value)
            self._read(column, cell)
        else:
            cell.value = value
        self._count()
        self.refresh()
        if column.name == self._key and not self.problem(index.row(), index.column()):
            self._rename(self.rows[index.row()], str(cell.value))
        self.edited.emit()
        return True

    def _rename(self, row: CellsRow, name: str) -> None:
        before, row.known_as = row.known_as, name
        if before and before != name:
            self.renamed.emit(before, name)
