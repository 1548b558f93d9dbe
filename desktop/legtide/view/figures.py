"""The figures of a day as rows of a table: what each is, its value, unit, usual range, status and source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from pydantic import ValidationError
from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal

from legtide.day import edits
from legtide.day.assumptions import CATALOGUE, Known
from legtide.day.document import Day, Figure, Fit, Policy, Usage
from legtide.files.reasons import problems_of
from legtide.language import inside, tr
from legtide.view.preferences import Preferences
from legtide.view.readers import ReadError, figure_reader
from legtide.view.texts import cell_side, tooltip
from legtide.view.units import figure_in, figure_unit
from legtide.workspace.workspace import Workspace

COLUMNS: Final = ("Figure", "Value", "Unit", "Usual range", "Status", "Source")
FIGURE, VALUE, UNIT, USUAL, STATUS, SOURCE = range(6)
Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure of the day with what the catalogue knows of it."""

    group: str
    """`policy`, `usage` or `fit`."""
    owner: str
    """Id of the fit, else empty."""
    field: str
    known: Known
    figure: Figure

    @property
    def where(self) -> str:
        """The group in words."""
        return {"policy": tr("Policy"), "usage": tr("Usage")}.get(self.group, tr("Fit {id}").format(id=self.owner))


def figure_rows(day: Day) -> list[FigureRow]:
    """Every figure of the day: policy, usage, and each fit's."""
    rows: list[FigureRow] = []
    parts: list[tuple[str, str, Policy | Usage | Fit]] = [("policy", "", day.policy), ("usage", "", day.usage)]
    parts += [("fit", fit.id, fit) for fit in day.fits]
    for group, owner, part in parts:
        for field in type(part).model_fields:
            known, value = CATALOGUE.get(f"{group}.{field}"), getattr(part, field)
            if known is not None and isinstance(value, Figure):
                rows.append(FigureRow(group, owner, field, known, value))
    return rows


def with_figure(day: Day, row: FigureRow, figure: Figure) -> Day:
    """The day with another figure in that place. Raises pydantic.ValidationError when it cannot stand there."""
    if row.group == "fit":
        return edits.change_fit(day, row.owner, **{row.field: figure})
    return edits.set_figure(day, row.group, row.field, figure.value, figure.source, figure.status)


class FiguresModel(QAbstractTableModel):
    """The table; value and source can be edited, each edit is one undo step."""

    refused = Signal(str)
    """An edit was not taken, and why."""
    taken = Signal(str)
    """An edit was taken, and how it was read."""

    def __init__(self, workspace: Workspace, preferences: Preferences) -> None:
        super().__init__(workspace)
        self._workspace = workspace
        self._preferences = preferences
        self._day = workspace.day
        self.rows = figure_rows(self._day)
        workspace.changed.connect(self._follow)
        preferences.changed.connect(self._refresh)

    def _follow(self) -> None:
        day = self._workspace.day
        if day.policy is self._day.policy and day.usage is self._day.usage and day.fits is self._day.fits:
            return
        rows = figure_rows(day)
        same_shape = len(rows) == len(self.rows) and day.title == self._day.title
        self._day = day
        if same_shape:
            self.rows = rows
            self._refresh()
        else:
            self.beginResetModel()
            self.rows = rows
            self.endResetModel()

    def _refresh(self) -> None:
        self.dataChanged.emit(self.index(0, 0), self.index(len(self.rows) - 1, SOURCE))

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return tr(COLUMNS[section])
        if role == Qt.ItemDataRole.TextAlignmentRole and orientation == Qt.Orientation.Horizontal:
            return cell_side(section in (VALUE, USUAL))
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        editable = index.column() in (VALUE, SOURCE) and not self._workspace.read_only
        return super().flags(index) | (Qt.ItemFlag.ItemIsEditable if editable else Qt.ItemFlag.NoItemFlags)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row = self.rows[index.row()]
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole):
            return self._text(row, index.column())
        if role == Qt.ItemDataRole.ToolTipRole:
            return tooltip(f"{row.where}: {tr(row.known.label)}\n{self._text(row, SOURCE)}")
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return cell_side(index.column() in (VALUE, USUAL))
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{row.where}, {tr(row.known.label)}: {self._text(row, index.column())}"
        return None

    def _text(self, row: FigureRow, column: int) -> str:
        value, known, unit = row.figure.value, row.known, self._preferences.unit
        unusual = not known.low <= value <= known.high
        return {
            FIGURE: tr(known.label),
            VALUE: figure_in(value, known, unit) + (" !" if unusual else ""),
            UNIT: tr(own) if (own := figure_unit(known, unit)) else "",
            USUAL: f"{figure_in(known.low, known, unit)} – {figure_in(known.high, known, unit)}",
            STATUS: tr(row.figure.status),
            SOURCE: tr(row.figure.source),
        }[column]

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        row = self.rows[index.row()]
        try:
            if index.column() == VALUE:
                read = figure_reader(row.known, self._preferences.unit)(str(value).removesuffix(" !"))
                if read.value == row.figure.value or value == self._text(row, VALUE):
                    return False
                figure, said = Figure(value=read.value, source="", status="entered"), read.read_as
            else:
                if str(value).strip() == tr(row.figure.source):
                    return False
                figure = Figure(value=row.figure.value, source=str(value).strip(), status=row.figure.status)
                said = tr("source changed")
            changed = with_figure(self._workspace.day, row, figure)
        except ReadError as error:
            self.refused.emit(f"{tr(row.known.label)}: {error}")
            return False
        except ValidationError as error:
            self.refused.emit(f"{tr(row.known.label)}: {next(problems_of(error)).reason}")
            return False
        done = self._workspace.apply(changed, tr("Change {figure}").format(figure=inside(tr(row.known.label))))
        if done:
            self.taken.emit(f"{tr(row.known.label)}: {said}")
        return done
