"""The file of the open day: which it is, in which version it was read, and whether it may be written."""

from __future__ import annotations

from pathlib import Path

from legtide.day.document import Day
from legtide.language import tr
from legtide.workspace.storage import Loaded, NoPathError, ReadOnlyError, Storage


def _files() -> Storage:
    # Reading and writing files brings the validators with it: loaded when a file is first opened or saved.
    from legtide.workspace.day_files import DayFiles

    return DayFiles()


class OpenFile:
    """At most one file, held by a lock while it may be written."""

    def __init__(self, storage: Storage | None = None) -> None:
        self._storage = storage
        self.path: Path | None = None
        self.digest: str | None = None
        """Of the file's bytes as they were read or written last."""
        self.note = ""
        """A caution that came with the file, or nothing."""
        self.read_only_because = ""
        """Why it may only be read; empty when it may be written."""

    @property
    def storage(self) -> Storage:
        """Where days are kept."""
        if self._storage is None:
            self._storage = _files()
        return self._storage

    def take(self, path: Path) -> Day:
        """Reads a file and makes it the open one. Raises StorageError; then the old one stays open."""
        loaded = self.storage.load(path)
        because = self.storage.hold(path)
        if self.path != path:
            self.leave()
        self._stand_on(path, loaded, because)
        return loaded.day

    def _stand_on(self, path: Path, loaded: Loaded, because: str) -> None:
        self.path, self.digest, self.note, self.read_only_because = path, loaded.digest, loaded.note, because

    def leave(self) -> None:
        """Lets the file go."""
        if self.path is not None and not self.read_only_because:
            self.storage.release(self.path)
        self.path = self.digest = None
        self.note = self.read_only_because = ""

    def changed_outside(self) -> bool:
        """Whether the file on disk is not the one that was read or written last (a file that is gone is not)."""
        if self.path is None:
            return False
        found = self.storage.digest(self.path)
        return found is not None and found != self.digest

    def write(self, day: Day) -> None:
        """Writes the day to its file. Raises StorageError, see `Workspace.save`."""
        if self.path is None:
            raise NoPathError(tr("The day has no file yet."))
        if self.read_only_because:
            raise ReadOnlyError(self.read_only_because)
        self.digest = self.storage.save(day, self.path, self.digest)

    def write_as(self, day: Day, path: Path) -> None:
        """Writes the day to another file and goes on with that one. Raises StorageError."""
        if path == self.path:
            self.write(day)
            return
        holder = self.storage.hold(path)
        if holder:
            raise ReadOnlyError(holder)
        try:
            digest = self.storage.save(day, path)
        except BaseException:
            self.storage.release(path)
            raise
        self.leave()
        self.path, self.digest = path, digest
