"""What the window can put on paper: an aircraft's briefing page, a station's run sheets, the board."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from legtide.brief.paper import Page, PaperName
from legtide.day.document import Day
from legtide.draw.words import hhmm
from legtide.language import tr
from legtide.view.dialogs import opened
from legtide.view.printed import Printed
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.jobs import Jobs
from legtide.workspace.workspace import Workspace

if TYPE_CHECKING:
    from legtide.view.pages_dialog import Subject


class Pages(QObject):
    """Opens the previews of a window's pages."""

    said = Signal(str)

    def __init__(self, workspace: Workspace, board: BoardCanvas, jobs: Jobs, window: QWidget) -> None:
        super().__init__(window)
        self._workspace = workspace
        self._board = board
        self.printed = Printed(workspace, self)
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

        def facts(registration: str) -> Any:
            one = self._workspace.settled_projection.aircraft.get(registration)
            now = self._workspace.day
            return None if one is None else (one.rotation, now.policy, now.usage)

        subject = self._subject(day, tr("Briefing page"), tr("Aircraft"), choices, chosen, content, pages)
        self._open(subject, facts, self.show_briefing)

    def show_runs(self) -> None:
        """Opens the run sheets of the station whose local time is shown, or of the first one with trucks."""
        day, name = self._workspace.day, self._file_name()

        def content(code: str) -> Any:
            from legtide.brief.content import origin_of
            from legtide.brief.runs import run_sheets
            from legtide.plan.station import runs_at

            sheets = run_sheets(runs_at(day, code), origin_of(day, name, datetime.now(UTC)))
            if not sheets:
                raise ValueError(tr("No truck at {station} has a service to do.").format(station=code))
            return sheets

        def pages(made: Any, paper: PaperName) -> list[Page]:
            from legtide.brief.run_pages import run_pages

            return run_pages(made, paper)

        choices = tuple((row.code, f"{row.code} {row.name}".strip()) for row in day.stations if row.trucks)
        chosen = self._workspace.local_station or ""
        subject = self._subject(day, tr("Run sheets"), tr("Station"), choices, chosen, content, pages)
        self._open(subject, self._run_facts, self.show_runs)

    def _run_facts(self, code: str) -> Any:
        """What the trucks of a station do, and when, and what decides how they come there."""
        return [
            next((row for row in self._workspace.day.stations if row.code == code), None),
            *(
                (row.service, row.start, row.end)
                for one in self._workspace.settled_projection.aircraft.values()
                for row in one.services
                if row.station == code and row.service.truck is not None
            ),
        ]

    def show_board(self) -> None:
        """Opens the pages of the whole board, or of the stretch of time that is in view."""
        day, name, content_of = self._workspace.day, self._file_name(), self._board.model.content
        window = self._board.model.layout.window
        scale = self._board.model.layout.scale
        view = scale.minutes(window.left), scale.minutes(window.right)

        def content(key: str) -> Any:
            from legtide.brief.board_pages import BoardPrint
            from legtide.brief.content import origin_of

            origin = origin_of(day, name, datetime.now(UTC))
            return BoardPrint(day, content_of, origin, view if key == "view" else None)

        def pages(made: Any, paper: PaperName) -> list[Page]:
            from legtide.brief.board_pages import board_pages

            return board_pages(made, paper)

        choices = (
            ("day", tr("The whole day")),
            ("view", tr("{start} to {end} as in the window").format(start=hhmm(view[0]), end=hhmm(view[1]))),
        )
        chosen = "day" if self._board.model.viewport.whole else "view"
        subject = self._subject(day, tr("Board"), tr("Time"), choices, chosen, content, pages)
        self._open(subject, lambda _key: self._workspace.day, self.show_board)

    def _subject(
        self,
        day: Day,
        title: str,
        label: str,
        choices: tuple[tuple[str, str], ...],
        chosen: str,
        content: Any,
        pages: Any,
    ) -> Subject:
        from legtide.view.pages_dialog import Subject

        def file_name(key: str) -> str:
            plain = "".join(letter if letter.isalnum() or letter in "-_" else "_" for letter in key)
            return f"{title.split()[0].lower()}-{plain}-{day.date.isoformat()}.pdf"

        path = self._workspace.path
        folder = path.parent if path is not None and path.parent.is_dir() else Path.home()
        return Subject(title, label, choices, chosen, content, pages, file_name, folder)

    def _open(self, subject: Subject, facts: Callable[[str], Any], again: Callable[[], object]) -> None:
        """Opens a preview; what is saved or printed from it is remembered with what it says."""
        from legtide.view.pages_dialog import PagesDialog

        def made(key: str) -> None:
            words = f"{subject.title} {dict(subject.choices).get(key, key)}"
            self.printed.add(words, lambda: facts(key), again)

        dialog = PagesDialog(subject, self._jobs, self._window)
        dialog.made.connect(made)
        dialog.saved.connect(lambda name: self.said.emit(tr("Saved {name}").format(name=name)))
        opened(dialog)

    def _file_name(self) -> str:
        """The name of the day's file as a page shows it; empty when no file holds the day."""
        path = self._workspace.path
        if path is None:
            return ""
        return tr("{name} with changes not saved").format(name=path.name) if self._workspace.dirty else path.name
