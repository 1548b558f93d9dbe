"""Day files on disk: load, save, and telling versions apart.

Writing makes the bytes first, reads them back, and only then replaces the file. What the bytes mean is in
`day_content.py`; its names are handed on here.
"""

from __future__ import annotations

import hashlib
import re
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from legtide.day.checks import Problem
from legtide.day.document import FORMAT, VERSION, Day
from legtide.day.edits import number_services
from legtide.files import backups
from legtide.files.atomic import SaveError, replace_file, sweep
from legtide.files.day_content import DayFileError, Loaded, NewerVersionError, checksum, parse, sha256, to_bytes
from legtide.files.migrations import STEPS, Step
from legtide.files.strict_json import MOST_BYTES
from legtide.language import tr

__all__ = [
    "ChangedOnDiskError",
    "DayFileError",
    "Loaded",
    "NewerVersionError",
    "Saved",
    "checksum",
    "load",
    "parse",
    "read_bytes",
    "save",
    "sha256",
    "sha256_on_disk",
    "to_bytes",
]

_VERSION_KEY: Final = re.compile(rb'"version"\s*:\s*(\d{1,9})')


class ChangedOnDiskError(SaveError):
    """The file on disk is not the one that was opened: somebody else wrote it in between. Nothing was written."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, tr("somebody else has changed it since it was opened"))


@dataclass(frozen=True, slots=True)
class Saved:
    """A day that was written."""

    sha256: str
    """Of the bytes on disk."""
    flushed: bool = True
    """False where the system would not confirm that the change of name is on the disk."""
    backup_note: str = ""
    """Why no backup of the version before could be kept; empty when all is well."""


# load -----------------------------------------------------------------------------------------------------


def load(path: Path, *, steps: Mapping[int, Step] = STEPS) -> Loaded:
    """Reads a day file.

    Temporary files that a dead process left beside it are swept away on the way.

    Raises:
        NewerVersionError: the file is of a later version.
        DayFileError: it is not acceptable, with all problems and their places, or it cannot be read.
    """
    data = read_bytes(path)
    sweep(path.parent)
    try:
        return parse(data, steps=steps)
    except NewerVersionError as error:
        raise NewerVersionError(path, error.version) from None
    except DayFileError as error:
        raise DayFileError(path, error.problems) from None


def read_bytes(path: Path) -> bytes:
    """The bytes of a regular file, up to the size that is read. Raises DayFileError."""
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise DayFileError(path, (Problem("", tr("is a folder")),))
        if not stat.S_ISREG(found.st_mode):
            raise DayFileError(path, (Problem("", tr("is not a regular file")),))
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise DayFileError(path, (Problem("", tr("does not exist")),)) from None
    except (OSError, ValueError) as error:
        words = error.strerror if isinstance(error, OSError) else None
        raise DayFileError(
            path, (Problem("", tr("cannot be read: {reason}").format(reason=words or error)),)
        ) from None
    if len(data) > MOST_BYTES:
        raise DayFileError(
            path,
            (Problem("", tr("is larger than {size} MB, the most that is read").format(size=MOST_BYTES // 2**20)),),
        )
    return data


# save -----------------------------------------------------------------------------------------------------


def save(day: Day, path: Path, *, opened: str | None = None) -> Saved:
    """Writes a day file, whole or not at all; the version before goes to the backups.

    Args:
        day: the day; services without a name get one in the file.
        path: where; a symbolic link stays one.
        opened: `sha256` of the version that this day was made from: when another one is on disk now, nothing is
            written. None overwrites whatever is there, except a file of a newer version.

    Raises:
        ChangedOnDiskError: somebody else has written the file in between.
        SaveError: it could not be written, or the day could not be opened again. The old file is intact.
    """
    data = _checked_bytes(day, path)
    before = _on_disk(path)
    if before is not None:
        if opened is not None and sha256(before) != opened:
            raise ChangedOnDiskError(path)
        _keep_newer(path, before)
    note = backups.keep(path, before) if before is not None else ""
    return Saved(sha256(data), replace_file(path, data), note)


def _checked_bytes(day: Day, path: Path) -> bytes:
    """The bytes of a day that have been read back and mean the same."""
    try:
        named = number_services(day.model_copy(update={"checksum": None}))
        data = to_bytes(named)
        same = parse(data).day == named
    except DayFileError as error:
        reasons = "; ".join(map(str, error.problems))
        raise SaveError(path, tr("the day could not be opened again: {reasons}").format(reasons=reasons)) from None
    except ValueError as error:
        raise SaveError(
            path, tr("the day holds something that a file cannot hold: {error}").format(error=error)
        ) from None
    if not same:
        raise SaveError(path, tr("the day would read differently from what it is now"))
    return data


def _on_disk(path: Path) -> bytes | None:
    """The file that a save would replace; none when there is none."""
    try:
        if path.exists() and not path.is_file():
            raise SaveError(path, tr("it is not a regular file"))
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise SaveError(path, error.strerror or str(error)) from error


def _keep_newer(path: Path, before: bytes) -> None:
    """Refuses to write over a day file of a newer version."""
    if f'"{FORMAT}"'.encode() not in before:
        return
    found = _VERSION_KEY.search(before)
    if found is not None and int(found[1]) > VERSION:
        raise SaveError(
            path,
            tr("a day file of the newer version {version} is there; it is never overwritten").format(
                version=int(found[1])
            ),
        )


def sha256_on_disk(path: Path) -> str | None:
    """SHA-256 of a file as it is on disk now, to compare with what was opened; none when it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None
