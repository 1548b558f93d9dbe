"""Importing a schedule: what would be taken, every row that would not and why, before anything is taken."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QSize
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from legtide.day.fits import DEFAULT_FIT, FIT_IDS
from legtide.files.schedule import Imported, Options, ScheduleError, import_schedule
from legtide.files.strict_json import MOST_BYTES
from legtide.view.report_rows import Rows, rows_table
from legtide.view.texts import counted, date_text, plain_label, tr
from legtide.workspace.jobs import Jobs, Report
from legtide.workspace.workspace import Workspace

TOPIC: Final = "import"


class ImportDialog(QDialog):
    """Reads a schedule in the background, again with each change of the options, and shows what came of it."""

    def __init__(self, workspace: Workspace, path: Path, jobs: Jobs, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("import")
        self.setWindowTitle(tr("Import a schedule"))
        self.resize(QSize(760, 560))
        self._workspace = workspace
        self._path = path
        self._jobs = jobs
        self.imported: Imported | None = None
        self.fit = QComboBox()
        self.times = QComboBox()
        self.summary = plain_label("", "strong")
        self.reason = plain_label("", "secondary")
        self.progress = QProgressBar()
        self.refused = Rows((tr("Line"), tr("Column"), tr("Value"), tr("Why it is not taken")), self)
        self.notes = Rows((tr("What was assumed, and what is doubtful"),), self)
        self.tabs = QTabWidget()
        self.take = QPushButton(tr("Import"))
        self._set_up()
        self._lay_out()
        self._read()

    def _set_up(self) -> None:
        for fit in FIT_IDS:
            self.fit.addItem(fit)
        self.fit.setCurrentText(DEFAULT_FIT)
        self.fit.setAccessibleName(tr("Fit of aircraft for which the schedule names none"))
        self.times.addItems([tr("with their zone"), tr("local to the station")])
        self.times.setAccessibleName(tr("Times are"))
        self.progress.setRange(0, 0)
        self.progress.setTextVisible(False)
        self.reason.setWordWrap(True)
        self.tabs.addTab(rows_table(self.refused, (60, 110, 190), tr("Rows not taken")), "")
        self.tabs.addTab(rows_table(self.notes, (), tr("Assumed and doubtful")), "")
        self.take.setDefault(True)
        self.take.clicked.connect(self._take)
        for box in (self.fit, self.times):
            box.currentIndexChanged.connect(lambda _index: self._read())
        self.finished.connect(lambda _result: self._jobs.cancel(TOPIC))

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("Import {name}").format(name=self._path.name), "heading"))
        options = QHBoxLayout()
        options.setSpacing(8)
        for words, box in ((tr("Times are"), self.times), (tr("Fit where none is named"), self.fit)):
            label: QLabel = plain_label(words, "secondary")
            label.setBuddy(box)
            options.addWidget(label)
            options.addWidget(box)
            options.addSpacing(12)
        options.addStretch(1)
        layout.addLayout(options)
        for widget in (self.summary, self.reason, self.progress):
            layout.addWidget(widget)
        layout.addWidget(self.tabs, 1)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        hint = plain_label(tr("Taking it is one step that can be undone; no file is written."), "fine")
        buttons.addWidget(hint, 1)
        cancel = QPushButton(tr("Cancel"))
        cancel.setAutoDefault(False)
        cancel.clicked.connect(self.reject)
        buttons.addWidget(cancel)
        buttons.addWidget(self.take)
        layout.addLayout(buttons)

    # reading ----------------------------------------------------------------------------------------------

    def _read(self) -> None:
        options = Options(fit=self.fit.currentText(), local=self.times.currentIndex() == 1, title=self._path.stem)
        path = self._path

        def work(report: Report) -> Imported:
            report.progress(0, 1)
            return import_schedule(_bytes(path), options)

        self.imported = None
        self.take.setEnabled(False)
        self.progress.show()
        self.summary.setText(tr("Reading…"))
        self.reason.setText("")
        self._jobs.start(TOPIC, work, self._show, self._fail)

    def _show(self, imported: Imported) -> None:
        self.imported = imported
        day = imported.day
        self.progress.hide()
        self.take.setEnabled(True)
        self.summary.setText(
            tr("{legs} of {aircraft} on {date}, {stations}").format(
                legs=counted(len(day.legs), "{n} leg", "{n} legs"),
                aircraft=counted(len(day.aircraft), "{n} aircraft", "{n} aircraft"),
                date=date_text(day.date),
                stations=counted(len(day.stations), "{n} station", "{n} stations"),
            )
        )
        refused = len(imported.rejected)
        self.reason.setText(
            counted(refused, "{n} row would not be taken:", "{n} rows would not be taken:")
            if refused
            else tr("Every row would be taken.")
        )
        self.refused.put([(str(row.line), row.column, row.value, row.reason) for row in imported.rejected])
        self.notes.put([(note,) for note in (*imported.notes, *(row.message for row in imported.cautions))])
        self._name_tabs(1 if refused == 0 else 0)

    def _fail(self, error: BaseException) -> None:
        self.progress.hide()
        self.summary.setText(tr("The schedule cannot be taken"))
        if isinstance(error, ScheduleError):
            self.reason.setText(tr("What is wrong, by place:"))
            self.refused.put([("", problem.place, "", problem.reason) for problem in error.problems])
        else:
            self.reason.setText(str(error))
            self.refused.put([])
        self.notes.put([])
        self._name_tabs(0)

    def _name_tabs(self, current: int) -> None:
        self.tabs.setTabText(0, tr("Rows not taken ({n})").format(n=self.refused.rowCount()))
        self.tabs.setTabText(1, tr("Assumed and doubtful ({n})").format(n=self.notes.rowCount()))
        self.tabs.setCurrentIndex(current)

    def _take(self) -> None:
        if self.imported is not None:
            self._workspace.import_day(self.imported.day, tr("Import {name}").format(name=self._path.name))
            self.accept()


def _bytes(path: Path) -> bytes:
    """The bytes of a file up to the size that is read. Raises OSError."""
    with path.open("rb") as file:
        data = file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise OSError(tr("{name} is too large to be a schedule.").format(name=path.name))
    return data
