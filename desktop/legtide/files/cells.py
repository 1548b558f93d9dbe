"""Text cells that a spreadsheet would take for a formula: made harmless on the way out, given back on the way in."""

from __future__ import annotations

import re
from typing import Final

# Apostrophes in front are doubled by one too, so that what is read back is exactly what was written.
_RISKY: Final = re.compile(r"'*[=+\-@\t\r\x00]")


def neutralised(text: str) -> str:
    """The text for a CSV cell: with an apostrophe before what a spreadsheet would run as a formula."""
    return f"'{text}" if _RISKY.match(text) else text


def restored(cell: str) -> str:
    """The text that `neutralised` was given."""
    return cell[1:] if cell.startswith("'") and _RISKY.match(cell) else cell
