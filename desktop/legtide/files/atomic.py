"""Replacing a file whole: after a crash, a full disk or a power cut it is the old one or the new one.

The new bytes go to a temporary file in the same folder, are written until all are out (one `write` may be short),
and are flushed to the disk; then the file is put in place in one step, and the folder is flushed too. Whatever fails
before that step leaves the old file untouched.

Every step is a system call named as such, so that tests can let each of them fail.
"""
# ruff: noqa: PTH105, PTH108, PTH116

from __future__ import annotations

import contextlib
import os
import re
import secrets
import stat
import sys
import time
from pathlib import Path
from typing import Final

from legtide.day.quoting import printable
from legtide.files.processes import alive, host_token
from legtide.language import tr

# Short, so that a name of the greatest length can still be saved; says which process writes it.
_TEMPORARY: Final = re.compile(r"\.legtide-([0-9a-f]{8})-(\d{1,10})-[0-9a-f]{8}\.tmp")
_STALE_S: Final = 24 * 3600.0


class SaveError(Exception):
    """A file that could not be written. The old one, if there was any, is as it was."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(tr("{file} could not be written: {reason}").format(file=printable(str(path)), reason=reason))
        self.path = path
        self.reason = reason


def replace_file(path: Path, data: bytes) -> bool:
    """Puts bytes in place of a file, whole or not at all; a new file gets the usual mode, an old one keeps its own.

    A symbolic link stays one: the file it points at is replaced.

    Returns:
        Whether the folder was flushed too. Where the system refuses that, the new file is in place, but a power cut
        in the next seconds may bring the old one back.

    Raises:
        SaveError: with what the system said; the old file is intact and no temporary file is left.
    """
    try:
        target = Path(os.path.realpath(path))
        mode = _mode_of(target)
        temporary = target.parent / f".legtide-{host_token()}-{os.getpid()}-{secrets.token_hex(4)}.tmp"
        try:
            _write(temporary, data, mode)
            _put_in_place(temporary, target)
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(temporary)
            raise
    except (OSError, ValueError) as error:
        raise SaveError(path, _words(error)) from error
    return _flush_folder(target.parent)


def _words(error: OSError | ValueError) -> str:
    """What the system said, in words."""
    return error.strerror or str(error) if isinstance(error, OSError) else str(error)


def _mode_of(target: Path) -> int | None:
    """Permission bits of the file that is replaced; none for a new one. Raises OSError for what must not be."""
    try:
        found = os.stat(target)
    except FileNotFoundError:
        return None
    if stat.S_ISDIR(found.st_mode):
        raise IsADirectoryError(None, tr("it is a folder"))
    if not stat.S_ISREG(found.st_mode):
        raise OSError(None, tr("it is not a regular file"))
    if not os.access(target, os.W_OK):
        # Replacing asks the folder only: a file that is marked read-only would be lost all the same.
        raise PermissionError(None, tr("the file is read-only"))
    return stat.S_IMODE(found.st_mode)


def _write(temporary: Path, data: bytes, mode: int | None) -> None:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    handle = os.open(temporary, flags, 0o666)
    try:
        rest = memoryview(data)
        while rest:
            written = os.write(handle, rest)
            if written <= 0:
                raise OSError(None, tr("the system wrote nothing"))
            rest = rest[written:]
        if mode is not None and hasattr(os, "fchmod"):
            os.fchmod(handle, mode)
        os.fsync(handle)
    except BaseException:
        with contextlib.suppress(OSError):
            os.close(handle)
        raise
    os.close(handle)


def _put_in_place(temporary: Path, target: Path) -> None:
    # Windows refuses while a virus scanner or an indexer looks at the old file: a short wait helps.
    for pause in (0.05, 0.1, 0.2, 0.4) if sys.platform == "win32" else ():
        try:
            os.replace(temporary, target)
        except PermissionError:
            time.sleep(pause)
        else:
            return
    os.replace(temporary, target)


def _flush_folder(folder: Path) -> bool:
    if sys.platform == "win32":
        return True  # there is no such call; the file system journals the change of name
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return False
    try:
        os.fsync(handle)
    except OSError:
        return False
    finally:
        with contextlib.suppress(OSError):
            os.close(handle)
    return True


def sweep(folder: Path) -> int:
    """Deletes the temporary files that processes of this machine left in a folder when they died; returns how many.

    Files of running processes stay, unless they are a day old (a process number may be in use again).
    """
    gone = 0
    with contextlib.suppress(OSError):
        for entry in os.scandir(folder):
            found = _TEMPORARY.fullmatch(entry.name)
            if found is None or found[1] != host_token():
                continue
            with contextlib.suppress(OSError):
                old = time.time() - entry.stat(follow_symlinks=False).st_mtime > _STALE_S
                if old or not alive(int(found[2])):
                    os.unlink(entry.path)
                    gone += 1
    return gone
