"""The present plan against the baseline or another alternative: a window beside the board that follows each edit."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QSize
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QDialog,
    QHBoxLayout,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from legtide.draw.words import likely
from legtide.engine.projection import project
from legtide.engine.types import Projection
from legtide.language import counted, tr
from legtide.view.panels.plan_review_figures import FiguresModel, NowAndThen
from legtide.view.planning_review import Row, compared
from legtide.view.preferences import Preferences
from legtide.view.texts import plain_label
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace

PAD_PX: Final = 12
"""Room beside the names of aircraft."""


class CompareWindow(QDialog):
    """Risk, litres, kilograms, truck minutes and cost of the baseline and of now, together and for each aircraft.

    Both are counted at the present prices and stations, so that only the plans differ.
    """

    def __init__(self, workspace: Workspace, preferences: Preferences, board: BoardCanvas, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("compare")
        self.setWindowTitle(tr("Compare"))
        self.resize(QSize(1260, 600))
        self._workspace = workspace
        self._board = board
        self.sentence = plain_label("", "strong")
        self.sentence.setWordWrap(True)
        self.figures = NowAndThen(preferences, self, (tr("before"), tr("now")))
        self.model = FiguresModel(preferences, self)
        self.table = self._table()
        self.keep = QPushButton(tr("Keep the present plan as baseline"), self)
        self.keep.setAutoDefault(False)
        self.keep.clicked.connect(workspace.keep_baseline)
        self.against = QComboBox(self)
        self.against.setAccessibleName(tr("Compare with"))
        self._projections: dict[str, Projection] = {}
        self._lay_out()
        self._shown: tuple[object, ...] = ()
        workspace.changed.connect(self.refresh)
        workspace.alternatives_changed.connect(self._fill)
        self.against.currentIndexChanged.connect(lambda _index: self._again())
        preferences.changed.connect(self._again)
        self._fill()

    def _table(self) -> QTableView:
        table = QTableView(self)
        table.setModel(self.model)
        table.setAccessibleName(tr("Aircraft, baseline and now"))
        table.setObjectName("compact")
        table.setShowGrid(False)
        table.setAlternatingRowColors(True)
        table.setTabKeyNavigation(False)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.verticalHeader().hide()
        table.verticalHeader().setDefaultSectionSize(26)
        table.selectionModel().currentRowChanged.connect(lambda index, _before: self._choose(index.row()))
        return table

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        top = QHBoxLayout()
        top.setSpacing(12)
        top.addWidget(plain_label(tr("Compare with"), "heading"))
        top.addWidget(self.against)
        top.addStretch(1)
        layout.addLayout(top)
        layout.addWidget(self.sentence)
        both = QHBoxLayout()
        both.setSpacing(12)
        both.addWidget(self.table, 1)
        self.figures.setFixedWidth(300)
        both.addWidget(self.figures)
        layout.addLayout(both, 1)
        bottom = QHBoxLayout()
        close = QPushButton(tr("Close"), self)
        close.setAutoDefault(False)
        close.clicked.connect(self.close)
        bottom.addWidget(self.keep)
        bottom.addStretch(1)
        bottom.addWidget(close)
        layout.addLayout(bottom)

    def _fill(self) -> None:
        """The baseline and the alternatives that are not open, to choose from."""
        chosen = self.against.currentData()
        self._projections = {}
        self.against.blockSignals(True)
        self.against.clear()
        self.against.addItem(tr("the baseline"), "")
        for name in self._workspace.other_days:
            self.against.addItem(tr(name), name)
        self.against.setCurrentIndex(max(self.against.findData(chosen), 0))
        self.against.blockSignals(False)
        self._again()

    def _other(self) -> Projection | None:
        """The projection to compare with."""
        name = self.against.currentData()
        if not name:
            return self._workspace.baseline
        if name not in self._projections:
            day = self._workspace.other_days[name]
            self._projections[name] = project(day, self._workspace.settled_projection)
        return self._projections[name]

    def _again(self) -> None:
        self._shown = ()
        self.refresh()

    def refresh(self) -> None:
        """Counts again, unless something is just being dragged or nothing has changed."""
        workspace = self._workspace
        parts = (self._other(), workspace.settled_projection)
        if workspace.in_stroke or (self._shown and all(a is b for a, b in zip(parts, self._shown, strict=True))):
            return
        self._shown = parts
        baseline, now = parts
        rows: tuple[Row, ...] = ()
        if baseline is not None:
            flown = {name: 0 for name, one in now.aircraft.items() if one.rotation.legs}
            rows = compared(workspace.day, baseline, now, flown)
        chosen = max(self.table.currentIndex().row(), 0)
        self.model.put(rows)
        self.table.resizeColumnsToContents()
        self.table.setColumnWidth(0, self.table.columnWidth(0) + PAD_PX)
        self.table.setVisible(bool(rows))
        self.figures.setVisible(bool(rows))
        self.sentence.setText(self._words(rows, baseline is None))
        if rows:
            self.table.selectRow(min(chosen, len(rows) - 1))
            self._show(min(chosen, len(rows) - 1))

    def _words(self, rows: tuple[Row, ...], nothing_kept: bool) -> str:
        if nothing_kept:
            return tr("There is no baseline yet. Keep the present plan, change something, and see here what it does.")
        if not rows:
            return tr("None of its aircraft flies now: there is nothing to compare.")
        one = rows[0]
        if all(row.now == row.then for row in rows):
            return tr("Nothing differs.")
        cost = one.then.account.costs.total - one.now.account.costs.total
        differing = sum(row.now != row.then for row in rows if row.registration)
        head = counted(differing, "{n} aircraft differs", "{n} aircraft differ")
        words = tr("{head}: cost {cost} price units, worst risk of a leg {risk}.")
        return words.format(head=head, cost=f"{cost:+.0f}", risk=self._risk(one))

    @staticmethod
    def _risk(row: Row) -> str:
        before, after = likely(row.now.account.worst_risk), likely(row.then.account.worst_risk)
        return after if before == after else tr("{before} → {after}").format(before=before, after=after)

    def _choose(self, number: int) -> None:
        if 0 <= number < len(self.model.rows):
            self._show(number)
            name = self.model.rows[number].registration
            if name and self.table.hasFocus():
                self._board.navigate.reveal(name)

    def _show(self, number: int) -> None:
        rows = self.model.rows
        self.figures.fill(rows[number], sum(bool(row.registration) for row in rows))
