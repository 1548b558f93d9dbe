"""The folder in which the program keeps what is its own: backups, journals, logs."""

from __future__ import annotations

import os
from pathlib import Path


def state_folder(*parts: str) -> Path:
    """A folder inside the platform's state folder, made when it is missing.

    The environment variable `LEGTIDE_STATE_DIR` names another place, as for a shared machine or a test.

    Raises OSError when it cannot be made.
    """
    named = os.environ.get("LEGTIDE_STATE_DIR")
    if named:
        base = Path(named)
    else:
        import platformdirs

        base = platformdirs.user_state_path("legtide", appauthor=False)
    folder = base.joinpath(*parts)
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return folder
