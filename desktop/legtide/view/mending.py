"""After an edit that leaves a station's trucks with services that they cannot work: the offer to mend their plan."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, Signal

from legtide.day.document import Service
from legtide.day.rotations import rotations
from legtide.draw.words import hhmm
from legtide.language import counted, tr
from legtide.view.planning import Planning
from legtide.view.planning_words import Places, named
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace

NAMED: Final = 3
"""Most services named in the sentence."""


class Mending(QObject):
    """Watches what edits break, and offers a new plan of the station with the most broken services.

    What a day brings along when it is opened is no news: the offer comes with the edit that broke something.
    """

    changed = Signal()
    """The offer came, changed or is no longer needed."""

    def __init__(
        self, workspace: Workspace, board: BoardCanvas, planning: Planning, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._workspace = workspace
        self._board = board
        self._planning = planning
        self._before: frozenset[str] = frozenset()
        self.station = ""
        """Code of the station whose trucks' plan no longer works; empty when nothing is offered."""
        self.sentence = ""
        workspace.edited.connect(self._look)
        workspace.document_changed.connect(self._restart)
        workspace.alternatives_changed.connect(self._begin)
        self._restart()

    def _restart(self) -> None:
        """Another day may have been opened: then there is nothing to undo."""
        if self._workspace.undo_stack.count() == 0:
            self._begin()

    def _begin(self) -> None:
        self._before = frozenset(self._broken())
        self._offer("", "")

    def _broken(self) -> dict[str, str]:
        """Id of each broken service that has a truck -> code of its station."""
        broken, known = self._board.model.broken, rotations(self._workspace.day)
        out = {}
        for row in self._workspace.day.services:
            turns = known[row.aircraft].turns if row.aircraft in known else ()
            if row.id in broken and row.truck is not None and row.turn < len(turns):
                out[row.id] = turns[row.turn].station
        return out

    def _look(self) -> None:
        found = self._broken()
        before, self._before = self._before, frozenset(found)
        news = [code for name, code in found.items() if name not in before]
        station = max(news, key=news.count) if news else self.station
        ids = {name for name, code in found.items() if code == station}
        self._offer(station, self._words(station, ids)) if ids else self._offer("", "")

    def _words(self, station: str, ids: set[str]) -> str:
        places = Places(self._workspace.day)
        rows = [row for row in self._workspace.day.services if row.id in ids]
        head = counted(len(rows), "{n} service of a truck no longer works", "{n} services of trucks no longer work")
        names = ", ".join(self._name(places, row) for row in rows[:NAMED])
        if len(rows) > NAMED:
            names += ", …"
        words = tr("{head} at {station}: {names}.")
        return words.format(head=head, station=places.station(station), names=names)

    @staticmethod
    def _name(places: Places, row: Service) -> str:
        start = places.start(row)
        return named(row) if start is None else f"{named(row)} {hhmm(start)}"

    def _offer(self, station: str, sentence: str) -> None:
        if (station, sentence) != (self.station, self.sentence):
            self.station, self.sentence = station, sentence
            self.changed.emit()

    def mend(self) -> None:
        """Does what is offered."""
        if self.station:
            self._workspace.set_local_station(self.station)
            self._planning.mend_trucks()
