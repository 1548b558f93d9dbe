"""The sheet of keys: made from the registry of actions, and from what the board does itself."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from legtide.language import tr
from legtide.view.actions import Registry, group_of
from legtide.view.texts import plain_label

BOARD_KEYS: Final = (
    ("Tab", "Next service"),
    ("Shift+Tab", "Service before"),
    ("Up / Down", "Row above or below"),
    ("Left / Right", "Turn before or after; with a service or leg selected: move it by a minute"),
    ("Shift+Left / Shift+Right", "Move the service or leg by five minutes"),
    ("Ctrl+Left / Ctrl+Right", "Move the service to another turn; with a leg selected: leg before or after"),
    ("Ctrl+Up / Ctrl+Down", "Give the service to another truck"),
    ("PgUp / PgDown", "Pan through the day"),
    ("Shift+PgUp / Shift+PgDown", "Scroll through the rows"),
    ("Home / End", "Begin or end of the day"),
    ("Return", "Place what is moved; otherwise open its menu"),
    ("Esc", "Put back what is moved; otherwise select nothing"),
    ("Ctrl+Wheel", "Zoom"),
    ("Shift+Wheel", "Scroll through the day"),
)
COLUMNS: Final = 2


class KeySheet(QDialog):
    """All keys, by group."""

    def __init__(self, registry: Registry, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("keySheet")
        self.setWindowTitle(tr("Keys"))
        self.resize(QSize(860, 600))
        groups: dict[str, list[tuple[str, str]]] = {tr("Board"): [(tr(key), tr(text)) for key, text in BOARD_KEYS]}
        for action in registry:
            if action.keys:
                groups.setdefault(group_of(action), []).append((action.keys[0], action.text))
        inner = QWidget()
        inner.setObjectName("scrolled")
        columns = QHBoxLayout(inner)
        columns.setContentsMargins(0, 0, 8, 0)
        columns.setSpacing(12)
        stacks = [QVBoxLayout() for _ in range(COLUMNS)]
        for stack in stacks:
            stack.setSpacing(12)
            columns.addLayout(stack, 1)
        heights = [0] * COLUMNS
        for title, rows in groups.items():
            shortest = heights.index(min(heights))
            stacks[shortest].addWidget(self._group(title, rows))
            heights[shortest] += len(rows) + 2
        for stack in stacks:
            stack.addStretch(1)
        area = QScrollArea()
        area.setAccessibleName(tr("Keys"))
        area.setWidget(inner)
        area.setWidgetResizable(True)
        close = QPushButton(tr("Close"))
        close.clicked.connect(self.accept)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("Keys"), "heading"))
        layout.addWidget(area, 1)
        layout.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)

    @staticmethod
    def _group(title: str, rows: list[tuple[str, str]]) -> QFrame:
        frame = QFrame()
        frame.setObjectName("paper")
        grid = QGridLayout(frame)
        grid.setContentsMargins(12, 10, 12, 10)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(6)
        grid.setColumnStretch(1, 1)
        grid.addWidget(plain_label(title, "strong"), 0, 0, 1, 2)
        for number, (key, text) in enumerate(rows, start=1):
            words = plain_label(text, "small")
            words.setWordWrap(True)
            grid.addWidget(
                plain_label(native_keys(key), "key"),
                number,
                0,
                Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop,
            )
            grid.addWidget(words, number, 1)
        return frame


def native_keys(text: str) -> str:
    """A key as the platform writes it; words such as "Wheel" stay as they are."""
    parts = [
        QKeySequence(part).toString(QKeySequence.SequenceFormat.NativeText) or part for part in text.split(" / ")
    ]
    return " / ".join(parts)
