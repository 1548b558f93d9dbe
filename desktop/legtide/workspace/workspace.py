"""The workspace: the only owner of the open day.

Views read `shown` and `projection`, listen to `changed`, and hand edits in as whole new days. An edit that returns
the same object is no edit. While something is dragged (a stroke), previews are shown without being part of the
day; releasing it makes one undo step, Esc makes none.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeAlias

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from legtide.day.document import Day
from legtide.engine.types import Projection
from legtide.workspace.alternatives import Alternative, Alternatives
from legtide.workspace.commands import Swap
from legtide.workspace.open_file import OpenFile
from legtide.workspace.pacing import LatestWins
from legtide.workspace.selection import Selection, completed
from legtide.workspace.storage import Storage

Projector: TypeAlias = Callable[[Day, Projection | None], Projection]
"""Day and an earlier projection -> projection; aircraft that did not change are taken over from the earlier one."""


def _project(day: Day, previous: Projection | None) -> Projection:
    # The engine brings its numerics with it: the module is loaded when the first day is.
    from legtide.engine.projection import project

    return project(day, previous)


class Workspace(QObject):
    """Holds one day, the file it came from, what is shown of it, and the steps that can be undone."""

    changed = Signal()
    """What is shown has changed: `shown`, `projection` or `baseline`. Compare by identity what matters to you."""
    selection_changed = Signal()
    document_changed = Signal()
    """The file's path, whether it is saved, or whether it may be edited has changed."""
    edited = Signal()
    """A step was made, undone or done again."""
    alternatives_changed = Signal()
    """An alternative of the day was kept, dropped, or another one was opened."""
    now_changed = Signal()
    """The moment taken as now, or the station whose local time is shown, has changed."""

    def __init__(
        self,
        day: Day,
        *,
        project: Projector = _project,
        storage: Storage | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._project = project
        self._file = OpenFile(storage)
        self._unsaved = False
        self._day = day
        self._computed = datetime.now(UTC)
        self._settled = project(day, None)
        self._preview: Day | None = None
        self._previewed: Projection | None = None
        self._stroke: str | None = None
        self._pace = LatestWins(self)
        self._pace.due.connect(self._show_preview)
        self._kept = day
        """The day as its file holds it, or as it came."""
        self._was_dirty = False
        self._alternatives = Alternatives(day, self)
        self._undo.indexChanged.connect(self._on_step)
        self._selection = Selection()
        self._now: datetime | None = None
        self._local_station: str | None = None
        self._baseline: Projection | None = None

    @property
    def _undo(self) -> QUndoStack:
        return self._alternatives.open.stack

    def _on_step(self, _index: int) -> None:
        self.edited.emit()
        if self.dirty != self._was_dirty:
            self._tell_document()

    def _tell_document(self) -> None:
        self._was_dirty = self.dirty
        self.document_changed.emit()

    # what is shown ----------------------------------------------------------------------------------------

    @property
    def day(self) -> Day:
        """The open day, without what is merely being dragged."""
        return self._day

    @property
    def shown(self) -> Day:
        """The preview while a stroke runs, else the day."""
        return self._day if self._preview is None else self._preview

    @property
    def projection(self) -> Projection:
        """The projection of `shown`."""
        return self._settled if self._previewed is None else self._previewed

    @property
    def settled_projection(self) -> Projection:
        """The projection of `day`."""
        return self._settled

    @property
    def computed(self) -> datetime:
        """When the levels were last computed: what was entered since then is not in them, for nothing was."""
        return self._computed

    @property
    def baseline(self) -> Projection | None:
        """The projection kept to compare with."""
        return self._baseline

    def keep_baseline(self) -> None:
        """Keeps the present projection to compare with."""
        self._baseline = self._settled
        self.changed.emit()

    def drop_baseline(self) -> None:
        """Compares with nothing any more."""
        if self._baseline is not None:
            self._baseline = None
            self.changed.emit()

    # selection and time -----------------------------------------------------------------------------------

    @property
    def selection(self) -> Selection:
        """What is selected; always within the day."""
        return self._selection

    def select(
        self,
        aircraft: str | None = None,
        *,
        service: str | None = None,
        turn: int | None = None,
        leg: str | None = None,
    ) -> None:
        """Selects; fields not given are cleared, and a service or leg brings its aircraft with it."""
        self._set_selection(Selection(aircraft, service, turn, leg))

    def _set_selection(self, wanted: Selection) -> None:
        new = completed(self.shown, wanted)
        if new != self._selection:
            self._selection = new
            self.selection_changed.emit()

    @property
    def now(self) -> datetime | None:
        """The moment taken as now, in UTC; none when past and future are not told apart."""
        return self._now

    def set_now(self, moment: datetime | None) -> None:
        """Takes another moment (aware, UTC) as now."""
        if moment != self._now:
            self._now = moment
            self.now_changed.emit()

    @property
    def local_station(self) -> str | None:
        """Code of the station whose local time stands beside UTC."""
        return self._local_station

    def set_local_station(self, code: str | None) -> None:
        """Shows another station's local time beside UTC."""
        if code != self._local_station:
            self._local_station = code
            self.now_changed.emit()

    # the file ---------------------------------------------------------------------------------------------

    @property
    def storage(self) -> Storage:
        """Where days are kept."""
        return self._file.storage

    @property
    def path(self) -> Path | None:
        """The file that the day is kept in; none for a day that has none yet."""
        return self._file.path

    @property
    def digest(self) -> str | None:
        """Of the file's bytes as they were read or written last."""
        return self._file.digest

    @property
    def note(self) -> str:
        """A caution that came with the file, or nothing."""
        return self._file.note

    @property
    def read_only(self) -> bool:
        """Whether the day may only be looked at."""
        return bool(self._file.read_only_because)

    @property
    def read_only_because(self) -> str:
        """Why it may only be looked at, such as who else has it open; empty when it may be edited."""
        return self._file.read_only_because

    @property
    def dirty(self) -> bool:
        """Whether there is something that no file holds yet."""
        return self._unsaved or self._day is not self._kept

    def open(self, path: Path) -> None:
        """Opens a day file in the place of the open day; a file that another window holds opens for reading only.

        Raises StorageError; then the open day stays as it is.
        """
        self._begin(self._file.take(path), unsaved=False)

    def new(self, day: Day, *, unsaved: bool = False) -> None:
        """Takes a day that no file holds; `unsaved` when losing it would lose work."""
        self._file.leave()
        self._begin(day, unsaved=unsaved)

    def import_day(self, day: Day, text: str) -> None:
        """Takes an imported day as one undo step, apart from the file that was open: saving asks for a name."""
        self._file.leave()
        self._unsaved = True
        self.apply(day, text)
        self._tell_document()

    def reload(self) -> None:
        """Opens the file again as it is on disk now. Raises StorageError."""
        if self.path is not None:
            self.open(self.path)

    def save(self) -> None:
        """Writes the day to its file.

        Raises StorageError: NoPathError, ReadOnlyError, ChangedOutsideError when the file is not the one that was
        opened, or what the system said.
        """
        self._file.write(self._day)
        self._saved()

    def save_as(self, path: Path) -> None:
        """Writes the day to another file and goes on with that one. Raises StorageError."""
        self._file.write_as(self._day, path)
        self._saved()

    def changed_outside(self) -> bool:
        """Whether the file on disk is not the one that was opened or saved last (a file that is gone is not)."""
        return self._file.changed_outside()

    def work_on_copy(self) -> None:
        """Goes on with the day apart from its file, as when that may only be read."""
        self._file.leave()
        self._unsaved = True
        self.changed.emit()
        self._tell_document()

    def close(self) -> None:
        """Lets the file go."""
        self._file.leave()

    def _saved(self) -> None:
        self._unsaved = False
        self._kept = self._day
        self._tell_document()

    def _begin(self, day: Day, *, unsaved: bool) -> None:
        self.cancel_stroke()
        self._baseline = None
        # What was open is given up: forgetting its steps must not tell of changes in it.
        self._unsaved, self._kept = False, self._day
        self._alternatives.forget()
        self._unsaved, self._kept = unsaved, day
        self._put(day)
        self._tell_document()
        self.alternatives_changed.emit()

    # alternatives -----------------------------------------------------------------------------------------

    @property
    def alternatives(self) -> tuple[str, ...]:
        """The names of the day's alternatives, in the order in which they were kept."""
        return self._alternatives.names

    @property
    def alternative(self) -> str:
        """The name of the one that is open."""
        return self._alternatives.open.name

    @property
    def other_days(self) -> dict[str, Day]:
        """Name -> day of the alternatives that are not open."""
        return self._alternatives.others

    @property
    def loose_alternatives(self) -> tuple[str, ...]:
        """Alternatives that would be lost with the day: not open, and neither in the file nor the same as it."""
        days = (self._kept, self._day)
        return tuple(name for name, day in self.other_days.items() if all(day is not known for known in days))

    def keep_alternative(self, name: str) -> None:
        """Goes on with a copy of the day under a new name; the one that was open stays as it is.

        Raises AlternativeError when the name will not do.
        """
        self.cancel_stroke()
        self._open_alternative(self._alternatives.add(name, self._day))

    def switch_alternative(self, name: str) -> None:
        """Opens another alternative, with its own steps to undo. Raises AlternativeError."""
        self.cancel_stroke()
        wanted = self._alternatives.named(name)
        if wanted is not self._alternatives.open:
            self._open_alternative(wanted)

    def drop_alternative(self, name: str) -> None:
        """Gives up an alternative that is not open. Raises AlternativeError."""
        self._alternatives.drop(name)
        self.alternatives_changed.emit()

    def _open_alternative(self, wanted: Alternative) -> None:
        self._undo.indexChanged.disconnect(self._on_step)
        self._alternatives.open.day = self._day
        self._alternatives.open = wanted
        self._undo.indexChanged.connect(self._on_step)
        self._put(wanted.day)
        self._tell_document()
        self.alternatives_changed.emit()

    # strokes ----------------------------------------------------------------------------------------------

    @property
    def in_stroke(self) -> bool:
        """Whether something is being dragged."""
        return self._stroke is not None

    def begin_stroke(self, text: str) -> None:
        """Begins a drag; `text` names the undo step that it will make. A stroke still running is cancelled.

        Nothing can be dragged while the day is open for reading only.
        """
        self.cancel_stroke()
        self._stroke = None if self.read_only else text

    def preview(self, day: Day) -> None:
        """Shows a day that is not committed; of a burst only the last is projected. Ignored outside a stroke."""
        if self._stroke is not None:
            self._pace.offer(day)

    def _show_preview(self, day: Day) -> None:
        if day is self.shown:
            return
        previous = self.projection
        self._preview = None if day is self._day else day
        self._previewed = None if day is self._day else self._project(day, previous)
        self._set_selection(self._selection)
        self.changed.emit()

    def commit_stroke(self) -> bool:
        """Ends the drag with one undo step; False when it changed nothing."""
        if self._stroke is None:
            return False
        self._pace.flush()
        text, last = self._stroke, self.shown
        self._stroke = None
        if last is self._day:
            return False
        self._undo.push(Swap(text, self._day, last, self._put))
        return True

    def cancel_stroke(self) -> None:
        """Ends the drag and shows the day as it was."""
        self._stroke = None
        self._pace.drop()
        if self._preview is not None:
            self._preview = self._previewed = None
            self._set_selection(self._selection)
            self.changed.emit()

    # edits ------------------------------------------------------------------------------------------------

    @property
    def undo_stack(self) -> QUndoStack:
        """The steps that can be undone, for actions that follow it; edits go through `apply`."""
        return self._undo

    def apply(self, day: Day, text: str) -> bool:
        """Makes `day` the open day as one undo step; False (and no step) when it is the day already or is read only.

        A stroke still running is cancelled: `day` was made from the day, not from the preview.
        """
        self.cancel_stroke()
        if day is self._day or self.read_only:
            return False
        self._undo.push(Swap(text, self._day, day, self._put))
        return True

    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return self._undo.canUndo()

    def can_redo(self) -> bool:
        """Whether there is a step to do again."""
        return self._undo.canRedo()

    def steps_back(self) -> list[tuple[str, Day]]:
        """What the step was and the day before it, for every step that can be undone, the last one first."""
        steps = (self._undo.command(number) for number in range(self._undo.index() - 1, -1, -1))
        return [(step.text(), step.before) for step in steps if isinstance(step, Swap)]

    def undo(self) -> str | None:
        """Takes the last step back and returns its text; a stroke still running is cancelled instead."""
        return self._step(self._undo.canUndo(), self._undo.undoText(), self._undo.undo)

    def redo(self) -> str | None:
        """Does the step again that was taken back last, and returns its text."""
        return self._step(self._undo.canRedo(), self._undo.redoText(), self._undo.redo)

    def _step(self, possible: bool, text: str, step: Callable[[], Any]) -> str | None:
        if self.in_stroke:
            self.cancel_stroke()
            return None
        if not possible:
            return None
        step()
        return text

    def _put(self, day: Day) -> None:
        """Makes `day` the open day; only `Swap` and the opening of another day come here."""
        settled = self._previewed if day is self._preview else None
        self._preview = self._previewed = None
        self._settled = self._project(day, self._settled) if settled is None else settled
        self._day = day
        self._computed = datetime.now(UTC)
        self._set_selection(self._selection)
        self.changed.emit()
