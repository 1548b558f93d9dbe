"""Garbage is collected in the GUI thread alone.

Python collects in whichever thread allocates next. In a worker that would destroy widgets that are part of a cycle
(a closed dialog and its slots) outside the GUI thread, which the toolkit answers with a hang or a crash.
"""

from __future__ import annotations

import gc
from typing import Final

from PySide6.QtCore import QObject, QTimer

EVERY_MS: Final = 1_000


class Collector(QObject):
    """Takes automatic collection off, and looks once a second whether one is due."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        self._timer = QTimer(self)
        self._timer.setInterval(EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    def look(self) -> int:
        """Collects the oldest generation that is due; returns which, or -1 when none is."""
        counts, limits = gc.get_count(), gc.get_threshold()
        due = max((n for n in range(3) if limits[n] and counts[n] > limits[n]), default=-1)
        if due >= 0:
            gc.collect(due)
        return due

    def end(self) -> None:
        """Gives collection back to the interpreter."""
        self._timer.stop()
        gc.enable()
