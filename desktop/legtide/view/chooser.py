"""A list that narrows while one types: the command palette, and finding an aircraft, a flight or a station."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QIcon, QKeyEvent
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from legtide.draw.fonts import BODY_PX, SECONDARY_PX, text_width
from legtide.language import tr
from legtide.view.texts import plain_label

SHOWN: Final = 120
LEAST_PX: Final = 520
MOST_PX: Final = 760
AROUND_PX: Final = 104
"""Margins, an icon, the gap between text and detail, and the scroll bar."""
"""Rows shown at once; a longer list is narrowed by typing."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One row: its words, what stands on the right, and what choosing it does."""

    text: str
    detail: str
    run: Callable[[], object]
    icon: QIcon | None = None
    enabled: bool = True


def matches(wanted: str, text: str) -> int | None:
    """How well a text matches: 0 best; None not at all. Every typed word must stand in it."""
    low, words = text.casefold(), wanted.casefold().split()
    if not all(word in low for word in words):
        return None
    if not words or low.startswith(words[0]):
        return 0
    return 1 if f" {words[0]}" in low else 2


def _wide(choices: Sequence[Choice]) -> int:
    """A width in which text and detail stand beside one another, within bounds."""
    rows = (text_width(row.text, BODY_PX) + text_width(row.detail, SECONDARY_PX) for row in choices)
    return min(max(round(max(rows, default=0.0)) + AROUND_PX, LEAST_PX), MOST_PX)


class Chooser(QDialog):
    """A field and a list under it; arrows move in the list while one types, Enter chooses, Esc leaves."""

    def __init__(self, title: str, hint: str, choices: Sequence[Choice], parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("chooser")
        self.setWindowTitle(title)
        self.resize(QSize(_wide(choices), 420))
        self._choices = choices
        self._shown: list[Choice] = []
        self.field = QLineEdit(self)
        self.field.setPlaceholderText(hint)
        self.field.setAccessibleName(hint)
        self.field.setClearButtonEnabled(True)
        self.field.installEventFilter(self)
        self.list = QListWidget(self)
        self.list.setAccessibleName(title)
        self.list.setUniformItemSizes(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._note = plain_label("", "secondary", self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 12, 12, 12)
        layout.setSpacing(8)
        for widget in (self.field, self.list, self._note):
            layout.addWidget(widget)
        self.field.textChanged.connect(self._narrow)
        self.list.itemActivated.connect(lambda _item: self._choose())
        self._narrow("")

    def _narrow(self, wanted: str) -> None:
        ranked = [(matches(wanted, f"{row.text} {row.detail}"), row) for row in self._choices]
        found = [row for rank, row in sorted(((r, c) for r, c in ranked if r is not None), key=lambda pair: pair[0])]
        self._shown = found[:SHOWN]
        self.list.clear()
        for row in self._shown:
            self._add(row)
        self.list.setCurrentRow(0)
        hidden = len(found) - len(self._shown)
        none = tr("Nothing matches. Try fewer letters.")
        self._note.setText(none if not found else tr("{n} more: type to narrow").format(n=hidden) if hidden else "")
        self._note.setVisible(bool(self._note.text()))

    def _add(self, row: Choice) -> None:
        item = QListWidgetItem(self.list)
        item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{row.text} {row.detail}")
        item.setSizeHint(QSize(100, 32))
        if not row.enabled:
            item.setFlags(Qt.ItemFlag.ItemIsSelectable)
        line = QWidget()
        layout = QHBoxLayout(line)
        layout.setContentsMargins(8, 0, 8, 0)
        layout.setSpacing(8)
        if row.icon is not None:
            mark = plain_label()
            mark.setPixmap(row.icon.pixmap(QSize(16, 16), QIcon.Mode.Normal if row.enabled else QIcon.Mode.Disabled))
            layout.addWidget(mark)
        text = plain_label(row.text)
        text.setEnabled(row.enabled)
        layout.addWidget(text, 1)
        layout.addWidget(plain_label(row.detail, "secondary"))
        self.list.setItemWidget(item, line)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.field and event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            steps = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1, Qt.Key.Key_PageDown: 10, Qt.Key.Key_PageUp: -10}
            step = steps.get(Qt.Key(event.key()))
            if step is not None:
                last = max(self.list.count() - 1, 0)
                self.list.setCurrentRow(min(max(self.list.currentRow() + step, 0), last))
                return True
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self._choose()
                return True
        return super().eventFilter(watched, event)

    def _choose(self) -> None:
        row = self.list.currentRow()
        if 0 <= row < len(self._shown) and self._shown[row].enabled:
            chosen = self._shown[row]
            self.accept()
            chosen.run()
