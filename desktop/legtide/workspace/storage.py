"""Where days are kept, as the workspace sees it: load, save, tell versions apart, and hold a file for oneself."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from legtide.day.document import Day


class StorageError(Exception):
    """A file that cannot be read or written; the message is a sentence for the user, naming the place."""


class ChangedOutsideError(StorageError):
    """The file on disk is not the one that was opened: somebody else has written it."""


class ReadOnlyError(StorageError):
    """The day is open for reading only; the message says why."""


class NoPathError(StorageError):
    """The day has never been saved: a name has to be chosen first."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """A day as it came from a file."""

    day: Day
    digest: str
    """Of the file's bytes, to notice later that somebody else has written it."""
    note: str = ""
    """A caution for the user, such as a checksum that does not match; empty when there is none."""


class Storage(Protocol):
    """What the workspace needs of the file layer."""

    def load(self, path: Path) -> Loaded:
        """Reads a day. Raises StorageError."""

    def save(self, day: Day, path: Path, opened: str | None = None) -> str:
        """Writes a day, whole or not at all, and returns the digest of the file.

        `opened` is the digest of the version that it was made from: with another one on disk nothing is written.
        Raises StorageError, ChangedOutsideError for that other version.
        """

    def digest(self, path: Path) -> str | None:
        """The digest of the file as it is on disk now; none when it is gone."""

    def hold(self, path: Path) -> str:
        """Takes the lock beside a file; returns who has it when it is somebody else, else an empty string."""

    def release(self, path: Path) -> None:
        """Gives the lock back, if it is ours."""
