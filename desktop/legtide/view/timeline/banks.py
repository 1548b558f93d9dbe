"""Banks: the turns that overlap at a station, as stretches of time to zoom to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from legtide.draw.content import BoardContent
from legtide.engine.types import to_minutes

LEAST_TURNS: Final = 2


@dataclass(frozen=True, slots=True)
class Bank:
    """Turns of several aircraft at one station, each overlapping another."""

    start: float
    """Minutes since 1970."""
    end: float
    turns: int


def banks(content: BoardContent, station: str) -> tuple[Bank, ...]:
    """The banks of a station in the order of time. Turns that are open at one end do not count."""
    spans = sorted(
        (to_minutes(turn.start), to_minutes(turn.end))
        for row in content.rows
        for turn in row.rotation.turns
        if turn.station == station and turn.start is not None and turn.end is not None
    )
    found: list[Bank] = []
    for start, end in spans:
        if found and start < found[-1].end:
            last = found[-1]
            found[-1] = Bank(last.start, max(last.end, end), last.turns + 1)
        else:
            found.append(Bank(start, end, 1))
    return tuple(bank for bank in found if bank.turns >= LEAST_TURNS)


def bank_after(content: BoardContent, station: str, after: float) -> Bank | None:
    """The first bank that is not over at a time; the day's first when all are."""
    found = banks(content, station)
    return next((bank for bank in found if bank.end > after), found[0] if found else None)
