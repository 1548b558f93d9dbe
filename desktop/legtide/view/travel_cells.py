"""Minutes between the places of a station as cells: one figure both ways; an empty cell takes the usual."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QObject, Qt

from legtide.day.document import Travel
from legtide.language import tr
from legtide.view.cells import EMPTY_ROLE, WRONG_ROLE, Cells, Index
from legtide.view.readers import Reader, ReadError
from legtide.view.texts import tooltip
from legtide.view.units import plain

Pair = tuple[str, str]


@dataclass(slots=True)
class _Drive:
    text: str
    minutes: float | None
    problem: str = ""


def _pair(one: str, other: str) -> Pair:
    return (one, other) if one <= other else (other, one)


class TravelCells(Cells):
    """Rows and columns are the places. `usual` gives the minutes where nothing is entered."""

    def __init__(
        self,
        places: Sequence[str],
        travel: Sequence[Travel],
        reader: Reader,
        usual: Callable[[], str],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.places = list(places)
        self._reader = reader
        self._usual = usual
        self._given = tuple(travel)
        self._touched = False
        self._drives = {
            _pair(*row.between): _Drive(f"{plain(row.minutes)} min", row.minutes)
            for row in travel
            if row.between[0] != row.between[1]
        }

    # following the table of places ------------------------------------------------------------------------

    def set_places(self, places: Sequence[str]) -> None:
        """The places as they are now; minutes to those that are gone go with them when the form is taken."""
        if list(places) != self.places:
            self.beginResetModel()
            self.places = list(places)
            self.endResetModel()

    def rename(self, old: str, new: str) -> None:
        """A place has another id; its minutes follow."""
        moved = {pair: drive for pair, drive in self._drives.items() if old in pair}
        for pair, drive in moved.items():
            del self._drives[pair]
            other = pair[1] if pair[0] == old else pair[0]
            self._drives[_pair(new, other)] = drive
        self._touched |= bool(moved)

    # what a form asks -------------------------------------------------------------------------------------

    @property
    def touched(self) -> bool:
        known = set(self.places)
        return self._touched or any(not known.issuperset(row.between) for row in self._given)

    @property
    def entered(self) -> tuple[Travel, ...]:
        """The minutes entered between places that are there, in the order of the places."""
        rank = {name: number for number, name in enumerate(self.places)}
        found = []
        for pair, drive in self._drives.items():
            if drive.minutes is not None and rank.keys() >= set(pair):
                first, second = sorted(pair, key=rank.__getitem__)
                found.append((rank[first], rank[second], Travel(between=(first, second), minutes=drive.minutes)))
        return tuple(row for *_, row in sorted(found, key=lambda one: one[:2]))

    def _drive(self, row: int, column: int) -> _Drive | None:
        return self._drives.get(_pair(self.places[row], self.places[column]))

    def first_wrong(self) -> tuple[int, int] | None:
        rank = {name: number for number, name in enumerate(self.places)}
        wrong = [pair for pair, drive in self._drives.items() if drive.problem and rank.keys() >= set(pair)]
        return min(((rank[one], rank[other]) for one, other in wrong), default=None)

    def problem(self, row: int, column: int) -> str:
        drive = self._drive(row, column)
        return "" if drive is None else drive.problem

    def note(self, row: int, column: int) -> str:
        if row == column:
            return ""
        drive = self._drive(row, column)
        if drive is not None and drive.problem:
            return drive.problem
        minutes = self._usual() if drive is None or drive.minutes is None else f"{plain(drive.minutes)} min"
        words = tr("{one} – {other}: {minutes}, both ways")
        return words.format(one=self.places[row], other=self.places[column], minutes=minutes)

    def try_text(self, row: int, column: int, text: str) -> tuple[str, bool]:
        if not text.strip():
            return tr("the usual: {minutes}").format(minutes=self._usual()), False
        try:
            return self._reader(text).read_as, False
        except ReadError as error:
            return str(error), True

    def choices_at(self, row: int, column: int) -> None:
        return None

    # the toolkit's side -----------------------------------------------------------------------------------

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.places)

    def columnCount(self, parent: Index | None = None) -> int:
        return self.rowCount(parent)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        return self.places[section] if role == Qt.ItemDataRole.DisplayRole else None

    def flags(self, index: Index) -> Qt.ItemFlag:
        if index.row() == index.column():
            return Qt.ItemFlag.NoItemFlags
        return super().flags(index) | Qt.ItemFlag.ItemIsEditable

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row, column = index.row(), index.column()
        drive = self._drive(row, column)
        empty = drive is None or not drive.text
        if role == Qt.ItemDataRole.EditRole:
            return "" if drive is None else drive.text
        if role == Qt.ItemDataRole.DisplayRole:
            if row == column:
                return "–"
            if drive is None or empty:
                return self._usual()
            return f"! {drive.text}" if drive.problem else drive.text
        if role == WRONG_ROLE:
            return bool(self.problem(row, column))
        if role == EMPTY_ROLE:
            return empty
        if role == Qt.ItemDataRole.ToolTipRole:
            return tooltip(self.note(row, column))
        return self.note(row, column) if role == Qt.ItemDataRole.AccessibleTextRole else None

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        if role != Qt.ItemDataRole.EditRole or value == index.data(Qt.ItemDataRole.EditRole):
            return False
        drive = _Drive(str(value).strip(), None)
        if drive.text:
            try:
                drive.minutes = self._reader(drive.text).value
            except ReadError as error:
                drive.problem = str(error)
        self._drives[_pair(self.places[index.row()], self.places[index.column()])] = drive
        self._touched = True
        other = self.index(index.column(), index.row())
        for one in (index, other):
            self.dataChanged.emit(one, one)
        self.edited.emit()
        return True
