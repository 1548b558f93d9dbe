"""What the window can put on paper: the briefing page of an aircraft, the run sheets of a station's trucks."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from legtide.brief.paper import Page, PaperName
from legtide.day.document import Day
from legtide.language import tr
from legtide.view.dialogs import opened
from legtide.workspace.jobs import Jobs
from legtide.workspace.workspace import Workspace


class Pages(QObject):
    """Opens the previews of a window's pages."""

    said = Signal(str)

    def __init__(self, workspace: Workspace, jobs: Jobs, window: QWidget) -> None:
        super().__init__(window)
        self._workspace = workspace
        self._jobs = jobs
        self._window = window

    def can_brief(self) -> bool:
        """Whether there is an aircraft to brief."""
        return bool(self._workspace.day.aircraft)

    def can_run(self) -> bool:
        """Whether a station has trucks."""
        return any(row.trucks for row in self._workspace.day.stations)

    def show_briefing(self) -> None:
        """Opens the briefing page of the selected aircraft, or of the first one."""
        day, name = self._workspace.day, self._file_name()

        def content(registration: str) -> Any:
            from legtide.brief.content import NoAircraftError, briefing, origin_of

            try:
                return briefing(day, registration, origin_of(day, name, datetime.now(UTC)))
            except NoAircraftError:
                raise ValueError(tr("The fit of {name} is not in the day.").format(name=registration)) from None

        def pages(made: Any, paper: PaperName) -> list[Page]:
            from legtide.brief.briefing import briefing_pages

            return briefing_pages(made, paper)

        choices = tuple((row.registration, row.registration) for row in day.aircraft)
        chosen = self._workspace.selection.aircraft or ""
        self._open(day, tr("Briefing page"), tr("Aircraft"), choices, chosen, content, pages)

    def show_runs(self) -> None:
        """Opens the run sheets of the station whose local time is shown, or of the first one with trucks."""
        day, name = self._workspace.day, self._file_name()

        def content(code: str) -> Any:
            from legtide.brief.content import origin_of
            from legtide.brief.runs import run_sheets
            from legtide.plan.station import replan_station
            from legtide.plan.stop import AfterIterations

            # The day's own plan: nothing is searched for that would be better.
            plan = replan_station(day, code, stop=AfterIterations(0))
            sheets = run_sheets(plan, origin_of(day, name, datetime.now(UTC)))
            if not sheets:
                raise ValueError(tr("No truck at {station} has a service to do.").format(station=code))
            return sheets

        def pages(made: Any, paper: PaperName) -> list[Page]:
            from legtide.brief.run_pages import run_pages

            return run_pages(made, paper)

        choices = tuple((row.code, f"{row.code} {row.name}".strip()) for row in day.stations if row.trucks)
        chosen = self._workspace.local_station or ""
        self._open(day, tr("Run sheets"), tr("Station"), choices, chosen, content, pages)

    def _open(
        self,
        day: Day,
        title: str,
        label: str,
        choices: tuple[tuple[str, str], ...],
        chosen: str,
        content: Any,
        pages: Any,
    ) -> None:
        from legtide.view.pages_dialog import PagesDialog, Subject

        def file_name(key: str) -> str:
            plain = "".join(letter if letter.isalnum() or letter in "-_" else "_" for letter in key)
            return f"{title.split()[0].lower()}-{plain}-{day.date.isoformat()}.pdf"

        path = self._workspace.path
        folder = path.parent if path is not None and path.parent.is_dir() else Path.home()
        subject = Subject(title, label, choices, chosen, content, pages, file_name, folder)
        dialog = PagesDialog(subject, self._jobs, self._window)
        dialog.saved.connect(lambda name: self.said.emit(tr("Saved {name}").format(name=name)))
        opened(dialog)

    def _file_name(self) -> str:
        """The name of the day's file as a page shows it; empty when no file holds the day."""
        path = self._workspace.path
        if path is None:
            return ""
        return tr("{name} with changes not saved").format(name=path.name) if self._workspace.dirty else path.name
