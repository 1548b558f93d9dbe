"""What a proposal comes to, now and then: one aircraft or all together, and the aircraft one below the other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QWidget

from legtide.draw.words import NBSP, likely
from legtide.language import tr
from legtide.view.preferences import Preferences
from legtide.view.texts import cell_side, plain_label, tooltip
from legtide.view.units import Unit, volume_text

if TYPE_CHECKING:
    from legtide.view.planning_review import Row, Side

Index = QModelIndex | QPersistentModelIndex
ARROW: Final = "→"


@dataclass(frozen=True, slots=True)
class Measure:
    """One figure of a plan."""

    words: str
    short: str
    """Head of its column."""
    value: Callable[[Side], float]
    text: Callable[[float, Unit], str]


def _whole(value: float, _unit: Unit) -> str:
    return f"{value:.0f}"


MEASURES: Final = (
    Measure("Services", "Services", lambda side: side.account.services, _whole),
    Measure("Cost, price units", "Cost", lambda side: side.account.costs.total, _whole),
    Measure(
        "Worst risk of a leg", "Worst risk", lambda side: side.account.worst_risk, lambda value, _: likely(value)
    ),
    Measure("Filled", "Filled", lambda side: side.account.filled_l, volume_text),
    Measure("Drained", "Drained", lambda side: side.account.drained_l, volume_text),
    Measure(
        "Fuel to carry it",
        "Fuel",
        lambda side: side.account.costs.fuel_kg,
        lambda value, _: f"{value:.0f}{NBSP}kg",
    ),
    Measure("Truck minutes at aircraft", "Truck min", lambda side: side.truck_min, _whole),
    Measure("Without a truck", "No truck", lambda side: side.truckless, _whole),
    Measure("Open warnings", "Warnings", lambda side: side.warnings, _whole),
)
"""In the order in which they are shown."""


class NowAndThen(QFrame):
    """Every measure of one row, now and then."""

    def __init__(
        self, preferences: Preferences, parent: QWidget | None = None, heads: tuple[str, str] | None = None
    ) -> None:
        """`heads`: what the two columns are called; "now" and "then" where nothing is said."""
        super().__init__(parent)
        self.setObjectName("paper")
        self._heads = heads if heads is not None else (tr("now"), tr("then"))
        self._preferences = preferences
        self._name = plain_label("", "strong")
        grid = QGridLayout(self)
        grid.setContentsMargins(12, 8, 12, 8)
        grid.setHorizontalSpacing(18)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(0, 1)
        grid.addWidget(self._name, 0, 0)
        for column, words in enumerate(self._heads, start=1):
            grid.addWidget(_right(words, "secondary"), 0, column)
        self._cells: list[tuple[QLabel, QLabel]] = []
        for number, measure in enumerate(MEASURES, start=1):
            cells = (_right("", "secondary"), _right("", "strong"))
            grid.addWidget(plain_label(tr(measure.words), "small"), number, 0)
            for column, label in enumerate(cells, start=1):
                grid.addWidget(label, number, column)
            self._cells.append(cells)

    def fill(self, row: Row, aircraft: int) -> None:
        """Shows a row; `aircraft` is how many are compared."""
        unit = self._preferences.unit
        name = row.registration or tr("{n} aircraft together").format(n=aircraft)
        self._name.setText(name)
        said = []
        for measure, (now, then) in zip(MEASURES, self._cells, strict=True):
            texts = [measure.text(measure.value(side), unit) for side in (row.now, row.then)]
            now.setText(texts[0])
            then.setText(texts[1])
            before, after = (f"{head} {text}" for head, text in zip(self._heads, texts, strict=True))
            said.append(f"{tr(measure.words)}: {before}, {after}")
        words = tr("{name}, {before} and {after}")
        self.setAccessibleName(words.format(name=name, before=self._heads[0], after=self._heads[1]))
        self.setAccessibleDescription("; ".join(said))

    def texts(self) -> list[tuple[str, str, str]]:
        """What stands in each line: measure, now, then."""
        return [(m.words, a.text(), b.text()) for m, (a, b) in zip(MEASURES, self._cells, strict=True)]


def _right(text: str, name: str) -> QLabel:
    label = plain_label(text, name)
    label.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    return label


class FiguresModel(QAbstractTableModel):
    """A line for all together and one for each aircraft; what does not change stands once."""

    def __init__(self, preferences: Preferences, parent: QWidget) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.rows: tuple[Row, ...] = ()

    def put(self, rows: tuple[Row, ...]) -> None:
        """Shows other rows."""
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else 1 + len(MEASURES)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return tr("Aircraft") if section == 0 else tr(MEASURES[section - 1].short)
        if role == Qt.ItemDataRole.TextAlignmentRole and orientation == Qt.Orientation.Horizontal:
            return cell_side(section > 0)
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row = self.rows[index.row()]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return cell_side(index.column() > 0)
        if role not in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return None
        text = row.registration or tr("Together") if index.column() == 0 else self._cell(row, index.column() - 1)
        return text if role == Qt.ItemDataRole.DisplayRole else tooltip(text)

    def _cell(self, row: Row, column: int) -> str:
        measure = MEASURES[column]
        now, then = (measure.text(measure.value(side), self._preferences.unit) for side in (row.now, row.then))
        if now == then:
            return now
        value, _, unit = now.rpartition(NBSP)
        # The unit stands once: "1779 → 1777 L".
        return f"{value if value and then.endswith(NBSP + unit) else now} {ARROW} {then}"
