"""Alternatives of one day: named plans side by side, each with its own steps that can be undone.

One of them is open at a time: that is the day that is shown, edited and saved. The others wait as they were left.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject
from PySide6.QtGui import QUndoStack

from legtide.day.document import Day
from legtide.language import tr

UNDO_STEPS: Final = 500
FIRST: Final = "First plan"
MOST: Final = 12
LONGEST: Final = 40
"""Characters in a name."""


class AlternativeError(ValueError):
    """An alternative that cannot be kept, opened or dropped; the message says why."""


class Alternative:
    """One plan of the day."""

    def __init__(self, name: str, day: Day, owner: QObject) -> None:
        self.name = name
        self.day = day
        """As it was left; of the open one the workspace knows the day."""
        self.stack = QUndoStack(owner)
        self.stack.setUndoLimit(UNDO_STEPS)


class Alternatives:
    """All plans of the day, in the order in which they were made; there is always one that is open."""

    def __init__(self, day: Day, owner: QObject) -> None:
        self._owner = owner
        self._rows = [Alternative(FIRST, day, owner)]
        self.open = self._rows[0]

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all of them."""
        return tuple(row.name for row in self._rows)

    @property
    def others(self) -> dict[str, Day]:
        """Name -> day of those that are not open."""
        return {row.name: row.day for row in self._rows if row is not self.open}

    def add(self, name: str, day: Day) -> Alternative:
        """A further alternative. Raises AlternativeError when the name will not do or there are too many."""
        name = " ".join(name.split())
        if not name:
            raise AlternativeError(tr("an alternative needs a name"))
        if len(name) > LONGEST:
            raise AlternativeError(tr("the name is longer than {n} characters").format(n=LONGEST))
        if name.casefold() in (other.casefold() for other in self.names):
            raise AlternativeError(tr("there is already an alternative called {name}").format(name=name))
        if len(self._rows) >= MOST:
            raise AlternativeError(tr("there are {n} alternatives already: drop one first").format(n=MOST))
        made = Alternative(name, day, self._owner)
        self._rows.append(made)
        return made

    def named(self, name: str) -> Alternative:
        """The alternative of a name. Raises AlternativeError when there is none."""
        for row in self._rows:
            if row.name == name:
                return row
        raise AlternativeError(tr("there is no alternative called {name}").format(name=name))

    def drop(self, name: str) -> None:
        """Gives up one that is not open. Raises AlternativeError."""
        row = self.named(name)
        if row is self.open:
            raise AlternativeError(tr("{name} is open: switch to another one first").format(name=name))
        self._rows.remove(row)
        row.stack.deleteLater()

    def forget(self) -> None:
        """Keeps the open one alone, under the first name and with nothing to undo."""
        for row in self._rows:
            if row is not self.open:
                row.stack.deleteLater()
        self._rows = [self.open]
        self.open.name = FIRST
        self.open.stack.clear()
