"""A class's rounds on one day, apart from the day itself: a board that only a round changes, a clock, and groups.

Nothing here holds the open day or its file. `TrainingBoard` shows what a round knows; it can be looked at and
selected in, but not edited, and it has no file to write.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from PySide6.QtCore import QObject, QTimer, Signal

from legtide.day.document import Day
from legtide.engine.types import to_minutes
from legtide.play.calls import Call, CallError
from legtide.play.results import GroupRow
from legtide.play.rounds import Event, Round, advanced, begin_round, called, next_opening, played
from legtide.play.scoring import DAYS
from legtide.workspace.workspace import Workspace

TICK_MS: Final = 100
SPEEDS: Final = (1, 5, 15, 60)
"""Minutes of the day in a second of the clock."""


class TrainingBoard(Workspace):
    """What a round knows, for a board to show."""

    @property
    def read_only(self) -> bool:
        """Always: only the round changes it."""
        return True

    def show_round(self, round_: Round, revealed: bool = False) -> None:
        """Shows where a round stands; nothing is veiled as past when it is revealed."""
        if round_.day is not self.day:
            self._put(round_.day)
        self.set_now(None if revealed else round_.clock)


@dataclass(frozen=True, slots=True)
class Beginning:
    """How a round begins."""

    group: str
    seed: int
    at: datetime | None = None
    """The turn to begin at; none means before the first one."""


class Training(QObject):
    """One class: the round that is played now, and the results so far."""

    changed = Signal()
    """The round stands elsewhere: clock, calls, events."""
    began = Signal()
    """Another round was begun."""
    happened = Signal(object)
    """Events that the class gets to know."""
    running_changed = Signal()
    scored = Signal()
    """A group's result was added, or results were opened."""

    def __init__(self, day: Day, parent: QObject | None = None) -> None:
        """Begins a first round. Raises CallError when the day has nothing to play."""
        super().__init__(parent)
        self.day = day
        """The day as it was when training began; what happens to it elsewhere does not matter here."""
        self.beginning = Beginning("", 1)
        self.number = 1
        self.start = begin_round(day, 1)
        self.round = self.start
        self.board = TrainingBoard(self.start.day, parent=self)
        self.board.set_now(self.start.clock)
        self.results: tuple[GroupRow, ...] = ()
        self.unsaved = False
        self.revealed = False
        self.speed = SPEEDS[1]
        self.stops_at_turns = True
        self.days = DAYS
        """Sampled days to average over in a score."""
        self._rest = 0.0
        self._timer = QTimer(self)
        self._timer.setInterval(TICK_MS)
        self._timer.timeout.connect(self.tick)

    # rounds -----------------------------------------------------------------------------------------------

    def begin(self, wanted: Beginning) -> None:
        """Begins another round; from a later turn, calls made before it stand if group and day are the same.

        Raises CallError when the day has nothing to play.
        """
        self.pause()
        start = self.start if wanted.seed == self.start.seed else begin_round(self.day, wanted.seed)
        same = (wanted.group, wanted.seed) == (self.beginning.group, self.beginning.seed)
        log: Iterable[Call] = self.round.log if same else ()
        self.round = start if wanted.at is None else played(start, log, until=wanted.at)
        self.start, self.number = start, self.number + 1 if same else 1
        self.beginning = wanted
        self.revealed = False
        self.board.show_round(self.round)
        self.began.emit()
        self.changed.emit()

    @property
    def label(self) -> str:
        """The name under which the round is scored: the group's, with the round's number from the second one on."""
        name = self.beginning.group or "-"
        return name if self.number == 1 else f"{name} ({self.number})"

    # the clock --------------------------------------------------------------------------------------------

    @property
    def running(self) -> bool:
        """Whether the clock runs."""
        return self._timer.isActive()

    def run(self) -> None:
        """Lets the clock run until the next turn opens, or until it is stopped."""
        if not self.round.over and not self.running:
            self._rest = 0.0
            self._timer.start()
            self.running_changed.emit()

    def pause(self) -> None:
        """Stops the clock."""
        if self.running:
            self._timer.stop()
            self.running_changed.emit()

    def tick(self) -> None:
        """A moment of the running clock."""
        self._rest += self.speed * TICK_MS / 1000.0
        minutes = int(self._rest)
        if minutes == 0:
            return
        self._rest -= minutes
        to = self.round.clock + timedelta(minutes=minutes)
        found = next_opening(self.round)
        if self.stops_at_turns and found is not None and found.time <= to:
            to = found.time
            self._go(to)
            self.pause()
        else:
            self._go(to)
        if self.round.over:
            self.pause()

    def step(self) -> None:
        """On to the moment at which the next turn opens, or to the end of the day."""
        self.pause()
        found = next_opening(self.round)
        self._go(self.round.end if found is None else found.time)

    def finish(self) -> None:
        """Plays the day to its end by the calls made so far, and shows how it came out."""
        self.pause()
        self._go(self.round.end)
        self.revealed = True
        self.board.show_round(self.round, revealed=True)
        self.changed.emit()

    def _go(self, to: datetime) -> None:
        self._take(advanced(self.round, to))

    def _take(self, new: Round) -> None:
        if new is self.round:
            return
        events: tuple[Event, ...] = new.events[len(self.round.events) :]
        self.round = new
        self.board.show_round(new)
        if events:
            self.happened.emit(events)
        self.changed.emit()

    # calls ------------------------------------------------------------------------------------------------

    def call(self, call: Call) -> str:
        """Makes a call at the clock's moment; a sentence when it cannot be made, else nothing."""
        try:
            self._take(called(self.round, call))
        except CallError as error:
            return str(error)
        return ""

    @property
    def minutes(self) -> float:
        """The clock's moment, minutes since 1970."""
        return to_minutes(self.round.clock)

    # results ----------------------------------------------------------------------------------------------

    def add_result(self, row: GroupRow) -> None:
        """One group's result more; one of the same name on the same day is replaced."""
        key = (row.calls.group, row.seed)
        self.results = (*(one for one in self.results if (one.calls.group, one.seed) != key), row)
        self.unsaved = True
        self.scored.emit()

    def put_results(self, rows: tuple[GroupRow, ...]) -> None:
        """Results from a file in the place of those that there are."""
        self.results, self.unsaved = rows, False
        self.scored.emit()
