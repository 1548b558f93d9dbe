"""One move of a service, by mouse or by keyboard, from its begin to its end in the workspace.

Every step is previewed on the open day; `place` makes one undo step of the whole move, `cancel` makes none.
"""

from __future__ import annotations

from legtide.day.document import Day, Service
from legtide.day.edits import move_service
from legtide.day.rotations import rotations, service_start
from legtide.draw.words import hhmm, service_title
from legtide.engine.types import to_datetime, to_minutes
from legtide.view.timeline.landing import Landing, landings, next_landing, snapped
from legtide.workspace.workspace import Workspace


class ServiceStroke:
    """A running move. Make it with `begin`."""

    def __init__(self, workspace: Workspace, service: Service, start: float, places: tuple[Landing, ...]) -> None:
        self._workspace = workspace
        self._day: Day = workspace.day
        self.service = service
        """The service as it was before the move."""
        self.places = places
        """Where it may land."""
        self.turn = service.turn
        self.origin = start
        """Where it stood before the move, minutes since 1970."""
        self.start = start
        """Where it stands now, minutes since 1970."""
        workspace.begin_stroke(f"Move {service_title(service, None).lower()} of {service.aircraft}")

    @classmethod
    def begin(cls, workspace: Workspace, service_id: str) -> ServiceStroke | None:
        """Begins to move a service; None when its turn does not exist, or the day may only be read."""
        day = workspace.day
        service = next((row for row in day.services if row.id == service_id), None)
        rotation = None if service is None else rotations(day).get(service.aircraft)
        if service is None or rotation is None:
            return None
        start = service_start(rotation, service, day.policy.margin_after_on_blocks_min.value)
        if start is None:
            return None
        made = cls(workspace, service, to_minutes(start), landings(day, rotation, service, workspace.now))
        return made if made.running else None

    @property
    def running(self) -> bool:
        """Whether the workspace still knows of this move (an undo or another edit may have ended it)."""
        return self._workspace.in_stroke and self._workspace.day is self._day

    def move_to(self, minutes: float) -> None:
        """Moves the service to the allowed start nearest to a time."""
        found = snapped(self.places, minutes)
        if found is not None:
            self._set(*found)

    def nudge(self, minutes: float) -> None:
        """Moves the service by minutes; at a window's end it stays there."""
        here = [row for row in self.places if row.turn == self.turn]
        if here:
            self._set(self.turn, min(here, key=lambda row: row.distance(self.start)).nearest(self.start + minutes))

    def jump(self, forward: bool) -> None:
        """Moves the service to the earliest start of the next (or the turn before) where it may land."""
        found = next_landing(self.places, self.turn, forward)
        if found is not None:
            self._set(found.turn, found.first)

    def place(self) -> bool:
        """Ends the move; True when it made an undo step."""
        return self.running and self._workspace.commit_stroke()

    def cancel(self) -> None:
        """Ends the move and puts everything back."""
        if self.running:
            self._workspace.cancel_stroke()

    def _set(self, turn: int, start: float) -> None:
        if (turn, start) == (self.turn, self.start):
            return
        self.turn, self.start = turn, start
        moved = move_service(self._day, self.service.id, turn, to_datetime(start))
        self._workspace.preview(moved)

    def said(self) -> str:
        """Where the service stands, for a screen reader."""
        return f"{service_title(self.service, None)} {hhmm(self.start)}, turn {self.turn}"
