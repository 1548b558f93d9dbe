"""Proofs and better plans from CP-SAT in a process of its own (optional: the extra `exact` installs OR-Tools).

The solver's library is never imported into this process: it is large, and a fault in it would take the window with
it. The helper process is started once and asked as often as needed.
"""

from __future__ import annotations

import contextlib
import multiprocessing
from dataclasses import dataclass
from importlib.util import find_spec
from multiprocessing.connection import Connection

from legtide.plan.bank.problem import Problem
from legtide.plan.bank.routes import Routes
from legtide.plan.bank.ticks import Core

_JOINT = 60
"""Most requests for which both kinds are proven together; above it each kind is bounded by itself."""
_QUANTUM = 0.01

RouteRows = list[list[tuple[int, int, int]]]


def exact_available() -> bool:
    """Whether the optional library is installed; it is looked for, not imported."""
    return find_spec("ortools") is not None


@dataclass(frozen=True, slots=True)
class Question:
    """What the helper is asked: a bank, a plan to begin from, and how long it may take (deterministic seconds)."""

    problem: Problem
    rows: RouteRows
    starts: list[int]
    deterministic_s: float


@dataclass(frozen=True, slots=True)
class Finding:
    """What the helper found since it was last asked."""

    rows: RouteRows | None = None
    bound: float | None = None
    """In price units, of the part of the worth that is not decided yet."""
    done: bool = False


class ExactHelper:
    """The helper process. `ask` starts a search, `poll` gives what has come, `close` ends the process."""

    def __init__(self, deterministic_s: float = 60.0) -> None:
        self._deterministic_s = deterministic_s
        self._process: multiprocessing.process.BaseProcess | None = None
        self._connection: Connection | None = None

    def start(self) -> None:
        """Starts the process ahead of need; it takes about a second."""
        if self._process is not None and self._process.is_alive():
            return
        context = multiprocessing.get_context("spawn")
        self._connection, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs,), daemon=True)
        self._process.start()
        theirs.close()

    def ask(self, problem: Problem, routes: Routes) -> None:
        """Begins a search from the routes. A search that still runs is ended, with its process."""
        self.close()
        self.start()
        if self._connection is not None:
            self._connection.send(Question(problem, rows_of(routes), routes.start[:], self._deterministic_s))

    def poll(self, wait_s: float = 0.0) -> list[Finding]:
        """All findings that have come. A process that has died counts as one that is done."""
        out: list[Finding] = []
        connection = self._connection
        try:
            while connection is not None and connection.poll(wait_s if not out else 0.0):
                finding = connection.recv()
                if isinstance(finding, Finding):
                    out.append(finding)
        except (EOFError, OSError):
            out.append(Finding(done=True))
        return out

    def close(self) -> None:
        """Ends the process, whatever it does."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
        if self._connection is not None:
            self._connection.close()
        self._process = self._connection = None


def rows_of(routes: Routes) -> RouteRows:
    """Routes as plain numbers."""
    return [[(r, routes.option[r], routes.reload[r]) for r in stops] for stops in routes.stops]


def routes_from(core: Core, rows: RouteRows) -> Routes | None:
    """Routes from plain numbers; none when they do not keep every rule."""
    routes = Routes(core)
    for v, stops in enumerate(rows):
        for r, option, reload in stops:
            routes.stops[v].append(r)
            routes.vehicle[r], routes.option[r], routes.reload[r] = v, option, reload
    return routes if routes.settle(list(range(len(rows)))) else None


def _serve(connection: Connection) -> None:
    """The helper's loop: one question after the other until the other side is gone."""
    with contextlib.suppress(EOFError, OSError, KeyboardInterrupt):
        while True:
            question = connection.recv()
            if isinstance(question, Question):
                _answer(connection, question)


def _answer(connection: Connection, question: Question) -> None:
    from legtide.plan.bank import exact_model

    core = Core(question.problem)
    joint = len(core.requests) <= _JOINT
    total = 0.0
    for tanks in ((0, 1),) if joint else ((0,), (1,)):
        bank = exact_model.build(core, tanks)
        exact_model.add_hint(bank, question.rows, question.starts)
        solver = bank.cp.CpSolver()
        # One worker and a limit that does not read the clock: the same question has the same answer.
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = question.deterministic_s
        solver.parameters.max_presolve_iterations = 1
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
        if joint:
            solver.best_bound_callback = lambda bound: connection.send(Finding(bound=bound * _QUANTUM))
        send = (lambda rows: connection.send(Finding(rows=rows))) if joint else None
        status = exact_model.run(bank, solver, send)
        if status == bank.cp.INFEASIBLE:
            connection.send(Finding(done=True))
            return
        total += solver.best_objective_bound * _QUANTUM
    connection.send(Finding(bound=total, done=True))
