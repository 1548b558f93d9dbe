"""Importing a schedule: what would be taken, every row that would not and why, before anything is taken.

The file is opened once. Where its columns are not called as their fields are, and no answer is remembered for such
names, the user is asked for them first (`mapper_dialog`).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

from PySide6.QtCore import QDate, QSize
from PySide6.QtWidgets import (
    QComboBox,
    QDateEdit,
    QDialog,
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from legtide.day.fits import DEFAULT_FIT, FIT_IDS
from legtide.day.quoting import printable
from legtide.files.grids import Grid, TableError
from legtide.files.schedule import Imported, Options, import_source
from legtide.files.schedule_file import dates_covered
from legtide.files.schedule_rows import REQUIRED
from legtide.files.schedule_source import ScheduleSource, lacks_dates, missing, read_source
from legtide.files.strict_json import MOST_BYTES
from legtide.language import counted, tr
from legtide.view.dialogs import opened
from legtide.view.mapper_dialog import TIMES, MapperDialog, Mapping, first_guess, times_words
from legtide.view.preferences import Preferences
from legtide.view.report_rows import Rows, rows_table
from legtide.view.texts import date_text, plain_label
from legtide.workspace.jobs import Jobs, Report
from legtide.workspace.settings import ColumnLayout, layout_of, names_key, with_layout
from legtide.workspace.workspace import Workspace

TOPIC: Final = "import"
LONGEST_REMEMBERED: Final = 200
"""Characters of a column's name."""


@dataclass(frozen=True, slots=True)
class _Opened:
    """A schedule that was opened, and the dates that a schedule file covers, with their legs."""

    source: ScheduleSource
    dates: dict[date, int]


class ImportDialog(QDialog):
    """Reads a schedule in the background, again with each change of the options, and shows what came of it."""

    def __init__(
        self, workspace: Workspace, preferences: Preferences, path: Path, jobs: Jobs, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setObjectName("import")
        self.setWindowTitle(tr("Import a schedule"))
        self.resize(QSize(820, 580))
        self._workspace = workspace
        self._preferences = preferences
        self._path = path
        self._jobs = jobs
        self._source: ScheduleSource | None = None
        self._columns: dict[str, str] = {}
        self.imported: Imported | None = None
        self.fit = QComboBox()
        self.times = QComboBox()
        self.sheet = QComboBox()
        self.date = QComboBox()
        self.one_date = QDateEdit()
        self.columns = QPushButton(tr("Columns…"))
        self.summary = plain_label("", "strong")
        self.reason = plain_label("", "secondary")
        self.progress = QProgressBar()
        self.refused = Rows((tr("Place"), tr("Column"), tr("Value"), tr("Why it is not taken")), self)
        self.notes = Rows((tr("What was assumed, and what is doubtful"),), self)
        self.tabs = QTabWidget()
        self.take = QPushButton(tr("Import"))
        self._set_up()
        self._lay_out()
        self._open()

    def _set_up(self) -> None:
        for fit in FIT_IDS:
            self.fit.addItem(fit)
        self.fit.setCurrentText(DEFAULT_FIT)
        self.fit.setAccessibleName(tr("Fit of aircraft for which the schedule names none"))
        self.times.addItems(times_words())
        self.times.setAccessibleName(tr("Times are"))
        self.sheet.setAccessibleName(tr("Sheet"))
        self.date.setAccessibleName(tr("Date"))
        today = self._workspace.day.date
        self.one_date.setDate(QDate(today.year, today.month, today.day))
        self.one_date.setDisplayFormat("yyyy-MM-dd")
        self.one_date.setCalendarPopup(True)
        self.one_date.setAccessibleName(tr("Date of times that have none"))
        self.columns.setAutoDefault(False)
        self.columns.clicked.connect(lambda _checked=False: self._ask_columns())
        self.progress.setRange(0, 0)
        self.progress.setTextVisible(False)
        self.reason.setWordWrap(True)
        self.tabs.addTab(rows_table(self.refused, (150, 110, 190), tr("Rows not taken")), "")
        self.tabs.addTab(rows_table(self.notes, (), tr("Assumed and doubtful")), "")
        self.take.setDefault(True)
        self.take.clicked.connect(self._take)
        for box in (self.fit, self.times, self.date):
            box.currentIndexChanged.connect(lambda _index: self._read())
        self.one_date.dateChanged.connect(lambda _date: self._read())
        self.sheet.currentIndexChanged.connect(lambda _index: self._choose_columns())
        self.finished.connect(lambda _result: self._jobs.cancel(TOPIC))

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("Import {name}").format(name=self._path.name), "heading"))
        self._lines = [QHBoxLayout(), QHBoxLayout()]
        self._options_shown: dict[QWidget, QWidget] = {}
        """A field -> what holds it and its label."""
        for number, words, box in (
            (0, tr("Sheet"), self.sheet),
            (0, tr("Date"), self.date),
            (0, tr("Date of times that have none"), self.one_date),
            (1, tr("Times are"), self.times),
            (1, tr("Fit where none is named"), self.fit),
        ):
            label = plain_label(words, "secondary")
            label.setBuddy(box)
            self._options_shown[box] = option = QWidget()
            inside = QHBoxLayout(option)
            inside.setContentsMargins(0, 0, 12, 0)
            inside.setSpacing(8)
            inside.addWidget(label)
            inside.addWidget(box)
            self._lines[number].addWidget(option)
        self._lines[1].addWidget(self.columns)
        for line in self._lines:
            line.setSpacing(8)
            line.addStretch(1)
            layout.addLayout(line)
        for box in (self.sheet, self.date, self.one_date):
            self._show_option(box, False)
        self.columns.hide()
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

    def _show_option(self, box: QWidget, shown: bool) -> None:
        self._options_shown[box].setVisible(shown)

    # opening ----------------------------------------------------------------------------------------------

    def _open(self) -> None:
        path = self._path

        def work(report: Report) -> _Opened:
            source = read_source(_bytes(path), path.name, watch=lambda: report.progress(0, 1))
            return _Opened(source, {} if source.records is None else dates_covered(source.records))

        self._wait()
        self._jobs.start(TOPIC, work, self._on_opened, self._fail)

    def _on_opened(self, found: _Opened) -> None:
        self._source = found.source
        for box in (self.sheet, self.date):
            box.blockSignals(True)
        for day, legs in found.dates.items():
            self.date.addItem(f"{date_text(day)}  ({counted(legs, '{n} leg', '{n} legs')})", day)
        for name in found.source.sheets:
            self.sheet.addItem(printable(name), name)
        if found.source.sheets:
            chosen = found.source.table()
            self.sheet.setCurrentIndex(found.source.sheets.index(getattr(chosen, "name", "")))
        for box in (self.sheet, self.date):
            box.blockSignals(False)
        self._show_option(self.date, bool(found.dates))
        self._show_option(self.sheet, len(found.source.sheets) > 1)
        self._show_option(self.times, found.source.records is None)
        self._choose_columns()

    def _table(self) -> Grid | None:
        """The table that is chosen; none in a schedule file."""
        if self._source is None or self._source.records is not None:
            return None
        return self._source.table(str(self.sheet.currentData() or ""))

    def _choose_columns(self) -> None:
        """Takes what is remembered of such columns, or asks, or does neither where their names say it all."""
        table = self._table()
        self.columns.setVisible(table is not None)
        if table is None:
            self._read()
            return
        known = layout_of(self._preferences.settings, table.header)
        self._columns = dict(known.columns) if known is not None else {}
        if known is not None:
            self._put_times(Mapping({}, known.times))
        self._read()
        can = sum(bool(name) for name in table.header) >= len(REQUIRED)
        if can and (missing(table, self._columns) or (known is None and lacks_dates(table, {}))):
            self._ask_columns()

    def _ask_columns(self) -> None:
        table = self._table()
        if table is None:
            return
        named = {name.lower(): name for name in table.header}
        times = TIMES[self.times.currentIndex()]
        guess = first_guess(table, times)
        start = Mapping({**guess.columns, **self._columns}, times if self._columns else guess.times)
        start = Mapping({field: named.get(name.lower(), name) for field, name in start.columns.items()}, start.times)
        opened(MapperDialog(table, start, self._options(), self._use_columns, self))

    def _use_columns(self, mapping: Mapping) -> None:
        self._columns = mapping.columns
        self._put_times(mapping)
        self._remember()
        self._read()

    def _put_times(self, mapping: Mapping) -> None:
        self.times.blockSignals(True)
        self.times.setCurrentIndex(TIMES.index(mapping.times))
        self.times.blockSignals(False)

    def _remember(self) -> None:
        """Keeps what the columns are for the next schedule with the same names."""
        table = self._table()
        times = TIMES[self.times.currentIndex()]
        if table is None or (not self._columns and times == "zoned"):
            return
        if any(len(name) > LONGEST_REMEMBERED for name in self._columns.values()):
            return
        layout = ColumnLayout(names=names_key(table.header), columns=self._columns, times=times)
        self._preferences.take(with_layout(self._preferences.settings, layout))

    # reading ----------------------------------------------------------------------------------------------

    def _options(self) -> Options:
        table = self._table()
        undated = table is not None and lacks_dates(table, self._columns)
        self._show_option(self.one_date, undated)
        one = self.one_date.date()
        return Options(
            fit=self.fit.currentText(),
            times=TIMES[self.times.currentIndex()],
            title=self._path.stem,
            day=date(one.year(), one.month(), one.day()) if undated else self.date.currentData(),
            columns=self._columns,
            sheet=str(self.sheet.currentData() or ""),
        )

    def _read(self) -> None:
        source = self._source
        if source is None:
            return
        options = self._options()

        def work(report: Report) -> Imported:
            report.progress(0, 1)
            return import_source(source, options)

        self._wait()
        self._jobs.start(TOPIC, work, self._show, self._fail)

    def _wait(self) -> None:
        self.imported = None
        self.take.setEnabled(False)
        self.progress.show()
        self.summary.setText(tr("Reading…"))
        self.reason.setText("")

    def _show(self, imported: Imported) -> None:
        self.imported = imported
        day = imported.day
        self.progress.hide()
        self.take.setEnabled(True)
        self.summary.setText(
            tr("{legs} of {aircraft} on {date}, {stations}").format(
                legs=counted(len(day.legs), "{n} leg", "{n} legs"),
                aircraft=counted(len(day.aircraft), "1 aircraft", "{n} aircraft"),
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
        self.refused.put(
            [(row.places.cell(row.line, row.column), row.column, row.value, row.reason) for row in imported.rejected]
        )
        self.notes.put([(note,) for note in (*imported.notes, *(row.message for row in imported.cautions))])
        self._name_tabs(1 if refused == 0 else 0)

    def _fail(self, error: BaseException) -> None:
        self.progress.hide()
        self.summary.setText(tr("The schedule cannot be taken"))
        if isinstance(error, TableError):
            self.reason.setText(tr("What is wrong, by place:"))
            self.refused.put([(problem.place, "", "", problem.reason) for problem in error.problems])
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
            self._remember()
            self._workspace.import_day(self.imported.day, tr("Import {name}").format(name=self._path.name))
            self.accept()


def _bytes(path: Path) -> bytes:
    """The bytes of a file up to the size that is read. Raises OSError."""
    with path.open("rb") as file:
        data = file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise OSError(tr("{name} is too large to be a schedule.").format(name=path.name))
    return data
