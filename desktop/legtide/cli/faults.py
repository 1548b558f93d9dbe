"""Errors of the program itself: a sentence for the user, the details in a log file."""

from __future__ import annotations

import traceback
from datetime import UTC, datetime
from typing import Final

_KEPT: Final = 20


def keep_fault(error: BaseException) -> str:
    """Writes the details of an unexpected error into the log folder, and returns a sentence that says where."""
    if isinstance(error, MemoryError):
        return "there is not enough memory for this; nothing was changed"
    name = type(error).__name__
    try:
        from legtide.files.state import state_folder

        folder = state_folder("log")
        place = folder / f"fault-{datetime.now(UTC):%Y%m%dT%H%M%S%f}.txt"
        place.write_text("".join(traceback.format_exception(error)), encoding="utf-8", errors="backslashreplace")
        for old in sorted(folder.glob("fault-*.txt"))[:-_KEPT]:
            old.unlink(missing_ok=True)
    except Exception as second:  # noqa: BLE001 - whatever goes wrong here, the first error is what counts
        return f"an error of the program ({name}: {error}); its details could not be kept ({second})"
    return f"an error of the program ({name}); your files are as they were. The details are in {place}"
