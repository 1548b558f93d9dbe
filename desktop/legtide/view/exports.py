"""What the window writes for other programs: tables for a spreadsheet, and the calls for services as a calendar."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from legtide.files.atomic import SaveError, replace_file
from legtide.language import tr
from legtide.view.chooser import Choice, Chooser
from legtide.view.dialogs import opened, tell
from legtide.workspace.jobs import Jobs, Report
from legtide.workspace.workspace import Workspace

TOPIC: Final = "export"
Make = Callable[[], bytes]


class Exports(QObject):
    """Asks what to write and where, makes it in the background, and writes it whole or not at all."""

    said = Signal(str)

    def __init__(self, workspace: Workspace, jobs: Jobs, window: QWidget) -> None:
        super().__init__(window)
        self._workspace = workspace
        self._jobs = jobs
        self._window = window

    def can_write(self) -> bool:
        """Whether there is anything to put into a table."""
        return bool(self._workspace.day.aircraft)

    # tables -----------------------------------------------------------------------------------------------

    def choose_table(self) -> None:
        """Asks which table to write."""
        rows = [Choice(tr("Plan, levels and warnings"), tr("Excel workbook"), lambda: self.ask_table("", "xlsx"))]
        for name, words in (("plan", tr("Plan")), ("levels", tr("Levels")), ("warnings", tr("Warnings"))):
            rows += [
                Choice(words, tr("Excel workbook"), lambda name=name: self.ask_table(name, "xlsx")),  # type: ignore[misc]
                Choice(words, tr("CSV"), lambda name=name: self.ask_table(name, "csv")),  # type: ignore[misc]
            ]
        opened(Chooser(tr("Save a table"), tr("Name of a table"), rows, self._window))

    def ask_table(self, name: str, kind: str) -> None:
        """Asks where to write a table, or all of them in one workbook where it has no name."""
        day = self._workspace.day
        stem = f"{name or 'tables'}-{day.date.isoformat()}"
        words = tr("Excel workbooks") if kind == "xlsx" else tr("CSV files")

        def make() -> bytes:
            from legtide.engine.projection import project
            from legtide.files.tables import TABLES, csv_bytes, workbook_bytes

            projection = project(day)
            tables = [made(projection) for key, made in TABLES.items() if name in ("", key)]
            return csv_bytes(tables[0]) if kind == "csv" else workbook_bytes(tables)

        self._ask_file(tr("Save a table"), words, f"{stem}.{kind}", make)

    # calls ------------------------------------------------------------------------------------------------

    def choose_calls(self) -> None:
        """Asks whose calls to write as a calendar."""
        station, aircraft = self._workspace.local_station, self._workspace.selection.aircraft
        rows = [Choice(tr("All calls of the day"), "", self.ask_calls)]
        if station is not None:
            words = tr("Calls at {station}").format(station=station)
            rows.append(Choice(words, tr("station shown"), lambda: self.ask_calls(station=station)))
        if aircraft is not None:
            words = tr("Calls for {aircraft}").format(aircraft=aircraft)
            rows.append(Choice(words, tr("selected"), lambda: self.ask_calls(aircraft=aircraft)))
        opened(Chooser(tr("Save calls as a calendar"), tr("Whose calls"), rows, self._window))

    def ask_calls(self, *, station: str | None = None, aircraft: str | None = None) -> None:
        """Asks where to write the calls: all of them, those at a station, or those for an aircraft."""
        day = self._workspace.day
        which = "".join(letter if letter.isalnum() or letter in "-_" else "_" for letter in station or aircraft or "")
        name = "-".join(part for part in ("calls", which, day.date.isoformat()) if part)

        def make() -> bytes:
            from legtide.engine.projection import project
            from legtide.files.calls_calendar import calls_calendar

            return calls_calendar(project(day), datetime.now(UTC), aircraft=aircraft, station=station)

        self._ask_file(tr("Save calls as a calendar"), tr("Calendars"), f"{name}.ics", make)

    # files ------------------------------------------------------------------------------------------------

    def _ask_file(self, title: str, words: str, name: str, make: Make) -> None:
        path = self._workspace.path
        folder = path.parent if path is not None and path.parent.is_dir() else Path.home()
        suffix = Path(name).suffix
        dialog = QFileDialog(self._window, title, str(folder), f"{words} (*{suffix})")
        dialog.setObjectName("saveExport")
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setDefaultSuffix(suffix.removeprefix("."))
        dialog.selectFile(name)
        dialog.fileSelected.connect(lambda chosen: self.write(Path(chosen), make))
        opened(dialog)

    def write(self, path: Path, make: Make) -> None:
        """Makes the content and writes it; says when it is done, or why it cannot be."""

        def work(report: Report) -> None:
            content = make()
            report.progress(1, 1)
            replace_file(path, content)

        def fail(error: BaseException) -> None:
            if not isinstance(error, SaveError | OSError):
                raise error
            tell(self._window, tr("{name} was not written").format(name=path.name), str(error), kind="warn")

        self._jobs.start(TOPIC, work, lambda _done: self.said.emit(tr("Saved {name}").format(name=path.name)), fail)
