"""The levels that a truth gives under a rotation's services: the past and the future as they come out.

Shapes: D draws, L legs; tanks in the order fresh, waste; levels in litres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import TANKS, Policy, Service
from legtide.day.rotations import Rotation
from legtide.engine.course import Course, Step, happens, is_whole, lay_out, target_room
from legtide.engine.types import Floats
from legtide.play.streams import stream

if TYPE_CHECKING:
    from legtide.play.truth import Truth


@dataclass(frozen=True, slots=True, eq=False)
class Followed:
    """One rotation's day as it comes out."""

    rotation: Rotation
    minutes: Floats
    """(n,) times of the points, never running back; steps at services are two points at one time."""
    levels: Floats
    """(2, D, n)."""
    departure: Floats
    """(2, D, L)."""
    arrival: Floats
    """(2, D, L)."""
    leg_end: tuple[int, ...]
    """For each leg, the point at its end."""
    read: dict[int, Floats]
    """Reading number -> (D,) level of its tank at that moment."""
    limit: tuple[float, float]
    """Reserve and usable limit."""
    capacity: tuple[float, float]

    @property
    def breached(self) -> NDArray[np.bool_]:
        """(2, D, L) fresh at or below the reserve, waste at or above its usable limit, by the end of each leg."""
        fresh = self.arrival[0] <= self.limit[0]
        return np.stack([fresh, self.arrival[1] >= self.limit[1]])

    @property
    def exhausted(self) -> NDArray[np.bool_]:
        """(2, D, L) dry or full by the end of each leg."""
        return np.stack([self.arrival[0] <= 0.0, self.arrival[1] >= self.capacity[1]])


def follow(truth: Truth, rotation: Rotation, policy: Policy) -> Followed:
    """The levels of every draw of a truth under the services of a rotation of its aircraft."""
    course = lay_out(rotation, policy)
    levels = Levels(truth, course, policy)
    for step in course.steps:
        levels.take(step)
    return levels.followed()


def outcome_score(truth: Truth, turn: int, tank: str) -> Floats:
    """(D,) even draws: a service at that turn takes place where its probability is larger."""
    return stream(truth.seed, truth.registration, "service", turn, tank).random(truth.draws)


class Levels:
    """Walks a course, step by step."""

    def __init__(self, truth: Truth, course: Course, policy: Policy) -> None:
        self.truth, self.course, self.policy = truth, course, policy
        self.level = truth.start.copy()
        self.turn = 0
        self._times: list[float] = [course.begin]
        self._levels: list[Floats] = [self.level]
        self._departure: list[Floats] = []
        self._arrival: list[Floats] = []
        self._ends: list[int] = []
        self._read: dict[int, Floats] = {}

    def take(self, step: Step) -> None:
        """One thing that happens."""
        row = step.rows[0]
        if step.kind == "stretch":
            self._stretch(row)
        elif step.kind == "service":
            self._point(step.minutes)
            self._serve(self.course.rotation.services[row])
            self._point(step.minutes)
        else:
            self._point(step.minutes)
            for number in step.rows:
                self._read[number] = self.level[TANKS.index(self.course.rotation.readings[number].tank)]

    def keep(self, rows: NDArray[np.intp]) -> None:
        """Goes on with some of the draws."""
        self.level = self.level[:, rows]

    def followed(self) -> Followed:
        """All that was walked."""
        self._point(self.course.end)
        course, capacity = self.course, self.course.capacity
        legs = (2, self.truth.draws, len(self._arrival))
        return Followed(
            rotation=course.rotation,
            minutes=np.maximum.accumulate(np.array(self._times)),
            levels=np.stack(self._levels, axis=2),
            departure=np.stack(self._departure, axis=2) if self._departure else np.empty(legs),
            arrival=np.stack(self._arrival, axis=2) if self._arrival else np.empty(legs),
            leg_end=tuple(self._ends),
            read=self._read,
            limit=(float(course.margin[0]), float(capacity[1] - course.margin[1])),
            capacity=(float(capacity[0]), float(capacity[1])),
        )

    def _point(self, minutes: float) -> None:
        self._times.append(minutes)
        self._levels.append(self.level)

    def _stretch(self, row: int) -> None:
        leg = self.course.leg_of[row]
        start, end = float(self.course.starts[row]), float(self.course.ends[row])
        self._point(start)
        if leg < 0:
            self._use(self._waited(start, end))
            self._point(end)
            return
        before, self._departure = self.level, [*self._departure, self.level]
        use, points = self.truth.legs[leg].litres, self.truth.points
        for place, share in enumerate(points):
            self.level = before
            self._use(use[..., place])
            self._point(start + (end - start) * float(share))
        self._arrival.append(self.level)
        self._ends.append(len(self._times) - 1)
        self.turn = leg + 1

    def _use(self, litres: Floats) -> None:
        fresh = np.maximum(self.level[0] - litres[0], 0.0)
        waste = np.minimum(self.level[1] + litres[1], self.course.capacity[1])
        self.level = np.stack([fresh, waste])

    def _waited(self, start: float, end: float) -> Floats:
        """(2, D) use in a piece of a wait."""
        for wait in self.truth.waits:
            if wait.turn == self.turn and wait.start <= start and end <= wait.end:
                whole = wait.end - wait.start
                shares = (start - wait.start) / whole, (end - wait.start) / whole
                first, last = (wait.use.by(share, self.truth.points) for share in shares)
                return np.asarray(last - first)
        return np.zeros_like(self.level)

    def _serve(self, service: Service) -> None:
        probability = happens(service, self.policy)
        if probability <= 0.0:
            return
        tank = TANKS.index(service.tank)
        room = target_room(self.course.rotation.fit, service)
        if tank == 0:
            after = np.maximum(self.level[0], room)
        else:
            target = float(self.course.capacity[1]) - room
            after = np.full_like(self.level[1], target) if is_whole(service) else np.minimum(self.level[1], target)
        if probability < 1.0:
            took = outcome_score(self.truth, service.turn, service.tank) < probability
            after = np.where(took, after, self.level[tank])
        self.level = self.level.copy()
        self.level[tank] = after
