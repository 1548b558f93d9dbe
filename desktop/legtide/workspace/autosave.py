"""The recovery journal: every committed edit is on disk within a second, and is offered after a crash.

One journal per process and document. A worker thread writes it, so that a slow disk never stops a drag; of several
edits only the last is written. A day that is saved, and a window that is closed in order, leave no journal.
"""

from __future__ import annotations

import json
import logging
import os
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final
from uuid import uuid4

from PySide6.QtCore import QObject, QTimer

from legtide.day.document import Day
from legtide.files.processes import alive, host_token, started
from legtide.workspace.workspace import Workspace

DELAY_MS: Final = 250
SUFFIX: Final = ".journal"
MOST_HEAD: Final = 20_000
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Entry:
    """What is written: the day, and where it belongs."""

    day: Day
    path: Path | None
    digest: str | None
    """Of the file that the day was opened from."""


@dataclass(frozen=True, slots=True)
class Leftover:
    """A journal that a process left behind when it died."""

    journal: Path
    path: Path | None
    digest: str | None
    written: datetime
    day: Day


class Journal:
    """One file, written by one thread; of entries that wait only the last is written."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._ready = threading.Condition()
        self._waiting: Entry | None = None
        self._remove = False
        self._ended = False
        self._busy = False
        self._thread = threading.Thread(target=self._work, name="journal", daemon=True)
        self._thread.start()

    def write(self, entry: Entry) -> None:
        """Asks for an entry to be written; returns at once."""
        with self._ready:
            self._waiting, self._remove = entry, False
            self._ready.notify_all()

    def clear(self) -> None:
        """Asks for the file to be removed; returns at once."""
        with self._ready:
            self._waiting, self._remove = None, True
            self._ready.notify_all()

    def settle(self, seconds: float = 5.0) -> bool:
        """Waits until all that was asked for is done; False when it takes longer."""
        with self._ready:
            return self._ready.wait_for(lambda: not (self._waiting or self._remove or self._busy), seconds)

    def end(self) -> None:
        """Stops the thread after what was asked for last."""
        with self._ready:
            self._ended = True
            self._ready.notify_all()
        self._thread.join(5.0)

    def _work(self) -> None:
        while True:
            with self._ready:
                self._busy = False
                self._ready.notify_all()
                self._ready.wait_for(lambda: self._waiting or self._remove or self._ended)
                entry, remove = self._waiting, self._remove
                self._waiting, self._remove = None, False
                self._busy = entry is not None or remove
            if entry is not None:
                self._put(entry)
            elif remove:
                with suppress(OSError):
                    self._file.unlink(missing_ok=True)
            else:
                return

    def _put(self, entry: Entry) -> None:
        from legtide.files.atomic import SaveError, replace_file

        try:
            replace_file(self._file, packed(entry))
        except (SaveError, OSError, ValueError) as error:
            _log.error("the recovery journal could not be written: %s", error)


def packed(entry: Entry) -> bytes:
    """An entry as bytes: a line that says whose it is, then the day as a day file."""
    from legtide.files.day_file import to_bytes

    head = {
        "format": "legtide-journal",
        "version": 1,
        "host": host_token(),
        "pid": os.getpid(),
        "started": started(os.getpid()),
        "path": None if entry.path is None else str(entry.path),
        "digest": entry.digest,
        "written": datetime.now(UTC).isoformat(),
    }
    return json.dumps(head).encode("ascii") + b"\n" + to_bytes(entry.day)


class Autosave(QObject):
    """Follows a workspace and keeps its journal."""

    def __init__(self, workspace: Workspace, folder: Path) -> None:
        super().__init__(workspace)
        self._workspace = workspace
        self._journal = Journal(folder / f"{host_token()}-{os.getpid()}-{uuid4().hex[:12]}{SUFFIX}")
        self._written: Day | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(DELAY_MS)
        self._timer.timeout.connect(self._follow)
        workspace.changed.connect(self._note)
        workspace.document_changed.connect(self._note)

    def _note(self) -> None:
        # Not started anew by further edits: a steady stream of them is written four times a second.
        if not self._timer.isActive() and (self._workspace.day is not self._written or not self._workspace.dirty):
            self._timer.start()

    def _follow(self) -> None:
        workspace = self._workspace
        if not workspace.dirty:
            if self._written is not None:
                self._journal.clear()
                self._written = None
        elif workspace.day is not self._written:
            self._written = workspace.day
            self._journal.write(Entry(workspace.day, workspace.path, workspace.digest))

    def flush(self) -> None:
        """Writes now, and waits for it; as when something has gone wrong."""
        self._timer.stop()
        self._follow()
        self._journal.settle()

    def end(self) -> None:
        """The window closes in order: what was worth keeping is kept, the journal goes."""
        self._timer.stop()
        self._journal.clear()
        self._journal.end()


def leftovers(folder: Path, running: Callable[[int, str], bool] | None = None) -> list[Leftover]:
    """The journals of processes of this machine that are gone, the newest first. Unreadable ones are passed over."""
    found = []
    for file in sorted(folder.glob(f"{host_token()}-*{SUFFIX}")):
        one = _read(file, running or still_running)
        if one is not None:
            found.append(one)
    return sorted(found, key=lambda one: one.written, reverse=True)


def still_running(pid: int, start: str) -> bool:
    """Whether the process of that number and start still runs."""
    return alive(pid) and (not start or started(pid) == start)


def _read(file: Path, running: Callable[[int, str], bool]) -> Leftover | None:
    from legtide.files.day_file import DayFileError, parse

    try:
        head_line, _, body = file.read_bytes().partition(b"\n")
        head = json.loads(head_line[:MOST_HEAD])
        if head.get("format") != "legtide-journal" or running(int(head["pid"]), str(head["started"])):
            return None
        day = parse(body).day
        path = None if head["path"] is None else Path(str(head["path"]))
        return Leftover(file, path, head["digest"], datetime.fromisoformat(head["written"]), day)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError, DayFileError) as error:
        _log.warning("journal %s cannot be read: %s", file.name, error)
        return None
