"""What followed from a service that was not what it could have been: the same day with it whole, leg by leg.

The other day has the same use on every leg (the truth is the same); only that one service takes place, whole, at its
turn. Its levels are compared from its turn on until they are the same again, or for some legs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal, TypeAlias

from legtide.day.document import TANKS, Day, Service, Tank
from legtide.day.edits import rebuilt
from legtide.day.rotations import Rotation, rotations, service_minutes, service_start
from legtide.day.windows import turn_window
from legtide.engine.course import is_whole
from legtide.play.levels import Followed, follow
from legtide.play.rounds import Round
from legtide.play.truth import Truth

Blemish: TypeAlias = Literal["left", "missed", "partial", "late"]
LEGS_AFTER: Final = 4
_SAME_L: Final = 0.5


@dataclass(frozen=True, slots=True)
class LegAfter:
    """One leg with the service as it was and as it could have been; levels on arrival in litres."""

    leg: int
    flight: str
    as_it_was: float
    as_it_could: float
    breached: bool
    would_have: bool
    """Whether it ended beyond the limit, and would have with the service whole."""


@dataclass(frozen=True, slots=True)
class Aftermath:
    """One such service."""

    aircraft: str
    turn: int
    station: str
    tank: Tank
    blemish: Blemish
    target_percent: float
    late_min: float
    """By how much it ran past what the turn allows; nothing unless it was late."""
    legs: tuple[LegAfter, ...]

    @property
    def breaches(self) -> int:
        """Legs that ended beyond a limit and would not have."""
        return sum(row.breached and not row.would_have for row in self.legs)


def aftermaths(round_: Round) -> tuple[Aftermath, ...]:
    """What followed from each service that was left, missed, half done or late, those with most breaches first."""
    found = [
        row
        for name, rotation in rotations(round_.day).items()
        for row in _of_aircraft(round_.day, rotation, round_.truths[name])
    ]
    return tuple(sorted(found, key=lambda row: (-row.breaches, row.aircraft, row.turn, row.tank)))


def _of_aircraft(day: Day, rotation: Rotation, truth: Truth) -> Iterator[Aftermath]:
    was = follow(truth, rotation, day.policy)
    for number, row in enumerate(rotation.services):
        late = _late_min(day, rotation, row) if row.turn < len(rotation.legs) else 0.0
        blemish = _blemish(row, late)
        if blemish is None or row.turn >= len(rotation.legs):
            continue
        legs = tuple(_legs(was, _mended(day, rotation, truth, number), row))
        if legs or blemish == "late":
            name, station = rotation.registration, rotation.turns[row.turn].station
            yield Aftermath(name, row.turn, station, row.tank, blemish, row.target, late, legs)


def _blemish(row: Service, late_min: float) -> Blemish | None:
    if row.state == "skipped":
        return "left"
    if row.state == "missed":
        return "missed"
    if row.state == "planned":
        return None
    if not is_whole(row):
        return "partial"
    return "late" if late_min > 0.0 else None


def _late_min(day: Day, rotation: Rotation, row: Service) -> float:
    """Minutes by which a service that took place ran past its turn's window."""
    start = service_start(rotation, row, day.policy.margin_after_on_blocks_min.value)
    window = turn_window(rotation.turns[row.turn], day.policy)
    last = window[1] if window is not None else rotation.turns[row.turn].end
    if row.state != "done" or start is None or last is None:
        return 0.0
    return max((start - last).total_seconds() / 60.0 + service_minutes(rotation.fit, row), 0.0)


def _mended(day: Day, rotation: Rotation, truth: Truth, number: int) -> Followed:
    """The same day with one service whole."""
    row = rotation.services[number]
    whole = rebuilt(row, state="done", target_percent=100.0 if row.tank == "fresh" else 0.0)
    services = tuple(whole if place == number else other for place, other in enumerate(rotation.services))
    return follow(truth, replace(rotation, services=services), day.policy)


def _legs(was: Followed, could: Followed, row: Service) -> Iterator[LegAfter]:
    tank, legs = TANKS.index(row.tank), was.rotation.legs
    for leg in range(row.turn, min(row.turn + LEGS_AFTER, len(legs))):
        here, there = float(was.arrival[tank, 0, leg]), float(could.arrival[tank, 0, leg])
        if abs(here - there) < _SAME_L:
            return
        yield LegAfter(
            leg=leg,
            flight=legs[leg].flight,
            as_it_was=here,
            as_it_could=there,
            breached=bool(was.breached[tank, 0, leg]),
            would_have=bool(could.breached[tank, 0, leg]),
        )
