"""The last versions of each day file, thinned: the 5 latest, one an hour for 12 hours, one a day for 10 days.

They lie in the state folder, one folder for each file, named by the time of keeping. A backup that cannot be written
never stops a save: the reason is handed back as a note.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from legtide.files.atomic import SaveError, replace_file
from legtide.files.state import state_folder
from legtide.language import tr

LATEST: Final = 5
HOURLY: Final = 12
DAILY: Final = 10
_STAMP: Final = "%Y%m%dT%H%M%S.%fZ"
_SUFFIX: Final = ".day.json"


@dataclass(frozen=True, slots=True)
class Backup:
    """One kept version."""

    path: Path
    kept: datetime
    """When it was replaced by the next one, UTC."""


def keep(path: Path, data: bytes, now: datetime | None = None) -> str:
    """Keeps the bytes of a version that is about to be replaced, and thins out the older ones.

    Returns:
        Why that could not be done; empty when it was.
    """
    moment = now or datetime.now(UTC)
    try:
        folder = state_folder("backups", _name_of(path))
        known = versions(path)
        if known and known[-1].path.read_bytes() == data:
            return ""
        replace_file(folder / f"{moment.strftime(_STAMP)}{_SUFFIX}", data)
        known = versions(path)
        stay = thinned(backup.kept for backup in known)
        for backup in known:
            if backup.kept not in stay:
                backup.path.unlink()
    except (OSError, SaveError) as error:
        return tr("no backup of the version before was kept: {error}").format(error=error)
    return ""


def versions(path: Path) -> tuple[Backup, ...]:
    """The kept versions of a day file, oldest first. Raises OSError when the folder cannot be read."""
    folder = state_folder("backups", _name_of(path))
    found = []
    for entry in folder.iterdir():
        with contextlib.suppress(ValueError):
            kept = datetime.strptime(entry.name.removesuffix(_SUFFIX), _STAMP).replace(tzinfo=UTC)
            found.append(Backup(entry, kept))
    return tuple(sorted(found, key=lambda backup: backup.kept))


def thinned(times: Iterable[datetime]) -> frozenset[datetime]:
    """Which of the times (UTC) stay: the latest ones, and the last one of each of the last hours and days with any.

    Hours and days are those of the calendar. Counted back from now their borders would move with each save, and
    nothing would ever grow older than an hour.
    """
    newest_first = sorted(times, reverse=True)
    stay = set(newest_first[:LATEST])
    for count, form in ((HOURLY, "%Y%m%d%H"), (DAILY, "%Y%m%d")):
        last_of: dict[str, datetime] = {}
        for moment in newest_first:
            last_of.setdefault(moment.strftime(form), moment)
        stay.update(list(last_of.values())[:count])
    return frozenset(stay)


def _name_of(path: Path) -> str:
    """A folder name for a file: its own name to recognise it by, and a digest of its whole path."""
    whole = str(path.resolve())
    own = "".join(c if c.isalnum() or c in "-_" else "_" for c in path.name)[:40]
    return f"{own}-{hashlib.sha256(whole.encode('utf-8', 'surrogateescape')).hexdigest()[:16]}"
