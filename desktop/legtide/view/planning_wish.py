"""What a plan is asked for, how far it is, and when it is told to stop: plain records without the toolkit."""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal, TypeAlias

from legtide.day.document import Day
from legtide.engine.types import Projection

Kind: TypeAlias = Literal["rotations", "network", "trucks", "mend"]
"""Services of rotations; those of all rotations together with all trucks; the trucks of a station from scratch; their
plan mended after a change."""

LIMIT_S = 10.0
"""How long a station's search takes at most, unless it ends by itself before."""


@dataclass(frozen=True, slots=True, eq=False)
class Wish:
    """What is to be planned, on which day."""

    kind: Kind
    day: Day
    projection: Projection
    """Of `day`."""
    now: datetime | None = None
    """Nothing is planned before it."""
    aircraft: tuple[str, ...] = ()
    """Registrations, where rotations are planned (all that have legs, where trucks are planned with them)."""
    station: str = ""
    """Code, where trucks are planned."""


@dataclass(frozen=True, slots=True)
class Live:
    """Where running work stands."""

    done: int = 0
    total: int = 0
    """Aircraft planned, and to be planned; for trucks, tenths of a second passed and allowed."""
    served: int = 0
    asked: int = 0
    """Services that the best plan so far gives a truck, and all that are asked for."""
    worth: float = math.nan
    """Of the best plan so far, in price units; not a number before there is one."""
    bound: float = math.nan
    """No plan is worth more."""
    gap: float = math.nan
    """Share of the bound that the best plan may still lack."""


@dataclass(slots=True)
class Handle:
    """What a running plan and the window share: the news of one, the will of the other. Used from two threads."""

    live: Live = Live()
    """Replaced as a whole by the work, read by the window."""
    stopped: threading.Event = field(default_factory=threading.Event)
    """Set by the window: end the search and hand over the best plan so far."""
