"""A bank's plan in a moment: the search without a bound and without reasons, for searches that ask many times."""

from __future__ import annotations

from legtide.plan.bank.answer import BankPlan
from legtide.plan.bank.first import first_routes
from legtide.plan.bank.problem import Problem
from legtide.plan.bank.report import plan_of
from legtide.plan.bank.ruin import Search
from legtide.plan.bank.ticks import Core


def quick_plan(problem: Problem, start: BankPlan | None = None, steps: int = 40, seed: int = 0) -> BankPlan:
    """The best plan after so many steps, or at once where everything is served; it names nothing as unserved."""
    core = Core(problem)
    search = Search(first_routes(core, start), seed)
    while search.iterations < steps and any(v < 0 for v in search.best_routes().vehicle):
        search.step()
    return plan_of(search.best_routes())
