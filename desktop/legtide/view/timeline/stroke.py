"""One move of a service, by mouse or by keyboard, from its begin to its end in the workspace.

Every step is previewed on the open day; `place` makes one undo step of the whole move, `cancel` makes none.
"""

from __future__ import annotations

from legtide.day.document import Day, Service, Truck
from legtide.day.edits import change_service, move_service
from legtide.day.rotations import Rotation, rotations, service_start, stations
from legtide.draw.words import service_title
from legtide.engine.types import to_datetime, to_minutes
from legtide.language import inside, tr
from legtide.view.timeline.landing import Landing, landings, next_landing, snapped
from legtide.workspace.workspace import Workspace


class ServiceStroke:
    """A running move. Make it with `begin`."""

    def __init__(
        self,
        workspace: Workspace,
        rotation: Rotation,
        service: Service,
        start: float,
        places: tuple[Landing, ...],
        in_lanes: bool = False,
    ) -> None:
        self._workspace = workspace
        self._day: Day = workspace.day
        self._rotation = rotation
        self.service = service
        """The service as it was before the move."""
        self.places = places
        """Where it may land."""
        self.aircraft = service.aircraft
        self.in_lanes = in_lanes
        """Whether it is moved among the trucks' lanes, within its turn alone."""
        self.turn = service.turn
        self.origin = start
        """Where it stood before the move, minutes since 1970."""
        self.start = start
        """Where it stands now, minutes since 1970."""
        self.truck = service.truck
        """The truck that works it now."""
        self.refusal = ""
        """Why the truck asked for last cannot have it, in a sentence."""
        words = tr("Move {service} of {aircraft}")
        workspace.begin_stroke(words.format(service=inside(service_title(service, None)), aircraft=service.aircraft))

    @classmethod
    def begin(cls, workspace: Workspace, service_id: str, *, in_lanes: bool = False) -> ServiceStroke | None:
        """Begins to move a service, `in_lanes` within its turn alone.

        None when its turn does not exist, or the day may only be read.
        """
        day = workspace.day
        service = next((row for row in day.services if row.id == service_id), None)
        rotation = None if service is None else rotations(day).get(service.aircraft)
        if service is None or rotation is None:
            return None
        start = service_start(rotation, service, day.policy.margin_after_on_blocks_min.value)
        if start is None:
            return None
        places = landings(day, rotation, service, workspace.now)
        if in_lanes:
            places = tuple(row for row in places if row.turn == service.turn)
        made = cls(workspace, rotation, service, to_minutes(start), places, in_lanes)
        return made if made.running else None

    @property
    def station(self) -> str:
        """Code of the station at which it stands now."""
        return self._rotation.turns[self.turn].station

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
        if turn != self.turn:
            self.truck, self.refusal = self.service.truck, ""
        if (turn, start) != (self.turn, self.start):
            self.turn, self.start = turn, start
            self._offer()

    def _offer(self) -> None:
        if (self.turn, self.start, self.truck) == (self.service.turn, self.origin, self.service.truck):
            self._workspace.preview(self._day)
            return
        moved = move_service(self._day, self.service.id, self.turn, to_datetime(self.start))
        if self.truck != self.service.truck:
            moved = change_service(moved, self.service.id, truck=self.truck)
        self._workspace.preview(moved)

    def to_truck(self, station: str, truck: Truck) -> None:
        """Gives the service to a truck; one of another station or for the other tank is refused, see `refusal`.

        While one is refused, the service is with the truck that it came from.
        """
        self.refusal = self._refused(station, truck)
        wanted = self.service.truck if self.refusal else truck.id
        if wanted != self.truck:
            self.truck = wanted
            self._offer()

    def _refused(self, station: str, truck: Truck) -> str:
        if station != self.station:
            words = tr("{truck} is a truck of {other}; {aircraft} stands at {station} then")
            return words.format(truck=truck.id, other=station, aircraft=self.aircraft, station=self.station)
        if truck.tank != self.service.tank:
            words = (
                tr("{truck} handles waste: such a vehicle never handles drinking water")
                if truck.tank == "waste"
                else tr("{truck} handles drinking water: such a vehicle never handles waste")
            )
            return words.format(truck=truck.id)
        return ""

    def next_truck(self, forward: bool) -> bool:
        """Gives the service to the next (or the last) truck of its kind at its station; False when there is none."""
        station = stations(self._day).get(self.station)
        rows = [] if station is None else [row for row in station.trucks if row.tank == self.service.tank]
        if station is None or not rows:
            return False
        ids = [row.id for row in rows]
        if self.truck in ids:
            wanted = min(max(ids.index(self.truck) + (1 if forward else -1), 0), len(rows) - 1)
        else:
            wanted = 0 if forward else len(rows) - 1
        self.to_truck(station.code, rows[wanted])
        return True

    def title(self) -> str:
        """The service and its new time, for the bubble."""
        title = service_title(self.service, self.start)
        return f"{title} · {self.truck}" if self.in_lanes else title

    def said(self) -> str:
        """Where the service stands, for a screen reader."""
        words = tr("{service}, turn {turn}").format(service=service_title(self.service, self.start), turn=self.turn)
        return words if self.truck is None else f"{words}, {self.truck}"
