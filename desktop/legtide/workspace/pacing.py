"""Pacing: of a burst of values only the last is worked on, at most once a frame."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, Qt, QTimer, Signal

FRAME_MS: Final = 16


class LatestWins(QObject):
    """Hands on the newest of the values offered since the last frame.

    The timer starts with the first value of a burst and is not started anew by the next ones: a steady
    stream of moves is served every frame, and the last of them is never lost.
    """

    due = Signal(object)

    def __init__(self, parent: QObject | None = None, interval_ms: int = FRAME_MS) -> None:
        super().__init__(parent)
        self._value: object | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(interval_ms)
        self._timer.timeout.connect(self.flush)

    @property
    def waiting(self) -> bool:
        """Whether a value is still to be handed on."""
        return self._value is not None

    def offer(self, value: object) -> None:
        """A newer value; it takes the place of one still waiting."""
        self._value = value
        if not self._timer.isActive():
            self._timer.start()

    def flush(self) -> None:
        """Hands on the waiting value now."""
        self._timer.stop()
        value, self._value = self._value, None
        if value is not None:
            self.due.emit(value)

    def drop(self) -> None:
        """Forgets the waiting value."""
        self._timer.stop()
        self._value = None
