"""The line that says which flight a message is about, and flight numbers and registrations in one form."""

from __future__ import annotations

import re
from typing import Final

FLIGHT: Final = r"([A-Z0-9]{2,3}[0-9]{1,4}[A-Z]?)/([0-9]{1,2})(?:[A-Z]{3})?"
"""Designator, number and suffix; day of the month, in some messages with the month's name."""
REGISTRATION: Final = r"([A-Z0-9-]{2,10})"
STATION: Final = r"[A-Z][A-Z0-9]{2,3}"
_DESIGNATOR: Final = re.compile(r"([A-Z]{3}|[A-Z0-9]{2})0{0,4}([0-9]{1,4}[A-Z]?)")


def flight_key(text: str) -> str:
    """A flight number in its shortest form: `X0 0201` and `X0201` are the same flight."""
    packed = re.sub(r"[ -]", "", text[:64].upper())
    found = _DESIGNATOR.fullmatch(packed)
    return f"{found[1]}{found[2]}" if found else packed


def registration_key(text: str) -> str:
    """A registration as messages write it: without a hyphen."""
    return re.sub(r"[^A-Z0-9]", "", text.upper())
