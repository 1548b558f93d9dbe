"""A station's search in a process of its own: its plain Python would otherwise take turns with the board.

The process is spawned for one plan. It hears one word, "stop", and answers with news and in the end with what it
found, or with a sentence. It ends by itself when the window is gone.
"""

from __future__ import annotations

import contextlib
import math
import multiprocessing
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Final

from legtide.day.document import Day, Service
from legtide.language import ENGLISH, language, load_language, tr
from legtide.plan.bank.answer import BankResult
from legtide.plan.bank.exact import ExactHelper, exact_available
from legtide.plan.bank.replan import Change
from legtide.plan.bank.solver import Progress
from legtide.plan.network import NetworkPlan, NetworkProgress, plan_network, relieved
from legtide.plan.rotation.records import PlanError
from legtide.plan.station import Move, StationPlan, StationProblem, elsewhere, plan_station, replan_station
from legtide.plan.stop import AfterIterations, AnyOf, Cancelled, usual
from legtide.view.planning_wish import LIMIT_S, Handle, Live, Wish

if TYPE_CHECKING:
    from legtide.workspace.jobs import Report

_LOOK_S: Final = 0.05
_PATIENCE_S: Final = 3.0
"""How long the process may take to end after it was told to."""
_MEND_STEPS: Final = 400


@dataclass(frozen=True, slots=True)
class Task:
    """What the process is asked."""

    day: Day
    station: str
    mend: bool
    now_s: float | None
    """Seconds since 1970 of the moment taken as now."""
    limit_s: float
    language: str = ENGLISH
    """In which reasons are given."""
    network: bool = False
    """All rotations and the trucks of all stations, instead of one station's trucks."""


@dataclass(frozen=True, slots=True)
class StationFound:
    """What the process found."""

    station: StationProblem
    result: BankResult
    changes: tuple[Change, ...]
    elsewhere: dict[str, str]
    """Request that is not served -> where else it could be made up for, in words."""
    moves: tuple[Move, ...] = ()
    """What is moved to other turns because the trucks are short."""
    services: tuple[Service, ...] = ()
    """All services of the day with the plan, where something is moved."""


@dataclass(frozen=True, slots=True)
class Failed:
    """Why the process found nothing."""

    reason: str


def search_station(wish: Wish, report: Report, handle: Handle) -> StationFound | NetworkPlan:
    """Plans in a process, and tells how far it is. Blocks the calling thread, not the window.

    Raises PlanError when there is no plan, and CancelledError (from `report`) when it is no longer wanted.
    """
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    # Not a daemon: those may not start the helper that proves plans. It ends when its pipe does.
    process = context.Process(target=serve, args=(theirs,), name="legtide-plan")
    process.start()
    theirs.close()
    try:
        now_s = None if wish.now is None else wish.now.timestamp()
        task = Task(wish.day, wish.station, wish.kind == "mend", now_s, LIMIT_S, language(), wish.kind == "network")
        ours.send(task)
        return _listen(ours, report, handle)
    except (EOFError, OSError):
        raise PlanError(tr("the search ended unexpectedly; the day is as it was")) from None
    finally:
        with contextlib.suppress(OSError):
            ours.send("stop")
        ours.close()
        process.join(_PATIENCE_S)
        if process.is_alive():
            process.kill()
            process.join()


def _listen(connection: Connection, report: Report, handle: Handle) -> StationFound | NetworkPlan:
    begun, told = time.monotonic(), False
    total = round(10.0 * LIMIT_S)
    while True:
        passed = min(round(10.0 * (time.monotonic() - begun)), total)
        report.progress(passed, total)
        if handle.stopped.is_set() and not told:
            told = True
            connection.send("stop")
        if not connection.poll(_LOOK_S):
            continue
        news = connection.recv()
        if isinstance(news, Live):
            handle.live = news
        elif isinstance(news, StationFound | NetworkPlan):
            return news
        elif isinstance(news, Failed):
            raise PlanError(news.reason)


# inside the process ---------------------------------------------------------------------------------------


def serve(connection: Connection) -> None:
    """Does one task and ends."""
    with contextlib.suppress(EOFError, OSError, KeyboardInterrupt):
        task = connection.recv()
        if isinstance(task, Task):
            load_language(task.language)
            connection.send(answer(task, connection.poll, connection.send))


def answer(
    task: Task, stopped: Callable[[], bool], tell: Callable[[Live], object]
) -> StationFound | NetworkPlan | Failed:
    """Plans a station, or all of them together.

    `stopped` is asked between the steps of the search, `tell` hears of each better plan.
    """
    if task.network:
        return _network(task, stopped, tell)
    helper = ExactHelper() if exact_available() and not task.mend else None
    try:
        plan = _planned(task, stopped, tell, helper)
    except (ValueError, KeyError) as error:
        return Failed(str(error))
    finally:
        if helper is not None:
            helper.close()
    if not task.mend and not stopped():
        plan = relieved(plan, now=_now(task), cancelled=_until(task, stopped))
    others = {request: str(found[0]) for request, found in elsewhere(plan).items() if found}
    services = plan.day.services if plan.moves else ()
    return StationFound(plan.station, plan.result, plan.changes, others, plan.moves, services)


def _now(task: Task) -> datetime | None:
    return None if task.now_s is None else datetime.fromtimestamp(task.now_s, UTC)


def _until(task: Task, stopped: Callable[[], bool]) -> Callable[[], bool]:
    """Whether the search has been told to stop, or has had its time."""
    end = time.monotonic() + task.limit_s
    return lambda: stopped() or time.monotonic() > end


def _network(task: Task, stopped: Callable[[], bool], tell: Callable[[Live], object]) -> NetworkPlan:
    def on_progress(progress: NetworkProgress) -> None:
        served = sum(len(bank.plan.assignments) for bank in progress.state.banks.values())
        tell(Live(served=served, asked=served + len(progress.state.left) + len(progress.state.held)))

    return plan_network(task.day, now=_now(task), on_progress=on_progress, cancelled=_until(task, stopped))


def _planned(
    task: Task, stopped: Callable[[], bool], tell: Callable[[Live], object], helper: ExactHelper | None
) -> StationPlan:
    now = _now(task)

    def on_progress(progress: Progress) -> None:
        tell(live_of(progress))

    if task.mend:
        stop = AnyOf(Cancelled(stopped), AfterIterations(_MEND_STEPS))
        return replan_station(task.day, task.station, now=now, stop=stop, on_progress=on_progress)
    stop = usual(stopped, task.limit_s)
    return plan_station(task.day, task.station, now=now, stop=stop, on_progress=on_progress, exact=helper)


def live_of(progress: Progress) -> Live:
    """A search's news as the window shows them."""
    state, plan = progress.state, progress.plan
    served = len(plan.assignments)
    known = math.isfinite(state.bound)
    return Live(
        served=served,
        asked=served + len(plan.unserved),
        worth=state.worth,
        bound=state.bound if known else math.nan,
        gap=state.gap if known else math.nan,
    )
