"""A lock file beside an open day file, so that a second window opens it for reading and says who has it.

The lock is advice between copies of this program. What protects a file is that `day_file.save` compares it with the
version that was opened.
"""

from __future__ import annotations

import contextlib
import getpass
import hashlib
import json
import os
import secrets
import socket
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from legtide.day.quoting import printable
from legtide.files.processes import alive, host_token, started
from legtide.language import tr

_MOST_BYTES: Final = 4096


@dataclass(frozen=True, slots=True)
class Holder:
    """Who has a file open."""

    user: str
    host: str
    machine: str
    pid: int
    started: str
    """Start of that process, as the system tells it; tells it from a later one of the same number."""
    since: str
    """When the lock was taken, UTC."""
    token: str

    @property
    def gone(self) -> bool:
        """Whether the process has surely ended. Of another machine that is never sure."""
        if self.machine != host_token():
            return False
        return not alive(self.pid) or (self.started != "" and started(self.pid) not in ("", self.started))

    def __str__(self) -> str:
        return printable(
            tr("{user} on {host} since {since} (process {pid})").format(
                user=self.user, host=self.host, since=self.since, pid=self.pid
            )
        )


class HeldError(Exception):
    """Somebody else has the file open; `holder` says who (none: the lock file cannot be read)."""

    def __init__(self, path: Path, holder: Holder | None) -> None:
        who = str(holder) if holder is not None else tr("somebody whose lock file cannot be read")
        super().__init__(tr("{file} is open: {who}").format(file=printable(path.name), who=who))
        self.path = path
        self.holder = holder


@dataclass(frozen=True, slots=True)
class Lock:
    """A lock that was taken. Give it back with `release`."""

    path: Path
    """The lock file."""
    token: str

    def is_ours(self) -> bool:
        """Whether the lock on disk is still this one."""
        holder = _read(self.path)
        return holder is not None and holder.token == self.token

    def release(self) -> None:
        """Takes the lock file away, if it is still ours."""
        if self.is_ours():
            with contextlib.suppress(OSError):
                self.path.unlink()


def lock_file(path: Path) -> Path:
    """Where the lock of a day file lies: beside it, under a short name, so that long names can be locked too."""
    target = Path(os.path.realpath(path))
    digest = hashlib.sha256(target.name.encode("utf-8", "surrogateescape")).hexdigest()[:16]
    return target.parent / f".legtide-{digest}.lock"


def holder_of(path: Path) -> Holder | None:
    """Who has a day file open; none when nobody has, or only a process that is gone."""
    holder = _read(lock_file(path))
    return None if holder is None or holder.gone else holder


def acquire(path: Path, *, by_force: bool = False) -> Lock:
    """Takes the lock of a day file. A lock whose process is gone is taken over.

    Args:
        path: the day file.
        by_force: take it whoever has it, as the user decided.

    Raises:
        HeldError: somebody else has it.
        OSError: no lock can be made there, as in a read-only folder.
    """
    place = lock_file(path)
    mine = _me()
    for _ in range(10):
        if _create(place, mine):
            return Lock(place, mine.token)
        seen = _bytes(place)
        if seen is None:
            continue  # given back in this moment
        holder = _holder(seen)
        if not by_force and (holder is None or not holder.gone):
            raise HeldError(path, holder)
        _take_away(place, seen)
    raise HeldError(path, _read(place))


def _me() -> Holder:
    try:
        user = getpass.getuser()
    except (OSError, KeyError, ImportError):
        user = "somebody"
    pid = os.getpid()
    since = f"{datetime.now(UTC):%Y-%m-%d %H:%M}Z"
    return Holder(user, socket.gethostname(), host_token(), pid, started(pid), since, secrets.token_hex(8))


def _create(place: Path, holder: Holder) -> bool:
    """Makes the lock file with its content in one step; False when there is one already."""
    temporary = place.with_name(f".legtide-{holder.machine}-{holder.pid}-{secrets.token_hex(4)}.tmp")
    row = {name: getattr(holder, name) for name in Holder.__slots__}
    try:
        temporary.write_bytes(json.dumps(row, ensure_ascii=True).encode("ascii"))
        return _link(temporary, place)
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink()


def _link(temporary: Path, place: Path) -> bool:
    """Gives a file its final name unless that is taken."""
    try:
        os.link(temporary, place)
    except FileExistsError:
        return False
    except OSError:
        # A file system without hard links: then the name is made first and the content follows.
        try:
            handle = os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o644)
        except FileExistsError:
            return False
        with os.fdopen(handle, "wb") as file:
            file.write(temporary.read_bytes())
    return True


def _take_away(place: Path, seen: bytes) -> None:
    """Removes the very lock that was seen. Two processes may try: only one gets hold of it, and a fresh lock of the
    other is put back."""
    aside = place.with_name(f".legtide-{host_token()}-{os.getpid()}-{secrets.token_hex(4)}.tmp")
    try:
        place.rename(aside)
    except FileNotFoundError:
        return
    if _bytes(aside) != seen:
        _link(aside, place)
    with contextlib.suppress(OSError):
        aside.unlink()


def _bytes(place: Path) -> bytes | None:
    try:
        with place.open("rb") as file:
            return file.read(_MOST_BYTES)
    except FileNotFoundError:
        return None


def _read(place: Path) -> Holder | None:
    try:
        data = _bytes(place)
    except OSError:
        return None
    return _holder(data) if data is not None else None


def _holder(data: bytes) -> Holder | None:
    """The holder that a lock file names; none when it is not one of ours."""
    try:
        row = json.loads(data)
        texts = {name: str(row[name])[:200] for name in Holder.__slots__ if name != "pid"}
        return Holder(pid=int(row["pid"]), **texts)
    except (ValueError, TypeError, KeyError, RecursionError, OverflowError):
        return None
