"""Opening, saving and importing days: the questions to be asked, and the sentences when it cannot be done."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from legtide.files.schedule_source import BOOK_SUFFIXES, TEXT_SUFFIXES
from legtide.language import tr
from legtide.shipped import demo_days
from legtide.view.chooser import Choice, Chooser
from legtide.view.dialogs import Answer, ask, opened, tell
from legtide.view.preferences import Preferences
from legtide.workspace.settings import with_recent, without_recent
from legtide.workspace.storage import ChangedOutsideError, NoPathError, ReadOnlyError, StorageError
from legtide.workspace.workspace import Workspace

DAY_SUFFIX: Final = ".day.json"
SCHEDULE_SUFFIXES: Final = (*TEXT_SUFFIXES, *BOOK_SUFFIXES)
SCHEDULE_PATTERN: Final = " ".join(f"*{suffix}" for suffix in SCHEDULE_SUFFIXES)


class Opening(QObject):
    """The file side of a window."""

    said = Signal(str)
    import_asked = Signal(object)
    """Path of a schedule that is to be imported."""
    opened = Signal()
    """Another day has been opened."""

    def __init__(self, workspace: Workspace, preferences: Preferences, window: QWidget) -> None:
        super().__init__(window)
        self._workspace = workspace
        self._preferences = preferences
        self._window = window

    # opening ----------------------------------------------------------------------------------------------

    def choose(self) -> None:
        """Asks for a file and opens it."""
        both = f"*{DAY_SUFFIX} {SCHEDULE_PATTERN}"
        self._ask_file(
            tr("Open a day or a schedule"), [tr("Days and schedules") + f" ({both})", tr("All files") + " (*)"]
        )

    def choose_schedule(self) -> None:
        """Asks for a schedule and imports it."""
        self._ask_file(
            tr("Import a schedule"), [tr("Schedules") + f" ({SCHEDULE_PATTERN})", tr("All files") + " (*)"]
        )

    def _ask_file(self, title: str, filters: list[str]) -> None:
        dialog = QFileDialog(self._window, title, str(self._folder()))
        dialog.setObjectName("openFile")
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setNameFilters(filters)
        dialog.fileSelected.connect(lambda name: self.open(Path(name)))
        opened(dialog)

    def open(self, path: Path) -> None:
        """Opens a day, or imports a schedule, after asking about unsaved changes."""
        if path.suffix.lower() in SCHEDULE_SUFFIXES:
            self.import_asked.emit(path)
        else:
            self.when_saved(lambda: self.open_now(path))

    def open_now(self, path: Path) -> bool:
        """Opens a day; says why when it cannot be opened."""
        try:
            self._workspace.open(path)
        except StorageError as error:
            self._preferences.take(without_recent(self._preferences.settings, path))
            tell(self._window, tr("{name} was not opened").format(name=path.name), str(error), kind="warn")
            return False
        self._preferences.take(with_recent(self._preferences.settings, path))
        self.said.emit(tr("Opened {name}").format(name=path.name))
        self.opened.emit()
        return True

    def open_demo(self, path: Path) -> bool:
        """Opens a copy of a demo day: it belongs to nobody, and saving asks for a name."""
        try:
            loaded = self._workspace.storage.load(path)
        except StorageError as error:
            tell(self._window, tr("{name} was not opened").format(name=path.name), str(error), kind="warn")
            return False
        self._workspace.new(loaded.day)
        self.opened.emit()
        return True

    def choose_demo(self) -> None:
        """Asks which demo day to open."""
        paths = sorted(demo_days().glob(f"*{DAY_SUFFIX}"))
        rows = [
            Choice(
                path.name.removesuffix(DAY_SUFFIX).replace("-", " ").capitalize(),
                "",
                lambda path=path: self.when_saved(lambda: self.open_demo(path)),  # type: ignore[misc]
            )
            for path in paths
        ]
        opened(Chooser(tr("Demo days"), tr("Name of a demo day"), rows, self._window))

    def choose_recent(self) -> None:
        """Asks which of the recent files to open."""
        rows = [
            Choice(Path(name).name, str(Path(name).parent), lambda name=name: self.open(Path(name)))  # type: ignore[misc]
            for name in self._preferences.settings.recent
        ]
        opened(Chooser(tr("Recent days"), tr("Name of a file"), rows, self._window))

    def _folder(self) -> Path:
        recent = self._preferences.settings.recent
        known = self._workspace.path or (Path(recent[0]) if recent else None)
        return known.parent if known is not None and known.parent.is_dir() else Path.home()

    # saving -----------------------------------------------------------------------------------------------

    def save(self, then: Callable[[], object] | None = None) -> None:
        """Saves the day, and then does something if it was saved."""
        try:
            self._workspace.save()
        except NoPathError:
            self.save_as(then)
        except ChangedOutsideError as error:
            self._ask_which(str(error), then)
        except (ReadOnlyError, StorageError) as error:
            self._not_saved(str(error), then)
        else:
            self._done(then)

    def save_as(self, then: Callable[[], object] | None = None) -> None:
        """Asks for a name and saves the day there."""
        dialog = QFileDialog(self._window, tr("Save the day"), str(self._folder()), f"{tr('Days')} (*{DAY_SUFFIX})")
        dialog.setObjectName("saveFile")
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setDefaultSuffix(DAY_SUFFIX.removeprefix("."))
        day = self._workspace.day
        dialog.selectFile(
            self._workspace.path.name if self._workspace.path else f"{day.date.isoformat()}{DAY_SUFFIX}"
        )
        dialog.fileSelected.connect(lambda name: self.save_to(Path(name), then))
        opened(dialog)

    def save_to(self, path: Path, then: Callable[[], object] | None = None) -> None:
        """Saves the day to a file."""
        if not path.name.endswith(DAY_SUFFIX):
            path = path.with_name(path.name + DAY_SUFFIX)
        try:
            self._workspace.save_as(path)
        except ChangedOutsideError as error:
            self._ask_which(str(error), then)
        except StorageError as error:
            self._not_saved(str(error), then)
        else:
            self._preferences.take(with_recent(self._preferences.settings, path))
            self._done(then)

    def _done(self, then: Callable[[], object] | None) -> None:
        path = self._workspace.path
        self.said.emit(tr("Saved {name}").format(name=path.name if path else ""))
        if then is not None:
            then()

    def _not_saved(self, reason: str, then: Callable[[], object] | None) -> None:
        ask(
            self._window,
            tr("The day was not saved"),
            reason + "\n\n" + tr("What was in the file before is still there. Your changes are kept in this window."),
            [
                Answer(tr("Save a copy elsewhere…"), lambda: self.save_as(then)),
                Answer(tr("Cancel"), role="reject"),
            ],
            kind="warn",
        )

    def _ask_which(self, reason: str, then: Callable[[], object] | None) -> None:
        ask(
            self._window,
            tr("Somebody else has saved this file"),
            reason + " " + tr("Nothing has been written. Keep your version beside theirs, or take theirs?"),
            [
                Answer(tr("Save mine as a copy…"), lambda: self.save_as(then)),
                Answer(tr("Reload theirs"), self._reload, "destroy"),
                Answer(tr("Cancel"), role="reject"),
            ],
            kind="warn",
        )

    def reload(self) -> None:
        """Opens the file as it is on disk, after asking about changes that would be lost."""
        path = self._workspace.path
        if path is not None:
            self.when_saved(lambda: self.open_now(path))

    def _reload(self) -> None:
        if self._workspace.path is not None:
            self.open_now(self._workspace.path)

    def when_saved(self, then: Callable[[], object]) -> None:
        """Does something that closes the day, after asking about changes and alternatives that no file holds yet."""

        def go_on() -> None:
            self._when_alternatives_may_go(then)

        if not self._workspace.dirty:
            go_on()
            return
        ask(
            self._window,
            tr("Save the changes?"),
            tr("{title} has changes that are in no file yet.").format(
                title=self._workspace.day.title or tr("The day")
            ),
            [
                Answer(tr("Save"), lambda: self.save(go_on)),
                Answer(tr("Discard"), go_on, "destroy"),
                Answer(tr("Cancel"), role="reject"),
            ],
        )

    def _when_alternatives_may_go(self, then: Callable[[], object]) -> None:
        """The file holds the open alternative only: the others go with the day."""
        loose = self._workspace.loose_alternatives
        if not loose:
            then()
            return
        ask(
            self._window,
            tr("Give up the other alternatives?"),
            tr("A file holds one plan. These are in none: {names}. To keep one, switch to it and save it as.").format(
                names=", ".join(tr(name) for name in loose)
            ),
            [Answer(tr("Keep the day open"), role="reject"), Answer(tr("Give them up"), then, "destroy")],
        )
