"""Large banks piece by piece: 90 minutes seen, the first 45 of them kept, then on.

A whole day of a large station is more than a search can turn over at once; what happens at noon hardly depends on
the evening. The pieces are put together into one plan, from which the search over the whole goes on.
"""

from __future__ import annotations

from dataclasses import replace

from legtide.plan.bank.answer import Assignment, BankPlan
from legtide.plan.bank.first import first_routes
from legtide.plan.bank.problem import Pin, Problem, Request
from legtide.plan.bank.report import plan_of
from legtide.plan.bank.ruin import Search
from legtide.plan.bank.ticks import Core

LARGE = 150
"""Requests above which a bank is planned piece by piece first."""
_SEEN_MIN, _KEPT_MIN = 90.0, 45.0
_STEPS = 300


def rolled_plan(problem: Problem, seed: int = 0) -> BankPlan:
    """A complete plan, made piece by piece. Its runs are those of the last piece only: use its assignments."""
    kept: dict[str, Assignment] = {}
    begin = min((_begin(request) for request in problem.requests), default=0.0)
    last = max((request.latest_end_min for request in problem.requests), default=0.0)
    while True:
        piece = _piece(problem, kept, begin)
        core = Core(piece)
        search = Search(first_routes(core), seed)
        for _ in range(_STEPS):
            search.step()
        plan = plan_of(search.best_routes())
        final = begin + _SEEN_MIN >= last
        for row in plan.assignments:
            if final or row.start_min < begin + _KEPT_MIN:
                kept.setdefault(row.request, row)
        if final:
            rows = tuple(sorted(kept.values(), key=lambda row: (row.start_min, row.truck, row.request)))
            return replace(plan, assignments=rows)
        begin += _KEPT_MIN


def _begin(request: Request) -> float:
    return request.earliest_min if request.pin is None else request.pin.start_min


def _piece(problem: Problem, kept: dict[str, Assignment], begin: float) -> Problem:
    """What is seen from a moment on, with all that is kept as facts."""
    rows = []
    for request in problem.requests:
        row = kept.get(request.id)
        if row is not None:
            rows.append(replace(request, pin=Pin(row.truck, row.start_min, row.option, started=True)))
        elif request.latest_end_min > begin and _begin(request) < begin + _SEEN_MIN:
            rows.append(request)
    return replace(problem, requests=tuple(rows))
