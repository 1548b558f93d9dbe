"""Many stations at once: each is independent given its needs, so each is one task for one pure function.

`solve_station` and all that it takes and gives can be sent to another process; the plans are the same whether the
tasks run one after the other, in a pool of processes or on a cluster.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeAlias

from legtide.plan.bank.answer import BankResult
from legtide.plan.bank.problem import Problem
from legtide.plan.bank.solver import PATIENT, solve
from legtide.plan.stop import Stop


@dataclass(frozen=True, slots=True)
class StationTask:
    """One station's bank to plan."""

    station: str
    problem: Problem
    stop: Stop = PATIENT
    seed: int = 0


StationResult: TypeAlias = tuple[str, BankResult]
Mapper: TypeAlias = Callable[[Callable[[StationTask], StationResult], Iterable[StationTask]], Iterable[StationResult]]


def solve_station(task: StationTask) -> StationResult:
    """The station's code and its plan."""
    return task.station, solve(task.problem, task.stop, task.seed)


def solve_network(tasks: Iterable[StationTask], mapper: Mapper = map) -> dict[str, BankResult]:
    """All stations' plans by code. `mapper` is `map`, or the `map` of a pool of workers."""
    return dict(mapper(solve_station, tasks))
