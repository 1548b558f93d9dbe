"""The reports of the program's own faults: what they say, where they are, and that they stay on this machine."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog, QHBoxLayout, QPlainTextEdit, QPushButton, QVBoxLayout, QWidget

from legtide.language import tr
from legtide.view.texts import plain_label

MOST_BYTES: Final = 200_000
"""Of each file, from its end: a report is read by people."""
FILES: Final = ("fault-*.txt", "crashes.log", "legtide.log")


def report_text(folder: Path) -> str:
    """The last of what the reports in a folder say; empty when nothing has gone wrong."""
    parts = []
    for pattern in FILES:
        for path in sorted(folder.glob(pattern)):
            try:
                text = path.read_bytes()[-MOST_BYTES:].decode("utf-8", "replace").strip()
            except OSError as error:
                text = str(error)
            if text:
                parts.append(f"{path.name}\n{'-' * len(path.name)}\n{text}\n")
    return "\n".join(parts)


class ReportsDialog(QDialog):
    """Shows the reports; copying them is for the user to do, sending them as well."""

    def __init__(self, folder: Path, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("reports")
        self.setWindowTitle(tr("Crash reports"))
        self.resize(QSize(860, 560))
        self.text = QPlainTextEdit()
        self.text.setReadOnly(True)
        self.text.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.text.setAccessibleName(tr("Reports"))
        self.text.setTabChangesFocus(True)
        said = report_text(folder)
        self.text.setPlainText(said or tr("Nothing has gone wrong since the reports began."))
        self.copy = QPushButton(tr("Copy the reports"))
        self.copy.setEnabled(bool(said))
        self.copy.setAutoDefault(False)
        self.copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(said))
        self._lay_out(folder)

    def _lay_out(self, folder: Path) -> None:
        about = plain_label(
            tr(
                "What went wrong inside the program. The reports stay on this machine; nothing is sent. They may "
                "name files and flights: read them before you pass them on."
            ),
            "secondary",
        )
        about.setWordWrap(True)
        where = plain_label(str(folder), "small")
        where.setWordWrap(True)
        where.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        close = QPushButton(tr("Close"))
        close.setDefault(True)
        close.clicked.connect(self.accept)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addWidget(self.copy)
        buttons.addStretch(1)
        buttons.addWidget(close)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("Crash reports"), "heading"))
        for widget in (about, where):
            layout.addWidget(widget)
        layout.addWidget(self.text, 1)
        layout.addLayout(buttons)
