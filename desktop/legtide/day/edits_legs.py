"""Edits of legs: adding, changing and deleting them, with all that hangs on the turns between them.

A turn is counted by the legs flown before it, so that a leg more or less renumbers the turns after it. What hangs
on a turn follows the legs around it: it stays after the leg that it was after, and before the leg that it was before.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Final, TypeVar

from legtide.day.document import Aircraft, Day, GroundTime, Leg, Reading, Service
from legtide.day.edits import EditError, rebuilt, unused_id
from legtide.day.rotations import scheduled, station_at
from legtide.language import tr

_Hung = TypeVar("_Hung", Service, Reading, GroundTime)
_HANGING: Final = ("services", "readings", "ground")


def add_leg(day: Day, leg: Leg) -> Day:
    """One more leg, at its place in the schedule. Raises EditError when its id or aircraft will not do."""
    if any(row.id == leg.id for row in day.legs):
        raise EditError(tr("leg {leg} is in the day already").format(leg=leg.id))
    _refuse_unlisted(day, leg)
    return with_legs(day, (*day.legs, leg))


def delete_leg(day: Day, leg_id: str) -> Day:
    """The day without a leg. Its two turns become one, which holds what hung on either.

    A service that comes to another station than before loses its truck and is to be asked for again. A reading taken
    on arrival of the leg goes with it; with the last leg of an aircraft goes all that hung on its turns.
    """
    kept = tuple(row for row in day.legs if row.id != leg_id)
    if len(kept) == len(day.legs):
        raise EditError(tr("leg {leg} is not in the day").format(leg=leg_id))
    return with_legs(day, kept)


def put_leg(day: Day, leg: Leg) -> Day:
    """A leg in the place of the one of its id, whatever of it has changed: times, places, aircraft.

    Raises EditError when there is none of that id, or its aircraft is not in the day.
    """
    old = next((row for row in day.legs if row.id == leg.id), None)
    if old is None:
        raise EditError(tr("leg {leg} is not in the day").format(leg=leg.id))
    if old == leg:
        return day
    _refuse_unlisted(day, leg)
    return with_legs(day, tuple(leg if row is old else row for row in day.legs))


def _refuse_unlisted(day: Day, leg: Leg) -> None:
    if all(row.registration != leg.aircraft for row in day.aircraft):
        raise EditError(tr("aircraft {aircraft} is not in the day").format(aircraft=leg.aircraft))


def next_leg_id(day: Day) -> str:
    """A leg id that the day does not use yet: `leg1`, `leg2` and so on."""
    return unused_id("leg", {row.id for row in day.legs})


def with_legs(day: Day, legs: tuple[Leg, ...]) -> Day:
    """The day with other legs; what hangs on the turns of an aircraft follows those that are left around it."""
    old, new = scheduled(day.legs), scheduled(legs)
    moves = {name: _Moves(old.get(name, []), new.get(name, [])) for name in old if old[name] != new.get(name)}
    changes: dict[str, Any] = {"legs": legs}
    for part in _HANGING:
        rows = getattr(day, part)
        if any(row.aircraft in moves for row in rows):
            changes[part] = tuple(_moved(rows, moves))
    if any(row.registration in moves and row.start_stand is not None for row in day.aircraft):
        changes["aircraft"] = tuple(_at_new_start(day, row, moves.get(row.registration)) for row in day.aircraft)
    return day.model_copy(update=changes)


def _moved(rows: Iterable[_Hung], moves: Mapping[str, _Moves]) -> Iterable[_Hung]:
    for row in rows:
        move = moves.get(row.aircraft)
        new = row if move is None else move.row(row)
        if new is not None:
            yield new


def _at_new_start(day: Day, aircraft: Aircraft, move: _Moves | None) -> Aircraft:
    """The aircraft without a stand that its first station does not have."""
    if move is None or aircraft.start_stand is None:
        return aircraft
    before, after = station_at(move.old, 0), station_at(move.new, 0)
    if after is None or before == after:
        return aircraft
    places = next((row.places for row in day.stations if row.code == after), ())
    known = any(place.id == aircraft.start_stand for place in places)
    return aircraft if known else rebuilt(aircraft, start_stand=None)


class _Moves:
    """Where things go when the legs of one aircraft change."""

    def __init__(self, old: list[Leg], new: list[Leg]) -> None:
        self.old, self.new = old, new
        self._place = {leg.id: number for number, leg in enumerate(new)}

    def row(self, row: _Hung) -> _Hung | None:
        """The row at its new turn; none when it goes with its leg, the same row when nothing changes for it."""
        if not self.new or not self.old or row.turn > len(self.old):
            return None
        if isinstance(row, Reading) and row.time is None and row.turn and self._gone(row.turn - 1):
            return None
        turn = self._turn(row.turn, row.time if isinstance(row, Reading) else row.start)
        changes: dict[str, Any] = {"turn": turn}
        elsewhere = station_at(self.old, row.turn) != station_at(self.new, turn)
        if isinstance(row, Service) and elsewhere:
            changes |= {"truck": None, "asked_start": None}
        return rebuilt(row, **changes)

    def _gone(self, number: int) -> bool:
        return self.old[number].id not in self._place

    def _turn(self, turn: int, moment: datetime | None) -> int:
        """The new number of a turn: between the nearest legs left on either side; of several, the likeliest."""
        before = [self._place[leg.id] + 1 for leg in self.old[:turn] if leg.id in self._place]
        after = [self._place[leg.id] for leg in self.old[turn:] if leg.id in self._place]
        first = before[-1] if before else 0
        last = after[0] if after else len(self.new)
        if last <= first:
            return first
        station = station_at(self.old, turn)
        inside = range(first, last + 1)
        likely = [number for number in inside if station_at(self.new, number) == station] or list(inside)
        if moment is not None:
            return next((number for number in likely if self._holds(number, moment)), likely[0])
        return likely[0] if before else likely[-1]

    def _holds(self, turn: int, moment: datetime) -> bool:
        return (turn == 0 or self.new[turn - 1].sta <= moment) and (
            turn == len(self.new) or moment <= self.new[turn].std
        )
