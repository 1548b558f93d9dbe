"""Long work off the GUI thread: progress, cancelling, and results that came too late are dropped.

The work runs in a plain daemon thread and speaks through a queue that the GUI thread empties: no object of
the toolkit is touched from the thread, and none has to outlive it.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from itertools import count
from queue import Empty, SimpleQueue
from typing import Any, Final, TypeAlias

from PySide6.QtCore import QObject, QTimer, Signal

POLL_MS: Final = 50
_log = logging.getLogger(__name__)


class CancelledError(Exception):
    """Raised inside the work when it is no longer wanted."""


class Report:
    """What the work tells while it runs. Its methods may be called from the work's thread."""

    def __init__(self, number: int, queue: SimpleQueue[_Message]) -> None:
        self._number = number
        self._queue = queue
        self._cancelled = threading.Event()

    def cancel(self) -> None:
        """Asks the work to stop at its next report."""
        self._cancelled.set()

    def progress(self, done: int, total: int) -> None:
        """Tells how far the work is. Raises CancelledError when it is no longer wanted."""
        if self._cancelled.is_set():
            raise CancelledError
        self._queue.put(_Message(self._number, "progress", (done, total)))


Work: TypeAlias = Callable[[Report], Any]


@dataclass(frozen=True, slots=True)
class _Message:
    number: int
    kind: str
    value: Any


@dataclass(slots=True)
class _Running:
    number: int
    report: Report
    done: Callable[[Any], None]
    failed: Callable[[BaseException], None]


class Jobs(QObject):
    """Runs work by topic: a newer request of a topic takes the place of an older one.

    The request number is taken on the GUI thread; a result whose number is not the topic's newest is dropped.
    """

    progress = Signal(str, int, int)
    """Topic, steps done, steps in all."""
    ended = Signal(str)
    """The topic's work is over: done, failed or cancelled."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._numbers = count(1)
        self._queue: SimpleQueue[_Message] = SimpleQueue()
        self._running: dict[str, _Running] = {}
        self._timer = QTimer(self)
        self._timer.setInterval(POLL_MS)
        self._timer.timeout.connect(self._collect)

    def busy(self, topic: str) -> bool:
        """Whether work of that topic is under way."""
        return topic in self._running

    def start(
        self,
        topic: str,
        work: Work,
        done: Callable[[Any], None],
        failed: Callable[[BaseException], None],
    ) -> None:
        """Runs `work` in a thread, then `done(result)` or `failed(error)` on the GUI thread."""
        self.cancel(topic)
        number = next(self._numbers)
        report = Report(number, self._queue)
        self._running[topic] = _Running(number, report, done, failed)
        threading.Thread(target=self._work, args=(number, report, work), name=topic, daemon=True).start()
        self._timer.start()

    def cancel(self, topic: str) -> None:
        """Gives the topic's work up; its result will not be seen."""
        running = self._running.pop(topic, None)
        if running is not None:
            running.report.cancel()
            self.ended.emit(topic)
        self._rest()

    def cancel_all(self) -> None:
        """Gives everything up, as when the window closes."""
        for topic in tuple(self._running):
            self.cancel(topic)

    def _work(self, number: int, report: Report, work: Work) -> None:
        try:
            message = _Message(number, "done", work(report))
        except CancelledError:
            return
        except BaseException as error:  # noqa: BLE001  (a worker has no caller: whatever it was goes to the GUI thread)
            message = _Message(number, "failed", error)
        self._queue.put(message)

    def _collect(self) -> None:
        while True:
            try:
                message = self._queue.get_nowait()
            except Empty:
                break
            self._deliver(message)
        self._rest()

    def _deliver(self, message: _Message) -> None:
        topic = next((name for name, job in self._running.items() if job.number == message.number), None)
        if topic is None:
            _log.debug("dropped a result that was no longer wanted")
            return
        if message.kind == "progress":
            self.progress.emit(topic, *message.value)
            return
        job = self._running.pop(topic)
        self.ended.emit(topic)
        (job.done if message.kind == "done" else job.failed)(message.value)

    def _rest(self) -> None:
        if not self._running:
            self._timer.stop()
