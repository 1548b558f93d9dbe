"""Legs that have to follow a late one: what a slip means further down the rotation."""

from __future__ import annotations

from datetime import datetime, timedelta

from legtide.day.document import Leg, Policy
from legtide.day.edits import rebuilt
from legtide.day.rotations import Rotation, off_blocks, on_blocks


def least_turn(before: Leg, after: Leg, policy: Policy) -> timedelta:
    """Shortest time on the ground between two legs: that of the policy, or what the schedule has if that is less."""
    planned = max(after.std - before.sta, timedelta(0))
    return min(timedelta(minutes=policy.shortest_turn_min.value), planned)


def following_legs(rotation: Rotation, number: int, policy: Policy) -> tuple[Leg, ...]:
    """The legs from a turn on that cannot leave as expected, with estimates at which they can.

    A leg moves no further than the shortest turn asks for, and what has left stays. Estimates are in whole minutes;
    an estimate of the arrival moves with that of the departure.
    """
    moved: list[Leg] = []
    before = rotation.legs[number - 1]
    for leg in rotation.legs[number:]:
        ready = _whole_minute(on_blocks(before) + least_turn(before, leg, policy))
        late = ready - off_blocks(leg)
        if leg.atd is not None or leg.origin != before.destination or late <= timedelta(0):
            break
        before = rebuilt(leg, etd=ready, eta=None if leg.eta is None else leg.eta + late)
        moved.append(before)
    return tuple(moved)


def _whole_minute(moment: datetime) -> datetime:
    whole = moment.replace(second=0, microsecond=0)
    return whole if whole == moment else whole + timedelta(minutes=1)
