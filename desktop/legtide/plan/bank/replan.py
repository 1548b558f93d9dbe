"""A plan mended after something has changed: few assignments change, and nothing that has started."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from legtide.language import tr
from legtide.plan.bank.answer import Assignment, BankPlan, BankResult
from legtide.plan.bank.problem import Pin, Problem
from legtide.plan.bank.solver import Progress, solve
from legtide.plan.bank.ticks import Reference
from legtide.plan.stop import AfterIterations, Stop

ChangeKind = Literal["truck", "moved", "option", "dropped", "new"]
_TOLERANCE_MIN = 5.0
"""Starts that differ by no more are taken as the same: nobody has to be told."""
_EPS = 1e-6


@dataclass(frozen=True, slots=True)
class Change:
    """One assignment that is not as before, and why."""

    request: str
    kind: ChangeKind
    before: Assignment | None
    after: Assignment | None
    why: str


@dataclass(frozen=True, slots=True)
class Replan:
    """A new plan and what it changes in the old one."""

    result: BankResult
    changes: tuple[Change, ...]


def started_by(problem: Problem, plan: BankPlan, now_min: float) -> Problem:
    """The problem with every service that the plan has started by a moment as a fact, and that moment as present."""
    started = {row.request: row for row in plan.assignments if row.start_min < now_min}

    def fixed(request_id: str, pin: Pin | None) -> Pin | None:
        row = started.get(request_id)
        return pin if row is None else Pin(row.truck, row.start_min, row.option, started=True)

    requests = tuple(replace(request, pin=fixed(request.id, request.pin)) for request in problem.requests)
    return replace(problem, requests=requests, now_min=now_min)


def replan(
    problem: Problem,
    old: BankPlan,
    stop: Stop | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    keep: float = 40.0,
    moved_per_min: float = 1.0,
) -> Replan:
    """The old plan mended for a changed problem (see `started_by` for what has started).

    `keep` is what a request that stays as it was is worth above its own value, in price units, and what a new one or
    another truck costs; a minute by which a start moves costs `moved_per_min`, beyond five minutes. The first answer
    is the old plan with what still holds of it and the rest put in where it fits.
    """
    reference = reference_to(old, keep, moved_per_min)
    result = solve(problem, stop or AfterIterations(400), seed, old, on_progress, reference)
    return Replan(result, changes(problem, old, result.plan))


def reference_to(old: BankPlan, keep: float = 40.0, moved_per_min: float = 1.0) -> Reference:
    """The old plan as one to stay close to."""
    return Reference(
        {row.request: row.truck for row in old.assignments},
        {row.request: row.start_min for row in old.assignments},
        {row.request: row.option for row in old.assignments},
        keep,
        moved_per_min,
        _TOLERANCE_MIN,
    )


def changes(problem: Problem, old: BankPlan, new: BankPlan) -> tuple[Change, ...]:
    """Assignments that differ between two plans of one problem, with the reason as far as it can be computed."""
    before = {row.request: row for row in old.assignments}
    after = {row.request: row for row in new.assignments}
    broken = _broken(problem, before)
    held_up = _held_up(before, broken)
    out = []
    for request in problem.requests:
        a, b = before.get(request.id), after.get(request.id)
        kind = _kind(a, b)
        if kind is not None:
            out.append(Change(request.id, kind, a, b, _why(kind, a, broken, held_up, new, request.id)))
    return tuple(out)


def _kind(before: Assignment | None, after: Assignment | None) -> ChangeKind | None:
    if before is None:
        return None if after is None else "new"
    if after is None:
        return "dropped"
    if before.truck != after.truck:
        return "truck"
    if abs(before.start_min - after.start_min) > _TOLERANCE_MIN + _EPS:
        return "moved"
    return None if before.option == after.option else "option"


def _broken(problem: Problem, before: dict[str, Assignment]) -> dict[str, str]:
    """Old assignments that the windows of the problem no longer allow, and how."""
    out = {}
    for request in problem.requests:
        row = before.get(request.id)
        if row is None or (request.pin is not None and request.pin.started):
            continue
        if row.start_min < request.earliest_min - _EPS:
            out[request.id] = tr("its window opens {minutes:.0f} min after the old start").format(
                minutes=request.earliest_min - row.start_min
            )
        elif row.end_min > request.latest_end_min + _EPS:
            out[request.id] = tr("its window closes {minutes:.0f} min before the old end").format(
                minutes=row.end_min - request.latest_end_min
            )
    return out


def _held_up(before: dict[str, Assignment], broken: dict[str, str]) -> dict[str, str]:
    """Truck -> the first of its services that no longer holds."""
    out: dict[str, str] = {}
    for row in sorted(before.values(), key=lambda row: row.start_min):
        if row.request in broken:
            out.setdefault(row.truck, row.request)
    return out


def _why(
    kind: ChangeKind,
    before: Assignment | None,
    broken: dict[str, str],
    held_up: dict[str, str],
    new: BankPlan,
    request: str,
) -> str:
    if request in broken:
        return broken[request]
    if kind == "dropped":
        return next((row.text for row in new.unserved if row.request == request), tr("no longer asked for"))
    if before is None:
        return tr("a truck has become free for it")
    if before.truck in held_up:
        return tr("truck {truck} is held up by {service}").format(truck=before.truck, service=held_up[before.truck])
    return tr("it makes room for services that avoid more risk")
