"""The workspace's storage on the file layer: its errors as sentences, its locks by path."""

from __future__ import annotations

import logging
from pathlib import Path

from legtide.day.document import Day
from legtide.files import day_file, locks
from legtide.files.atomic import SaveError
from legtide.language import tr
from legtide.workspace.storage import ChangedOutsideError, Loaded, ReadOnlyError, StorageError

_log = logging.getLogger(__name__)


class DayFiles:
    """Day files on disk."""

    def __init__(self) -> None:
        self._locks: dict[Path, locks.Lock] = {}

    def load(self, path: Path) -> Loaded:
        """Reads a day. Raises StorageError with every problem and its place."""
        try:
            found = day_file.load(path)
        except day_file.DayFileError as error:
            raise StorageError(str(error)) from error
        return Loaded(found.day, found.sha256, " ".join(caution.message for caution in found.cautions))

    def save(self, day: Day, path: Path, opened: str | None = None) -> str:
        """Writes a day and returns the file's digest. Raises StorageError."""
        lock = self._locks.get(path)
        if lock is not None and not lock.is_ours():
            holder = locks.holder_of(path)
            if holder is not None:
                raise ReadOnlyError(tr("{file} has been taken over by {who}.").format(file=path.name, who=holder))
        try:
            saved = day_file.save(day, path, opened=opened)
        except day_file.ChangedOnDiskError as error:
            raise ChangedOutsideError(
                tr("{file} has been changed by somebody else since it was opened.").format(file=path.name)
            ) from error
        except SaveError as error:
            raise StorageError(f"{error}.") from error
        if saved.backup_note:
            _log.warning("no backup: %s", saved.backup_note)
        return saved.sha256

    def digest(self, path: Path) -> str | None:
        """The digest of the file as it is on disk now; none when it is gone."""
        return day_file.sha256_on_disk(path)

    def hold(self, path: Path) -> str:
        """Takes the lock beside a file; who has it, when it is somebody else.

        A folder in which no lock can be made is no reason not to open the file: saving there will say what is wrong.
        """
        held = self._locks.get(path)
        if held is not None and held.is_ours():
            return ""
        try:
            self._locks[path] = locks.acquire(path)
        except locks.HeldError as error:
            return f"{error}."
        except OSError as error:
            _log.warning("%s has no lock: %s", path.name, error)
        return ""

    def release(self, path: Path) -> None:
        """Gives the lock back, if it is ours."""
        lock = self._locks.pop(path, None)
        if lock is not None:
            lock.release()


class OnlookersFiles(DayFiles):
    """Day files for somebody who only looks on: no lock is taken, so that whoever edits is not disturbed."""

    def hold(self, path: Path) -> str:
        """Never takes the lock: the day is open for reading only."""
        return tr("{file} is only shown here.").format(file=path.name)

    def release(self, path: Path) -> None:
        """There is nothing to give back."""
