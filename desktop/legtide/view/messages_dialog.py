"""Pasting messages: while text is put in, what it would change, and every line that is not understood and why."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QPlainTextEdit,
    QPushButton,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from legtide.day.document import Day
from legtide.day.quoting import printable
from legtide.files.messages import Outcome, apply, read_messages
from legtide.language import counted, tr
from legtide.view.report_rows import Rows, rows_table
from legtide.view.texts import plain_label
from legtide.workspace.jobs import Jobs, Report
from legtide.workspace.workspace import Workspace

TOPIC: Final = "messages"
PAUSE_MS: Final = 150
"""How long typing rests before the text is read again."""
EXAMPLE: Final = (
    "MVT\nX0201/12.QMAUK.OZM\nAD122235/122251 EA2337 TQB\nDL34/0010\nPX154\n\nREADING QM-AUK 0112 FRESH 40 WASTE 70"
)


class MessagesDialog(QDialog):
    """Takes text, shows what comes of it, and puts it on the day as one step that can be undone."""

    def __init__(self, workspace: Workspace, jobs: Jobs, take: Callable[[Day, str], str], parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("messages")
        self.setWindowTitle(tr("Paste messages"))
        self.resize(QSize(820, 640))
        self._workspace = workspace
        self._jobs = jobs
        self._take_day = take
        self._pause = QTimer(self)
        self.outcome: Outcome | None = None
        self._base = workspace.day
        self.text = QPlainTextEdit()
        self.summary = plain_label("", "strong")
        self.problem = plain_label("", "problem")
        self.changes = Rows((tr("Line"), tr("Leg or station"), tr("What"), tr("Now"), tr("Then")), self)
        self.refused = Rows((tr("Line"), tr("As pasted"), tr("Why it is not taken")), self)
        self.notes = Rows((tr("Line"), tr("What is said besides")), self)
        self.tabs = QTabWidget()
        self.take = QPushButton(tr("Apply"))
        self._set_up()
        self._lay_out()
        self._show(apply(self._base, read_messages("")))

    def _set_up(self) -> None:
        self.text.setAccessibleName(tr("Text of the messages"))
        self.text.setPlaceholderText(tr("Such as:") + "\n" + EXAMPLE)
        self.text.setTabChangesFocus(True)
        self.text.textChanged.connect(self._on_text)
        self.problem.setWordWrap(True)
        self.problem.hide()
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self._read)
        self.tabs.addTab(rows_table(self.changes, (60, 240, 130, 150), tr("Changes")), "")
        self.tabs.addTab(rows_table(self.refused, (60, 250), tr("Not taken")), "")
        self.tabs.addTab(rows_table(self.notes, (60,), tr("Said besides")), "")
        self.take.setDefault(True)
        self.take.clicked.connect(self._take)
        self.finished.connect(lambda _result: self._jobs.cancel(TOPIC))

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("Paste messages"), "heading"))
        about = plain_label(
            tr(
                "Movement messages (MVT, MVA), load messages (LDM), weather (METAR, SPECI, TAF), and gauge readings "
                "(READING); times in UTC."
            ),
            "secondary",
        )
        about.setWordWrap(True)
        layout.addWidget(about)
        below = QWidget()
        lower = QVBoxLayout(below)
        lower.setContentsMargins(0, 8, 0, 0)
        lower.setSpacing(8)
        for widget in (self.summary, self.problem):
            lower.addWidget(widget)
        lower.addWidget(self.tabs, 1)
        parts = QSplitter(Qt.Orientation.Vertical)
        parts.addWidget(self.text)
        parts.addWidget(below)
        parts.setChildrenCollapsible(False)
        parts.setSizes([220, 320])
        layout.addWidget(parts, 1)
        layout.addLayout(self._buttons())

    def _buttons(self) -> QHBoxLayout:
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addWidget(plain_label(tr("Applying is one step that can be undone; no file is written."), "fine"), 1)
        cancel = QPushButton(tr("Cancel"))
        cancel.setAutoDefault(False)
        cancel.clicked.connect(self.reject)
        buttons.addWidget(cancel)
        buttons.addWidget(self.take)
        return buttons

    # reading ----------------------------------------------------------------------------------------------

    def _on_text(self) -> None:
        # What is shown belongs to other text from here on: it must not be applied.
        self.outcome = None
        self.take.setEnabled(False)
        self.problem.hide()
        self._pause.start()

    def _read(self) -> None:
        text, day = self.text.toPlainText(), self._workspace.day

        def work(report: Report) -> Outcome:
            report.progress(0, 1)
            return apply(day, read_messages(text))

        self._base = day
        self._jobs.start(TOPIC, work, self._show, self._fail)

    def _show(self, outcome: Outcome) -> None:
        if self._pause.isActive():
            return  # the text has changed meanwhile
        self.outcome = outcome
        self.changes.put([(str(row.line), row.what, row.field, row.before, row.after) for row in outcome.changes])
        self.refused.put([(str(row.line), printable(row.text), row.reason) for row in outcome.not_understood])
        self.notes.put([(str(row.line), printable(row.text)) for row in outcome.notes])
        changes, refused = len(outcome.changes), len(outcome.not_understood)
        words = counted(changes, "{n} change", "{n} changes") if changes else tr("Nothing changes")
        if self.text.document().isEmpty():
            words = tr("Nothing is pasted yet")
        if refused:
            words += tr("; ") + counted(refused, "{n} line is not taken", "{n} lines are not taken")
        self.summary.setText(words)
        self.take.setEnabled(changes > 0)
        self._name_tabs(changes, refused, len(outcome.notes))

    def _name_tabs(self, changes: int, refused: int, notes: int) -> None:
        self.tabs.setTabText(0, tr("Changes ({n})").format(n=changes))
        self.tabs.setTabText(1, tr("Not taken ({n})").format(n=refused))
        self.tabs.setTabText(2, tr("Said besides ({n})").format(n=notes))
        self.tabs.setCurrentIndex(0 if changes or not refused else 1)

    def _fail(self, error: BaseException) -> None:
        self.problem.setText(tr("The messages cannot be read: {reason}").format(reason=error))
        self.problem.show()

    def _take(self) -> None:
        if self.outcome is None:
            return
        if self._base is not self._workspace.day:
            self._read()  # the day has moved on: what is shown is made anew first
            return
        problem = self._take_day(self.outcome.day, tr("Apply messages"))
        if problem:
            self.problem.setText(problem)
            self.problem.show()
            return
        self.accept()
