"""Players to set a class against, each on the same truth: the planner with the same readings, never, always.

The planner plans the aircraft's rotation anew (`plan/rotation`, exact for its model) whenever one of its turns opens
and whenever the class read its gauges; it reads the same gauges at the same moments, on its own course of the day.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TypeAlias

from legtide.day.document import TANKS, Service
from legtide.day.edits import replace_services
from legtide.day.rotations import off_blocks, rotations
from legtide.engine.types import to_datetime
from legtide.plan.rotation.planner import plan_of
from legtide.plan.rotation.proposal import Proposal, apply_proposal
from legtide.plan.rotation.situation import situation
from legtide.play.calls import CallError, ReadingCall
from legtide.play.rounds import Round, advanced, called, openings

Decide: TypeAlias = Callable[[Round, str], Round]
"""A round with one aircraft, and its registration -> the round with what is decided at its clock's moment."""


def play_out(start: Round, registration: str, decide: Decide, readings: Iterable[ReadingCall] = ()) -> Round:
    """One aircraft's round, decided at each of its turns.

    Args:
        start: the round at its beginning, with that aircraft alone (`rounds.alone`).
        registration: the aircraft.
        decide: what is decided each time.
        readings: the readings that the class asked for, taken at the same moments.
    """
    asked = [row for row in readings if row.aircraft == registration]
    moments = {start.clock, *(row.time for row in openings(start)), *(row.at for row in asked)}
    round_ = start
    for moment in sorted(moments):
        round_ = advanced(round_, moment)
        for row in asked:
            if row.at == moment:
                round_ = _read(round_, row)
        round_ = decide(round_, registration)
    return advanced(round_, start.end)


def _read(round_: Round, row: ReadingCall) -> Round:
    try:
        return called(round_, row)
    except CallError:  # the class was told the same: nothing to be read there
        return round_


def replanned(round_: Round, registration: str) -> Round:
    """The cheapest plan from what is known now."""
    rotation = rotations(round_.day)[registration]
    if off_blocks(rotation.legs[-1]) <= round_.clock:
        return round_
    plan = plan_of(round_.day, rotation, round_.clock)
    return replace(round_, day=apply_proposal(round_.day, Proposal(round_.day, (plan,))))


def never(round_: Round, registration: str) -> Round:
    """No service at all."""
    kept = [row for row in round_.day.services if row.state != "planned"]
    return replace(round_, day=replace_services(round_.day, kept))


def always(round_: Round, registration: str) -> Round:
    """Both services, whole, wherever a turn takes them; water where it takes only one. Called at the beginning."""
    if round_.clock > round_.begin:
        return round_
    bare = never(round_, registration)
    at = situation(bare.day, rotations(bare.day)[registration], (100.0,), bare.clock)
    new: list[Service] = []
    for place, found in enumerate(at.openings):
        both = found.both[0]
        slots = both if both is not None else (found.fresh[0], None if found.fresh[0] else found.waste)
        for tank, slot in zip(TANKS, slots, strict=True):
            if slot is not None:
                start = to_datetime(slot.start)
                target = 100.0 if tank == "fresh" else 0.0
                turn = place + at.first_turn
                new.append(Service(aircraft=registration, turn=turn, tank=tank, target_percent=target, start=start))
    return replace(bare, day=replace_services(bare.day, [*bare.day.services, *new]))


def as_planned(round_: Round, registration: str) -> Round:
    """The file's plan, whatever happens."""
    return round_
