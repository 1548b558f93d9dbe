"""The work of a plan from a wish to its review; runs off the GUI thread."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from legtide.day.rotations import rotations
from legtide.language import tr
from legtide.plan.network import NetworkPlan, at_once
from legtide.plan.rotation.planner import plan_of
from legtide.plan.rotation.proposal import Proposal
from legtide.plan.rotation.records import PlanError, RotationPlan
from legtide.view.planning_process import StationFound, search_station
from legtide.view.planning_review import Review, review_of_network, review_of_rotations, review_of_trucks
from legtide.view.planning_wish import Handle, Live, Wish
from legtide.view.planning_words import Places
from legtide.workspace.jobs import Report

Search: TypeAlias = Callable[[Wish, Report, Handle], StationFound | NetworkPlan]


def review_of(wish: Wish, report: Report, handle: Handle, search: Search = search_station) -> Review:
    """Plans what is wished for and compares it with the wish's day.

    Raises PlanError with a sentence, and CancelledError (from `report`) when it is no longer wanted.
    """
    if wish.kind == "rotations":
        return review_of_rotations(wish, plan_rotations(wish, report, handle))
    found = (wish.kind == "network" and at_once(wish.day, wish.now)) or search(wish, report, handle)
    if isinstance(found, NetworkPlan):
        return review_of_network(wish, found)
    if not found.station.problem.requests:
        words = tr("nothing is asked of the trucks at {station}: no aircraft needs a service there")
        raise PlanError(words.format(station=Places(wish.day).station(wish.station)))
    return review_of_trucks(wish, found)


def plan_rotations(wish: Wish, report: Report, handle: Handle) -> Proposal:
    """Plans aircraft by aircraft; told to stop, it gives the plans that it has (one at least)."""
    known = rotations(wish.day)
    plans: list[RotationPlan] = []
    for number, name in enumerate(wish.aircraft):
        report.progress(number, len(wish.aircraft))
        if plans and handle.stopped.is_set():
            break
        plans.append(plan_of(wish.day, known[name], wish.now))
        handle.live = Live(done=number + 1, total=len(wish.aircraft))
    return Proposal(wish.day, tuple(plans))
