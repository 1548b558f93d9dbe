"""Plans asked for, made beside the open day, reviewed, and taken or left.

The day is not touched before a plan is taken, and then by one undo step. While a plan is under review the board shows
it as outlines with pale curves, or, on wish, as if it had been taken: a stroke that is never committed.
"""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Signal

from legtide.day.document import Service
from legtide.day.rotations import rotations, stations
from legtide.engine.types import to_minutes
from legtide.language import tr
from legtide.view.planning_wish import Handle, Kind, Wish
from legtide.view.planning_words import Line, Places
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.jobs import Jobs, Report
from legtide.workspace.workspace import Workspace

if TYPE_CHECKING:
    from legtide.view.planning_review import Review

TOPIC: Final = "plan"
NAMED: Final = 5
"""Most stations named in a sentence."""
_log = logging.getLogger(__name__)


class Planning(QObject):
    """What is being planned, and the proposal under review. At most one of both at a time."""

    changed = Signal()
    """Something began, ended, arrived, grew stale, or is shown in another way."""
    progressed = Signal(int, int)
    """Steps done and steps in all of the running plan; `handle.live` has the rest."""
    said = Signal(str)

    def __init__(self, workspace: Workspace, board: BoardCanvas, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._workspace = workspace
        self._board = board
        self._jobs = jobs
        self.running: Wish | None = None
        self.handle = Handle()
        self.review: Review | None = None
        self.message = ""
        """Why there is no plan to look at, in a sentence."""
        self.previewing = False
        """Whether the board shows the day as if the plan had been taken."""
        self._was_stale = False
        workspace.changed.connect(self._follow)
        jobs.progress.connect(self._on_progress)

    # what can be done -------------------------------------------------------------------------------------

    @property
    def idle(self) -> bool:
        """Whether nothing is being planned."""
        return self.running is None

    @property
    def open(self) -> bool:
        """Whether there is anything to look at."""
        return self.running is not None or self.review is not None or bool(self.message)

    @property
    def stale(self) -> bool:
        """Whether the day is no longer the one that the proposal was made for."""
        return self.review is not None and self.review.wish.day is not self._workspace.day

    def can_plan_aircraft(self) -> bool:
        """Whether an aircraft is selected that can be planned."""
        return self.idle and self._workspace.selection.aircraft is not None

    def can_take(self) -> bool:
        """Whether the proposal can be taken as it is."""
        review = self.review
        return review is not None and review.changed and not self.stale and not self._workspace.read_only

    def can_preview(self) -> bool:
        """Whether the board can show the day as if the plan had been taken."""
        return self.can_take()

    # asking -----------------------------------------------------------------------------------------------

    def plan_all(self) -> None:
        """Plans all rotations of the day, together with the trucks of its stations if there are any."""
        self._rotations(tuple(self._plannable()))

    def plan_aircraft(self) -> None:
        """Plans the rotation of the selected aircraft."""
        name = self._workspace.selection.aircraft
        if name is not None:
            self._rotations((name,) if name in self._plannable() else ())

    def _plannable(self) -> list[str]:
        return [name for name, rotation in rotations(self._workspace.day).items() if rotation.legs]

    def _rotations(self, names: tuple[str, ...]) -> None:
        together = len(names) > 1 and any(row.trucks for row in self._workspace.day.stations)
        if names:
            self._start("network" if together else "rotations", aircraft=names)
        else:
            self._refuse(tr("There is nothing to plan: no leg is in the day. Import a schedule first."))

    def plan_trucks(self) -> None:
        """Plans the trucks of the station whose local time is shown, from scratch."""
        self._trucks("trucks")

    def mend_trucks(self) -> None:
        """Mends the trucks' plan that the day holds, with few changes."""
        self._trucks("mend")

    def _trucks(self, kind: Kind) -> None:
        day, code = self._workspace.day, self._workspace.local_station
        station = stations(day).get(code or "")
        if station is None or code is None:
            self._refuse(tr("Choose a station first: View, Local time of…"))
            return
        name = Places(day).station(code)
        if not station.trucks:
            self._refuse(f"{tr('{station} has no trucks in this day.').format(station=name)} {self._with_trucks()}")
        elif kind == "mend" and not self._has_trucks(code):
            words = tr("No service at {station} has a truck yet. Plan the trucks first, then a change can be mended.")
            self._refuse(words.format(station=name))
        else:
            self._start(kind, station=code)

    def _with_trucks(self) -> str:
        names = [row.name or row.code for row in self._workspace.day.stations if row.trucks]
        if not names:
            return tr("No other station has any either.")
        words = tr("Choose one that has, in View, Local time of…: {names}.")
        return words.format(names=", ".join(names[:NAMED]) + (", …" if len(names) > NAMED else ""))

    def _has_trucks(self, code: str) -> bool:
        known = rotations(self._workspace.day)
        return any(
            row.truck is not None and row.turn < len(found.turns) and found.turns[row.turn].station == code
            for found in known.values()
            for row in found.services
        )

    def again(self) -> None:
        """Plans once more what the proposal was for, on the day as it is now."""
        review = self.review
        if review is None:
            return
        wish = review.wish
        if wish.kind in ("rotations", "network"):
            known = self._plannable()
            self._rotations(tuple(name for name in wish.aircraft if name in known))
        elif wish.station in stations(self._workspace.day):
            self._start(wish.kind, station=wish.station)
        else:
            self._refuse(tr("The station is no longer in the day."))

    def _start(self, kind: Kind, aircraft: tuple[str, ...] = (), station: str = "") -> None:
        self._clear()
        workspace = self._workspace
        workspace.cancel_stroke()
        wish = Wish(kind, workspace.day, workspace.settled_projection, workspace.now, aircraft, station)
        self.running, self.handle = wish, Handle()
        handle = self.handle

        def work(report: Report) -> Review:
            # The planners bring their numerics with them: loaded here, they delay no paint and no click.
            from legtide.view.planning_work import review_of

            return review_of(wish, report, handle)

        self._jobs.start(TOPIC, work, self._arrive, self._fail)
        self.changed.emit()

    def _on_progress(self, topic: str, done: int, total: int) -> None:
        if topic == TOPIC and self.running is not None:
            self.progressed.emit(done, total)

    def stop(self) -> None:
        """Ends the search; the best plan so far comes up for review."""
        if self.running is not None:
            self.handle.stopped.set()

    def _refuse(self, sentence: str) -> None:
        self._clear()
        self.message = sentence
        self.said.emit(sentence)
        self.changed.emit()

    # answers ----------------------------------------------------------------------------------------------

    def _arrive(self, review: Review) -> None:
        self.running, self.review = None, review
        self._was_stale = self.stale
        self._mark()
        self.said.emit(tr("{title}: ready to look at").format(title=review.title))
        self.changed.emit()

    def _fail(self, error: BaseException) -> None:
        from legtide.plan.rotation.records import PlanError

        self.running = None
        if isinstance(error, PlanError):
            reason = str(error)
        else:
            _log.error("a plan could not be made", exc_info=error)
            reason = tr("something went wrong inside the planner; the day is as it was")
        self._refuse(tr("No plan was made: {reason}.").format(reason=reason))

    # the proposal on the board ----------------------------------------------------------------------------

    def _mark(self) -> None:
        review = self.review
        if review is None or self.stale:
            self._board.set_proposals(())
        elif self.previewing:
            self._board.set_proposals((), self._workspace.settled_projection)
        else:
            self._board.set_proposals(suggested(review), review.projection)

    def toggle_preview(self) -> None:
        """Shows the day as if the plan had been taken, or as it is."""
        review = self.review
        if self.previewing:
            self._end_preview()
        elif review is not None and self.can_preview():
            self._workspace.begin_stroke(review.step)
            self._workspace.preview(review.day)
            self.previewing = True
            self._mark()
            self.changed.emit()

    def _end_preview(self) -> None:
        """Shows the day as it is; a stroke of somebody else is not touched."""
        if self.previewing:
            self.previewing = False
            if self._workspace.in_stroke:
                self._workspace.cancel_stroke()
            self._mark()
            self.changed.emit()

    def _follow(self) -> None:
        """A drag or an edit ends the preview; an edit makes the proposal stale, its undoing makes it good again."""
        review = self.review
        if review is None:
            return
        if self.previewing and self._preview_ended(review):
            self.previewing = False
            self._mark()
            self.changed.emit()
        if self.stale != self._was_stale:
            self._was_stale = self.stale
            self._mark()
            self.changed.emit()

    def _preview_ended(self, review: Review) -> bool:
        workspace = self._workspace
        # Until the next frame the stroke still shows the day itself.
        return not workspace.in_stroke or not (workspace.shown is review.day or workspace.shown is workspace.day)

    def show(self, line: Line) -> None:
        """Shows the place on the board that a sentence speaks of."""
        go = self._board.navigate
        if line.service and go.reveal_service(line.service):
            return
        if line.turn < 0 or not go.reveal_turn(line.aircraft, line.turn):
            go.reveal(line.aircraft)

    # the end ----------------------------------------------------------------------------------------------

    def take(self) -> None:
        """Makes the proposal the day's plan, as one undo step."""
        review = self.review
        if review is None or not self.can_take():
            return
        self._clear()
        self._workspace.apply(review.day, review.step)
        self.said.emit(tr("Taken: {title}. One undo takes it back.").format(title=review.title))
        self.changed.emit()

    def leave(self) -> None:
        """Gives up what is running or under review; the day stays as it is."""
        if self.open:
            self._clear()
            self.changed.emit()

    def _clear(self) -> None:
        self._jobs.cancel(TOPIC)
        previewing, self.previewing = self.previewing, False
        self.running = self.review = None
        self.message = ""
        self._was_stale = False
        self._board.set_proposals(())
        if previewing:
            self._workspace.cancel_stroke()


def suggested(review: Review) -> tuple[tuple[Service, float], ...]:
    """Services of a proposal that are new or stand elsewhere than now, each with its start in minutes since 1970."""
    before, places = {row.id: row for row in review.wish.day.services}, Places(review.day)
    old = Places(review.wish.day)
    out = []
    for row in review.day.services:
        known, start = before.get(row.id), places.start(row)
        if start is None or row is known or row.state != "planned":
            continue
        if known is None or old.start(known) != start or known.target != row.target:
            out.append((row, to_minutes(start)))
    return tuple(out)
