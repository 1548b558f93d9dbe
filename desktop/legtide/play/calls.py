"""What a class calls for: services served or left, and gauge readings asked for; each with the moment of the call."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TypeAlias

from legtide.day.document import Tank


class CallError(ValueError):
    """A call that cannot be made any more, or not there; the message is a sentence for the user."""


@dataclass(frozen=True, slots=True)
class ServiceCall:
    """A service is to take place at a turn, or is not."""

    aircraft: str
    turn: int
    tank: Tank
    serve: bool
    at: datetime
    target_percent: float | None = None
    """Level after it; none means a whole service."""


@dataclass(frozen=True, slots=True)
class ReadingCall:
    """The gauges are to be read, as many of both as work."""

    aircraft: str
    turn: int
    at: datetime


Call: TypeAlias = ServiceCall | ReadingCall
