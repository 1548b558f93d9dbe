"""The wall view: a day's file on the whole screen, with nothing to edit, that follows the file as it changes."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QCloseEvent, QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from legtide.draw.picture import home_station
from legtide.draw.words import hhmm
from legtide.language import tr
from legtide.view.banner import Banner
from legtide.view.calls import calls, left_text
from legtide.view.texts import date_text, plain_label
from legtide.view.theme import Theme
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.day_files import OnlookersFiles
from legtide.workspace.storage import StorageError
from legtide.workspace.watch import FileWatch
from legtide.workspace.workspace import Workspace

CLOCK_MS: Final = 5_000
NEXT_CALLS: Final = 4


class WallView(QWidget):
    """Title, clock, board and the next calls. It holds no lock: whoever edits the file is not disturbed."""

    def __init__(self, path: Path, theme: Theme, station: str | None, parent: QWidget) -> None:
        """Shows a file. Raises StorageError when it cannot be read."""
        files = OnlookersFiles()
        day = files.load(path).day
        super().__init__(parent, Qt.WindowType.Window)
        self.setObjectName("wall")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._theme = theme
        self.workspace = Workspace(day, storage=files, parent=self)
        self.workspace.open(path)
        self.workspace.set_local_station(station or home_station(self.workspace.day))
        self.board = BoardCanvas(self.workspace, self, dark=theme.dark, legend=True)
        self.board.set_density("fit")
        self.board.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.board.viewport().setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.banner = Banner(theme, self)
        self.title = plain_label("", "title")
        self.date = plain_label("", "subtitle")
        self.open_warnings = plain_label("", "subtitle")
        self.clock = plain_label("", "wallClock")
        self._calls: list[tuple[QLabel, QLabel]] = []
        self._lay_out()
        self.watch = FileWatch(self.workspace)
        self.watch.changed_outside.connect(self._read_again)
        self.workspace.changed.connect(self.refresh)
        theme.changed.connect(self._on_theme)
        self._tick = QTimer(self)
        self._tick.setInterval(CLOCK_MS)
        self._tick.timeout.connect(self.tick)
        self._tick.start()
        self.tick()

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.setContentsMargins(18, 8, 18, 8)
        top.setSpacing(14)
        for label in (self.title, self.date, self.open_warnings):
            top.addWidget(label)
        top.addStretch(1)
        top.addWidget(self.clock)
        below = QGridLayout()
        below.setContentsMargins(18, 8, 18, 10)
        below.setHorizontalSpacing(18)
        below.setColumnStretch(1, 1)
        below.addWidget(plain_label(tr("Next calls"), "heading"), 0, 0, 1, 2)
        for row in range(NEXT_CALLS):
            pair = (plain_label("", "wallCall"), plain_label("", "wallCall"))
            for column, label in enumerate(pair):
                below.addWidget(label, row + 1, column)
            self._calls.append(pair)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addLayout(top)
        layout.addWidget(self.banner)
        layout.addWidget(self.board, 1)
        layout.addLayout(below)

    # following --------------------------------------------------------------------------------------------

    def tick(self) -> None:
        """Takes the present minute as now; a file that is again as it was shown needs no caution any more."""
        if self.banner.text and not self.workspace.changed_outside():
            self.banner.clear()
        self.workspace.set_now(datetime.now(UTC).replace(second=0, microsecond=0))
        self.refresh()

    def _read_again(self) -> None:
        """Shows the new version; one that cannot be read leaves the old one standing, and says so."""
        try:
            self.workspace.reload()
        except StorageError as error:
            words = tr("The file cannot be read now: {reason} This is how it was before.")
            self.banner.show_text(words.format(reason=error), closable=False, kind="act")
            return
        self.banner.clear()

    def _on_theme(self) -> None:
        self.board.set_dark(self._theme.dark)

    def refresh(self) -> None:
        """Shows title, clock and calls again."""
        workspace = self.workspace
        day, now = workspace.day, workspace.now
        self.setWindowTitle(tr("{title} – wall view").format(title=day.title or tr("Untitled day")))
        self.title.setText(day.title or tr("Untitled day"))
        self.date.setText(date_text(day.date))
        self.clock.setText("" if now is None else tr("{time} UTC").format(time=hhmm(now)))
        breaches = sum(row.severity == "breach" for row in workspace.projection.warnings)
        watched = sum(row.severity == "caution" for row in workspace.projection.warnings)
        words = tr("act now {act} · watch {watch}")
        self.open_warnings.setText(words.format(act=breaches, watch=watched))
        # What should have begun by now is no call any more: it is to be marked done or missed.
        found = [row for row in calls(day, workspace.projection) if now is None or (row.start or row.by) >= now]
        for number, (left, text) in enumerate(self._calls):
            call = found[number] if number < len(found) else None
            left.setText("" if call is None else left_text(call.by, now))
            text.setText("" if call is None else f"{call.aircraft}: {call.text}")
        if not found:
            self._calls[0][1].setText(tr("Nobody is to be called."))

    def call_texts(self) -> list[str]:
        """The calls that are shown, in words."""
        return [text.text() for _, text in self._calls if text.text()]

    # leaving ----------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Escape, Qt.Key.Key_F11):
            self.close()
            return
        super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        self._tick.stop()
        self.workspace.close()
        event.accept()
