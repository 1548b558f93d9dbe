"""From a bank's problem to its plan: a first answer at once, better ones as they come, a bound beside them."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from legtide.plan.bank.answer import BankPlan, BankResult, Status, gap_of
from legtide.plan.bank.bound import Bounding
from legtide.plan.bank.exact import ExactHelper, routes_from
from legtide.plan.bank.first import first_routes
from legtide.plan.bank.problem import Problem, faults
from legtide.plan.bank.report import plan_of
from legtide.plan.bank.rolling import LARGE, rolled_plan
from legtide.plan.bank.routes import Routes
from legtide.plan.bank.ruin import Search
from legtide.plan.bank.ticks import Core, Reference
from legtide.plan.bank.unserved import explain_unserved
from legtide.plan.stop import AfterIterations, AnyOf, GapBelow, NoGainIterations, SearchState, Stop

_STEPS_PER_ROUND = 20
"""Steps of the search between two looks at the stop rule."""
_REPORT_S = 0.1
"""At most ten progress reports a second."""
PATIENT = AnyOf(AfterIterations(3000), NoGainIterations(800), GapBelow(0.0))
"""The rule of the command line: the same plan on every run and machine."""


@dataclass(frozen=True, slots=True)
class Progress:
    """What a running search tells: where it stands, and its best plan so far."""

    state: SearchState
    plan: BankPlan


def solve(
    problem: Problem,
    stop: Stop = PATIENT,
    seed: int = 0,
    start: BankPlan | None = None,
    on_progress: Callable[[Progress], None] | None = None,
    reference: Reference | None = None,
    exact: ExactHelper | None = None,
) -> BankResult:
    """The best plan found until the stop rule speaks.

    `start` is a plan to begin from, `reference` one to stay close to. `on_progress` is called on this thread
    with the first plan and after each gain, ten times a second at most. The same problem, seed and start give the
    same plan when the stop rule does not look at the clock. `exact` is a helper process that searches and proves
    beside this one; what it finds depends on the clock. Raises ValueError naming every fault of the problem.
    """
    wrong = faults(problem)
    if wrong:
        raise ValueError("; ".join(wrong))
    return _Solving(problem, stop, seed, on_progress, reference, exact).run(start)


class _Solving:
    """One run of the solver."""

    def __init__(
        self,
        problem: Problem,
        stop: Stop,
        seed: int,
        on_progress: Callable[[Progress], None] | None,
        reference: Reference | None,
        exact: ExactHelper | None,
    ) -> None:
        self._begun = time.monotonic()
        self._stop, self._seed, self._on_progress = stop, seed, on_progress
        self._core = Core(problem, reference)
        # The helper's model knows no plan to stay close to: it would pull away from it.
        self._exact = exact if reference is None else None
        self._gain_at = (0, 0.0)
        self._reported, self._news = -_REPORT_S, True

    def run(self, start: BankPlan | None) -> BankResult:
        if start is None and len(self._core.requests) > LARGE:
            start = rolled_plan(self._core.problem, self._seed)
        search = Search(first_routes(self._core, start), self._seed)
        plan = plan_of(search.best_routes())
        bounding = Bounding(self._core, plan.worth)
        if self._exact is not None:
            self._exact.ask(self._core.problem, search.best_routes())
        while True:
            state = self._state(search, plan.worth, bounding)
            self._report(search, state)
            reason = self._stop(state)
            if reason is not None:
                break
            gained = [search.step() for _ in range(_STEPS_PER_ROUND)]
            gained.append(self._hear(search, plan.worth, bounding))
            if any(gained):
                plan = plan_of(search.best_routes())
                self._gain_at, self._news = (search.iterations, self._seconds()), True
            # A step of the bound takes longer the larger the bank is; most of the time belongs to the search.
            if search.iterations // _STEPS_PER_ROUND % (1 + len(self._core.requests) // 60) == 0:
                bounding.step(plan.worth)
        return self._result(search, bounding, reason)

    def _hear(self, search: Search, worth: float, bounding: Bounding) -> bool:
        """Takes what the helper has found; true when that is a better plan."""
        better = False
        for finding in [] if self._exact is None else self._exact.poll():
            if finding.bound is not None:
                bounding.lower(finding.bound, worth)
            routes = None if finding.rows is None else routes_from(self._core, finding.rows)
            better |= routes is not None and search.take(routes)
        return better

    def _seconds(self) -> float:
        return time.monotonic() - self._begun

    def _state(self, search: Search, worth: float, bounding: Bounding) -> SearchState:
        gap = gap_of(worth, bounding.bound)
        return SearchState(search.iterations, self._seconds(), worth, bounding.bound, gap, *self._gain_at)

    def _report(self, search: Search, state: SearchState) -> None:
        if self._on_progress is None or not self._news:
            return
        if state.seconds - self._reported >= _REPORT_S:
            self._reported, self._news = state.seconds, False
            self._on_progress(Progress(state, _full_plan(search.best_routes())))

    def _result(self, search: Search, bounding: Bounding, reason: str) -> BankResult:
        plan = _full_plan(search.best_routes())
        gap = gap_of(plan.worth, bounding.bound)
        status: Status = "optimal" if gap == 0.0 else "feasible"
        return BankResult(plan, bounding.bound, gap, status, search.iterations, self._seconds(), reason)


def _full_plan(routes: Routes) -> BankPlan:
    return plan_of(routes, explain_unserved(routes))
