"""The editor of policy and assumptions: a window beside the board, so that the levels follow each change."""

from __future__ import annotations

from PySide6.QtCore import QSize, QSortFilterProxyModel, Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QLineEdit,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from legtide.language import tr
from legtide.view.figures import FIGURE, SOURCE, STATUS, FiguresModel
from legtide.view.preferences import Preferences
from legtide.view.report_rows import set_widths
from legtide.view.texts import plain_label
from legtide.workspace.workspace import Workspace


class _Filter(QSortFilterProxyModel):
    """Rows of one group whose words hold the typed text."""

    def __init__(self, model: FiguresModel) -> None:
        super().__init__(model)
        self.setSourceModel(model)
        self._model = model
        self._where = ""
        self._words = ""

    def narrow(self, where: str, words: str) -> None:
        self._where, self._words = where, words.casefold()
        self.invalidate()

    def filterAcceptsRow(self, source_row: int, source_parent: object) -> bool:
        row = self._model.rows[source_row]
        if self._where and row.where != self._where:
            return False
        return self._words in f"{row.where} {tr(row.known.label)} {tr(row.figure.source)} {row.known.name}".casefold()


class FiguresWindow(QDialog):
    """Every figure that the numbers stand on, with its unit, usual range, status and source."""

    def __init__(self, workspace: Workspace, preferences: Preferences, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("figures")
        self.setWindowTitle(tr("Policy and assumptions"))
        self.resize(QSize(1180, 680))
        self.model = FiguresModel(workspace, preferences)
        self._filter = _Filter(self.model)
        self._said = plain_label("", "secondary")
        self._said.setWordWrap(True)
        self.where = QComboBox()
        self.words = QLineEdit()
        self.table = self._table()
        self._lay_out()
        self._fill_groups()
        self.model.modelReset.connect(self._fill_groups)
        self.model.refused.connect(lambda text: self._say(text, wrong=True))
        self.model.taken.connect(lambda text: self._say(text, wrong=False))
        self.where.currentIndexChanged.connect(lambda _index: self._narrow())
        self.words.textChanged.connect(lambda _text: self._narrow())
        self.words.setFocus()

    def _table(self) -> QTableView:
        table = QTableView()
        table.setModel(self._filter)
        table.setAccessibleName(tr("Figures"))
        table.setAlternatingRowColors(True)
        table.setShowGrid(False)
        table.setWordWrap(False)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.setTabKeyNavigation(False)
        table.verticalHeader().hide()
        table.verticalHeader().setDefaultSectionSize(30)
        header = table.horizontalHeader()
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        set_widths(table, (430, 84, 132, 124, 104))
        table.setColumnWidth(STATUS, max(table.columnWidth(STATUS), table.sizeHintForColumn(STATUS)))
        header.setSectionResizeMode(SOURCE, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(FIGURE, QHeaderView.ResizeMode.Interactive)
        return table

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("Policy and assumptions"), "heading"))
        about = plain_label(
            tr(
                "Every figure that the projection stands on. Change a value or its source in the table (F2); the "
                "board follows at once, and each change can be undone. Limits and prices are the operator's to set."
            ),
            "secondary",
        )
        about.setWordWrap(True)
        layout.addWidget(about)
        top = QHBoxLayout()
        top.setSpacing(8)
        self.where.setAccessibleName(tr("Group of figures"))
        self.where.setMinimumWidth(180)
        self.words.setPlaceholderText(tr("Filter by words"))
        self.words.setAccessibleName(tr("Filter by words"))
        self.words.setClearButtonEnabled(True)
        top.addWidget(self.where)
        top.addWidget(self.words, 1)
        layout.addLayout(top)
        layout.addWidget(self.table, 1)
        bottom = QHBoxLayout()
        bottom.addWidget(self._said, 1)
        close = QPushButton(tr("Close"))
        close.setAutoDefault(False)
        close.clicked.connect(self.close)
        bottom.addWidget(close)
        layout.addLayout(bottom)

    def _fill_groups(self) -> None:
        self.where.blockSignals(True)
        self.where.clear()
        self.where.addItem(tr("All figures"))
        self.where.addItems(list(dict.fromkeys(row.where for row in self.model.rows)))
        self.where.blockSignals(False)
        self._narrow()

    def _narrow(self) -> None:
        where = self.where.currentText() if self.where.currentIndex() > 0 else ""
        self._filter.narrow(where, self.words.text())
        shown = self._filter.rowCount()
        self._say("" if shown else tr("No figure has these words."), wrong=False)

    def _say(self, text: str, *, wrong: bool) -> None:
        self._said.setText(text)
        self._said.setObjectName("problem" if wrong else "secondary")
        self._said.style().unpolish(self._said)
        self._said.style().polish(self._said)
