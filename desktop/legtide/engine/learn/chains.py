"""Readings of past days as chains: one tank of one aircraft on one day, reading by reading.

Each link goes from what is known (a level after a whole service or at the start, or the reading before) over the use
of the legs between to a reading. Where the level is lost (a partial fill, a service that may not have happened) the
next reading is where the chain goes on from. All links of a chain share the day factor.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import TANKS, CabinService, Day
from legtide.day.rotations import Rotation, rotations
from legtide.engine.course import Course, gauge_works, happens, is_whole, lay_out, reading_room, target_room
from legtide.engine.types import Floats
from legtide.engine.usage import Stretches


@dataclass(frozen=True, slots=True)
class Link:
    """From what is known to a reading. Rooms in litres."""

    known: float
    """Room that is known at its beginning; NaN where it goes on from a reading."""
    since: tuple[float, float]
    """Room from and to of the reading it goes on from, where that began the chain anew; else NaN."""
    rows: tuple[int, ...]
    """Stretches of the course between."""
    span: tuple[float, float]
    """Room from and to that the reading stands for."""


@dataclass(slots=True)
class Chain:
    """One tank of one aircraft on one day."""

    fit: str
    day: date
    aircraft: str
    tank: int
    capacity: float
    error: float
    steps: float
    """Number of steps of the gauge."""
    course: Course
    links: list[Link] = field(default_factory=list)

    @property
    def services(self) -> set[CabinService]:
        """Cabin services of the legs between its readings."""
        legs = self.course.rotation.legs
        flown = {self.course.leg_of[row] for link in self.links for row in link.rows}
        return {legs[leg].cabin_service for leg in flown if leg >= 0}


def chains_of(days: Iterable[Day]) -> list[Chain]:
    """The chains of all aircraft of all days that have at least one link."""
    found = []
    for day in days:
        for rotation in rotations(day).values():
            if rotation.readings and rotation.legs:
                course = lay_out(rotation, day.policy)
                found += [_chain(day, rotation, course, tank) for tank in (0, 1)]
    return [chain for chain in found if chain.links]


_NOTHING = (math.nan, math.nan)


class _Walker:
    """Where a chain stands: what is known of the tank, and the use since."""

    def __init__(self, room: float) -> None:
        self.known = room
        self.since: tuple[float, float] = _NOTHING
        self.lost = math.isnan(room)
        self.rows: list[int] = []

    def reset(self, room: float) -> None:
        self.known, self.since, self.lost, self.rows = room, _NOTHING, False, []

    def lose(self) -> None:
        self.lost, self.rows = True, []

    def read(self, span: tuple[float, float]) -> Link | None:
        link = None if self.lost or not self.rows else Link(self.known, self.since, tuple(self.rows), span)
        if self.lost or link is not None:
            self.known, self.since, self.rows = math.nan, span if self.lost else _NOTHING, []
        self.lost = False
        return link


def _chain(day: Day, rotation: Rotation, course: Course, place: int) -> Chain:
    tank = TANKS[place]
    gauge, capacity = rotation.fit.gauge(tank), float(course.capacity[place])
    chain = Chain(
        fit=rotation.fit.id,
        day=day.date,
        aircraft=rotation.registration,
        tank=place,
        capacity=capacity,
        error=capacity * gauge.error_percent / 100.0,
        steps=100.0 / gauge.step_percent,
        course=course,
    )
    walker = _Walker(math.nan if course.uncertain_start else float(course.start_room[place]))
    for step in course.steps:
        if step.kind == "stretch":
            walker.rows.append(step.rows[0])
        elif step.kind == "service":
            row = rotation.services[step.rows[0]]
            probability = happens(row, day.policy)
            if row.tank == tank and probability > 0.0:
                whole = is_whole(row) and probability >= 1.0
                if whole:
                    walker.reset(target_room(rotation.fit, row))
                else:
                    walker.lose()
        elif gauge_works(rotation, tank):
            for number in step.rows:
                reading = rotation.readings[number]
                if reading.tank == tank:
                    least, most, _ = reading_room(rotation.fit, tank, reading.percent)
                    link = walker.read((least, most))
                    chain.links += [link] if link is not None else []
    return chain


# the same as arrays ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class LinkTable:
    """Links of C chains as arrays of shape (L,), and the stretches between their readings one after the other."""

    stretches: Stretches
    first: NDArray[np.intp]
    """First stretch of each link."""
    tank: NDArray[np.intp]
    chain: NDArray[np.intp]
    place: NDArray[np.intp]
    """Number of the link in its chain."""
    known: Floats
    since: Floats
    """(L, 2)"""
    span: Floats
    """(L, 2)"""
    capacity: Floats
    error: Floats
    steps: Floats
    cluster: NDArray[np.intp]
    """(C,) number of the aircraft's day: both its tanks saw the same people."""


def link_table(chains: list[Chain]) -> LinkTable:
    """The links of some chains as arrays."""
    links = [(number, place, link) for number, chain in enumerate(chains) for place, link in enumerate(chain.links)]
    sizes = [len(link.rows) for _, _, link in links]
    owner = np.array([number for number, _, _ in links])
    clusters: dict[tuple[date, str], int] = {}
    cluster = [clusters.setdefault((chain.day, chain.aircraft), len(clusters)) for chain in chains]
    of = [chains[number] for number in owner]
    columns = {}
    for name in Stretches.__dataclass_fields__:
        parts = [
            getattr(chain.course.stretches, name)[list(link.rows)]
            for chain, (_, _, link) in zip(of, links, strict=True)
        ]
        columns[name] = np.concatenate(parts)
    return LinkTable(
        stretches=Stretches(**columns),
        first=np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.intp),
        tank=np.array([chain.tank for chain in of]),
        chain=owner,
        place=np.array([place for _, place, _ in links]),
        known=np.array([link.known for _, _, link in links]),
        since=np.array([link.since for _, _, link in links]),
        span=np.array([link.span for _, _, link in links]),
        capacity=np.array([chain.capacity for chain in of]),
        error=np.array([chain.error for chain in of]),
        steps=np.array([chain.steps for chain in of]),
        cluster=np.array(cluster),
    )
