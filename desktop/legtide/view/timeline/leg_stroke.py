"""One slip of a leg, by mouse or by keyboard, from its begin to its end in the workspace.

A leg that has not left moves whole: its estimates off and on blocks move by the same minutes. Of one that has left
only the estimated arrival moves. What has arrived is a fact. Services of the turn after it that nobody was sent to
(planned, with a start of their own, neither pinned nor given to a truck) keep their distance to the arrival; the
others stay where they are, so that what a slip breaks is seen.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from legtide.day.document import Day, Leg, Service
from legtide.day.edits import change_leg, change_service
from legtide.day.rotations import Rotation, off_blocks, on_blocks, rotations
from legtide.draw.words import day_text, hhmm
from legtide.engine.types import to_datetime, to_minutes
from legtide.language import tr
from legtide.workspace.workspace import Workspace

MOST_MIN: Final = 1440.0
"""Furthest slip in one move, minutes: more is a slip of the hand, and belongs into the form."""


class LegStroke:
    """A running slip. Make it with `begin`."""

    def __init__(self, workspace: Workspace, rotation: Rotation, leg: Leg, now: datetime | None) -> None:
        self._workspace = workspace
        self._day: Day = workspace.day
        self.leg = leg
        """The leg as it was before the slip."""
        self.aircraft = leg.aircraft
        self.departed = leg.atd is not None
        self.delta = 0.0
        """Whole minutes by which it is slipped now."""
        self.origin = to_minutes(on_blocks(leg) if self.departed else off_blocks(leg))
        """The end that is held, minutes since 1970: off blocks, or the arrival of a leg that has left."""
        number = rotation.legs.index(leg)
        self.following = followers(rotation, number + 1)
        """Services that move with it."""
        self._least = self._earliest(rotation, number, now) - self.origin
        workspace.begin_stroke(tr("Slip {flight} of {aircraft}").format(flight=leg.flight, aircraft=leg.aircraft))

    @classmethod
    def begin(cls, workspace: Workspace, leg_id: str) -> LegStroke | None:
        """Begins to slip a leg; None when it has arrived, does not exist, or the day may only be read."""
        day = workspace.day
        leg = next((row for row in day.legs if row.id == leg_id), None)
        rotation = None if leg is None else rotations(day).get(leg.aircraft)
        if leg is None or rotation is None or leg.ata is not None:
            return None
        made = cls(workspace, rotation, leg, workspace.now)
        return made if made.running else None

    def _earliest(self, rotation: Rotation, number: int, now: datetime | None) -> float:
        """The earliest place of the held end; never later than where it is."""
        leg = rotation.legs[number]
        before: list[datetime] = []
        if self.departed:
            before.append(off_blocks(leg) + timedelta(minutes=1))
        elif number > 0:
            before.append(on_blocks(rotation.legs[number - 1]))
        if now is not None:
            before.append(now)
        return min(max(map(to_minutes, before), default=self.origin - MOST_MIN), self.origin)

    @property
    def start(self) -> float:
        """Where the held end stands now, minutes since 1970."""
        return self.origin + self.delta

    @property
    def running(self) -> bool:
        """Whether the workspace still knows of this slip (an undo or another edit may have ended it)."""
        return self._workspace.in_stroke and self._workspace.day is self._day

    def move_to(self, minutes: float) -> None:
        """Slips the leg so that its held end lies nearest to a time."""
        self._set(minutes - self.origin)

    def nudge(self, minutes: float) -> None:
        """Slips the leg by some minutes more."""
        self._set(self.delta + minutes)

    def place(self) -> bool:
        """Ends the slip; True when it made an undo step."""
        return self.running and self._workspace.commit_stroke()

    def cancel(self) -> None:
        """Ends the slip and puts everything back."""
        if self.running:
            self._workspace.cancel_stroke()

    def _set(self, delta: float) -> None:
        delta = float(round(min(max(delta, self._least), MOST_MIN)))
        if delta != self.delta:
            self.delta = delta
            self._workspace.preview(slipped(self._day, self.leg, self.following, delta))

    def title(self) -> str:
        """The leg and its new time, for the bubble."""
        words = tr("{flight} on blocks {time}") if self.departed else tr("{flight} off blocks {time}")
        return words.format(flight=self.leg.flight, time=self._time())

    def _time(self) -> str:
        """Where the held end stands; with its date where that is not the schedule's."""
        due = self.leg.sta if self.departed else self.leg.std
        moment = to_datetime(self.start)
        return hhmm(self.start) if moment.date() == due.date() else f"{day_text(moment)} {hhmm(self.start)}"

    def late(self) -> str:
        """How far it is slipped, and how late it is then."""
        delta = round(self.delta)
        due = self.leg.sta if self.departed else self.leg.std
        late = round(self.start - to_minutes(due))
        slip = tr("{minutes:+d} min").format(minutes=delta)
        if late == delta:
            return slip
        words = tr("{slip}, {late} min after schedule") if late >= 0 else tr("{slip}, {late} min before schedule")
        return words.format(slip=slip, late=abs(late))

    def said(self) -> str:
        """Where the leg stands, for a screen reader."""
        return f"{self.title()}, {self.late()}"


def followers(rotation: Rotation, turn: int) -> tuple[Service, ...]:
    """The services of a turn that move with the arrival before it."""
    return tuple(
        row
        for row in rotation.services
        if row.turn == turn
        and row.state == "planned"
        and row.start is not None
        and row.truck is None
        and not row.pinned
    )


def slipped(day: Day, leg: Leg, following: tuple[Service, ...], minutes: float) -> Day:
    """The day with a leg and the services that follow it moved by minutes; the same day for none."""
    if not minutes:
        return day
    by = timedelta(minutes=minutes)
    changes = {"eta": on_blocks(leg) + by}
    if leg.atd is None:
        changes["etd"] = off_blocks(leg) + by
    day = change_leg(day, leg.id, **changes)
    for row in following:
        if row.start is not None:
            day = change_service(day, row.id, start=row.start + by)
    return day
