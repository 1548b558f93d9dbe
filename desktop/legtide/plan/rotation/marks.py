"""Use along the legs to plan, cut at the times of the services."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import TANKS, Service
from legtide.engine.course import Course, lay_out
from legtide.engine.types import Floats, to_datetime
from legtide.engine.usage import coefficients
from legtide.plan.rotation.situation import Situation, past_steps


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """Use along the legs to plan, as sums since the start of the plan.

    M marks in time order, N legs. Where nobody waits aboard on the ground the marks are the N + 1 leg ends.
    """

    used: Floats
    """(9, 2, M) coefficients used since the start."""
    service: NDArray[np.intp]
    """(2, N) mark at which a service of each turn takes place."""
    departure: NDArray[np.intp]
    """(N,) mark of each leg's departure."""
    arrival: NDArray[np.intp]
    """(N,) mark of each leg's arrival."""
    hours: Floats
    """(N,) block hours."""


def marks(at: Situation) -> Marks:
    """The use of the legs to plan and of the waits between them, cut at the services' times."""
    ends, order = _use_in_order(at)
    count = at.legs
    service = np.zeros((2, count), dtype=np.intp)
    departure, arrival = np.zeros(count, dtype=np.intp), np.zeros(count, dtype=np.intp)
    sums = [np.zeros((9, 2))]
    turn, served = 0, [False, False]
    for kind, row in order:
        if kind == "service":
            service[row, turn], served[row] = len(sums) - 1, True
        elif kind == "wait":
            sums.append(sums[-1] + ends[:, :, row])
        else:
            for tank in (0, 1):
                if not served[tank]:
                    service[tank, turn] = len(sums) - 1
            departure[turn] = len(sums) - 1
            sums.append(sums[-1] + ends[:, :, row])
            arrival[turn] = len(sums) - 1
            turn, served = turn + 1, [False, False]
    hours = np.array([at.course.stretches.hours[row] for kind, row in _legs(at.course)][at.first_turn :])
    return Marks(np.stack(sums, axis=-1), service, departure, arrival, hours)


def _legs(course: Course) -> list[tuple[str, int]]:
    return [("leg", row) for row, leg in enumerate(course.leg_of) if leg >= 0]


def _use_in_order(at: Situation) -> tuple[Floats, list[tuple[str, int]]]:
    """Whole-stretch coefficients (9, 2, m), and from the first open turn on: legs, waits and services' places."""
    course = at.course
    if any(row.kind == "people_aboard" for row in at.rotation.ground):
        course = lay_out(replace(at.rotation, services=(*_kept(at), *_placeholders(at))), at.day.policy)
    ends = coefficients(course.stretches, at.rates, np.ones(1))[..., 0]
    order: list[tuple[str, int]] = []
    for step in course.steps[past_steps(course, at.first_turn) :]:
        row = step.rows[0]
        if step.kind == "stretch":
            order.append(("leg" if course.leg_of[row] >= 0 else "wait", row))
        elif step.kind == "service":
            service = course.rotation.services[row]
            if at.first_turn <= service.turn < len(at.rotation.legs) and service.state != "missed":
                order.append(("service", TANKS.index(service.tank)))
    return ends, order


def _kept(at: Situation) -> list[Service]:
    return [row for row in at.rotation.services if row not in at.removable and row.state in ("planned", "done")]


def _placeholders(at: Situation) -> list[Service]:
    """Services where they could be planned, so that waits with people aboard are cut there."""
    rows = []
    for place, found in enumerate(at.openings):
        slots = {"fresh": next((slot for slot in found.fresh if slot is not None), None), "waste": found.waste}
        for tank in TANKS:
            slot = slots[tank]
            if slot is not None:
                turn = place + at.first_turn
                start = to_datetime(slot.start)
                rows.append(Service(aircraft=at.rotation.registration, turn=turn, tank=tank, start=start))
    return rows
