"""The scores of a class in one table: what came out, what was risked, and what such calls cost on average."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QDialog, QFileDialog, QHBoxLayout, QPushButton, QTableView, QVBoxLayout, QWidget

from legtide.files.atomic import SaveError, replace_file
from legtide.files.day_content import content_checksum
from legtide.files.day_file import DayFileError, read_bytes
from legtide.files.tables import csv_bytes, workbook_bytes
from legtide.language import tr
from legtide.play.report import score_table
from legtide.play.results import ResultsError, read_results, results_bytes, results_of, score_of
from legtide.play.scoring import Line, Score
from legtide.view.dialogs import opened, tell
from legtide.view.report_rows import Index, Rows
from legtide.view.texts import plain_label
from legtide.view.training.words import judgement_text, money, outcome_text, player_text, with_error
from legtide.workspace.training import Training

SUFFIX: Final = ".results.json"
PAD_PX: Final = 18
FIGURES: Final = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class ScoreRows(Rows):
    """Rows whose figures stand at the right."""

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() > 0:
            return FIGURES
        return super().data(index, role)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if role == Qt.ItemDataRole.TextAlignmentRole and orientation == Qt.Orientation.Horizontal:
            return FIGURES if section > 0 else Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        return super().headerData(section, orientation, role)


class ScoreWindow(QDialog):
    """One line for each group, the cheapest on average first, then what they are set against."""

    def __init__(self, training: Training, folder: Path, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("scores")
        self.setWindowTitle(tr("Training: scores"))
        self.resize(QSize(1120, 520))
        self._training = training
        self._folder = folder
        headers = (
            *(tr("Group"), tr("Services"), tr("Breaches"), tr("Came out"), tr("Risk accepted"), tr("Risked")),
            *(tr("On average"), tr("Over the best plan"), tr("Luck")),
        )
        self.model = ScoreRows(headers, self)
        self.scores: list[Score] = []
        self.outcome = plain_label("", "strong")
        self.judgement = plain_label("", "strong")
        for label in (self.outcome, self.judgement):
            label.setWordWrap(True)
        self.note = plain_label("", "secondary")
        self.note.setWordWrap(True)
        self.table = self._table()
        self._lay_out()
        training.scored.connect(self.refresh)
        self.refresh()

    def _table(self) -> QTableView:
        table = QTableView(self)
        table.setModel(self.model)
        table.setAccessibleName(tr("Scores"))
        table.setShowGrid(False)
        table.setAlternatingRowColors(True)
        table.setTabKeyNavigation(False)
        table.setSelectionBehavior(QTableView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QTableView.SelectionMode.SingleSelection)
        table.verticalHeader().hide()
        table.verticalHeader().setDefaultSectionSize(26)
        table.selectionModel().currentRowChanged.connect(lambda index, _before: self._tell(index.row()))
        return table

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("Scores"), "heading"))
        layout.addWidget(self.outcome)
        layout.addWidget(self.judgement)
        layout.addWidget(self.table, 1)
        layout.addWidget(self.note)
        row = QHBoxLayout()
        row.setSpacing(8)
        self.export = self._button(tr("Export the table…"), self._ask_table)
        self.save = self._button(tr("Save results…"), self._ask_results)
        row.addWidget(self.export)
        row.addWidget(self.save)
        row.addWidget(self._button(tr("Open results…"), self._ask_open))
        row.addStretch(1)
        row.addWidget(self._button(tr("Close"), self.close))
        layout.addLayout(row)

    def _button(self, words: str, do: object) -> QPushButton:
        button = QPushButton(words, self)
        button.setAutoDefault(False)
        button.clicked.connect(do)
        return button

    # following --------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Shows all results."""
        found = [score_of(row) for row in self._training.results]
        self.scores = sorted(found, key=lambda row: (row.group.average.mean, row.group.player))
        lines = [row.group for row in self.scores]
        lines += self.scores[0].references if self.scores else ()
        self.model.put([_cells(line) for line in lines])
        self.table.resizeColumnsToContents()
        for column in range(self.model.columnCount()):
            self.table.setColumnWidth(column, self.table.columnWidth(column) + PAD_PX)
        for button in (self.export, self.save):
            button.setEnabled(bool(self.scores))
        if self.scores:
            words = tr(
                "Costs in price units: services, fuel for the mass, {price} for each breach. Averages over {n} "
                "sampled days that would have read the same, ± one standard error; the lines below the groups are "
                "set against the first of them. Brier score of the risks at departure: {brier} (0 best, 1 worst)."
            )
            price = money(self._training.day.policy.price_breach.value)
            best = self.scores[0]
            self.note.setText(words.format(price=price, n=best.days, brier=f"{best.brier:.3f}"))
            self.table.selectRow(0)
        else:
            self.note.setText(tr("Nobody has been scored yet: play a round to its end."))
        self._tell(0)

    def _tell(self, row: int) -> None:
        known = 0 <= row < len(self.scores)
        self.outcome.setVisible(known)
        self.judgement.setVisible(known)
        if known:
            found = self.scores[row]
            self.outcome.setText(f"{player_text(found.group)}: {outcome_text(found)}")
            self.judgement.setText(judgement_text(found))

    # files ------------------------------------------------------------------------------------------------

    def _ask(self, title: str, kinds: str, suffix: str, name: str, take: object) -> None:
        dialog = QFileDialog(self, title, str(self._folder), kinds)
        dialog.setObjectName("saveScores")
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setDefaultSuffix(suffix)
        dialog.selectFile(name)
        dialog.fileSelected.connect(take)
        opened(dialog)

    def _ask_table(self) -> None:
        kinds = f"{tr('Excel workbook')} (*.xlsx);;{tr('CSV')} (*.csv)"
        name = f"scores-{self._training.day.date.isoformat()}.xlsx"
        self._ask(tr("Export the table"), kinds, "xlsx", name, lambda chosen: self.export_to(Path(chosen)))

    def _ask_results(self) -> None:
        name = f"class-{self._training.day.date.isoformat()}{SUFFIX}"
        kinds = f"{tr('Results')} (*{SUFFIX})"
        self._ask(tr("Save results"), kinds, SUFFIX[1:], name, lambda chosen: self.save_to(Path(chosen)))

    def _ask_open(self) -> None:
        dialog = QFileDialog(self, tr("Open results"), str(self._folder), f"{tr('Results')} (*{SUFFIX} *.json)")
        dialog.setObjectName("openScores")
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.fileSelected.connect(lambda chosen: self.open_from(Path(chosen)))
        opened(dialog)

    def export_to(self, path: Path) -> None:
        """Writes the table as a workbook or as CSV, by the name's ending; says why when that cannot be done."""
        table = score_table(self.scores)
        self._write(path, csv_bytes(table) if path.suffix.lower() == ".csv" else workbook_bytes([table]))

    def save_to(self, path: Path) -> bool:
        """Writes the results; says why when that cannot be done."""
        done = self._write(path, results_bytes(results_of(self._training.day, self._training.results)))
        self._training.unsaved = self._training.unsaved and not done
        return done

    def _write(self, path: Path, data: bytes) -> bool:
        try:
            replace_file(path, data)
        except SaveError as error:
            tell(self, tr("{name} was not written").format(name=path.name), str(error), kind="warn")
            return False
        return True

    def open_from(self, path: Path) -> None:
        """Shows the results of a file in the place of those that there are; says why when they cannot be read."""
        title = tr("{name} was not opened").format(name=path.name)
        try:
            found = read_results(read_bytes(path))
        except (DayFileError, ResultsError) as error:
            tell(self, title, str(error), kind="warn")
            return
        if found.day_sha256 != content_checksum(self._training.day):
            words = tr("These results belong to another day, or to this one before it was changed: {title}")
            tell(self, title, words.format(title=found.title), kind="warn")
            return
        self._training.put_results(found.groups)


def _cells(line: Line) -> tuple[str, ...]:
    def shown(value: float | None, form: str = ".0f") -> str:
        return "" if value is None else format(value, form)

    return (
        player_text(line),
        shown(line.services),
        shown(line.breaches),
        money(line.came_out),
        shown(line.risk, ".2f"),
        shown(line.risked),
        with_error(line.average.mean, line.average.error),
        with_error(line.over_best.mean, line.over_best.error, signed=True),
        f"{line.luck:+.0f}",
    )
