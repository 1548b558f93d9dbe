"""Fields of forms: a line that says at once how it was read, or what is wrong with it."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QLineEdit, QVBoxLayout, QWidget

from legtide.view.readers import Read, Reader, ReadError
from legtide.view.texts import plain_label


class LineField(QWidget):
    """One line of text with its reader."""

    edited = Signal()

    def __init__(self, reader: Reader, text: str = "", hint: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._reader = reader
        self._first = text
        self._read: Read | None = None
        self.line = QLineEdit(text, self)
        self.line.setPlaceholderText(hint)
        self._note = plain_label("", "readAs", self)
        self._note.setWordWrap(True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self.line)
        layout.addWidget(self._note)
        self.setFocusProxy(self.line)
        self.line.textChanged.connect(self._take)
        self._take()

    @property
    def touched(self) -> bool:
        """Whether the text is another than at first."""
        return self.line.text() != self._first

    @property
    def valid(self) -> bool:
        """Whether the text could be read."""
        return self._read is not None

    @property
    def value(self) -> Any:
        """What was read. Only to be asked of a valid field."""
        assert self._read is not None  # noqa: S101  (a form reads its fields only when all are valid)
        return self._read.value

    @property
    def problem(self) -> str:
        """What is wrong with the text, or nothing."""
        return "" if self.valid else self._note.text()

    def _take(self) -> None:
        try:
            self._read = self._reader(self.line.text())
            note = self._read.read_as
        except ReadError as error:
            self._read, note = None, str(error)
        self._note.setText(note)
        self._note.setVisible(bool(note))
        self._mark(not self.valid)
        self.edited.emit()

    def _mark(self, wrong: bool) -> None:
        self._note.setObjectName("problem" if wrong else "readAs")
        self.line.setProperty("problem", wrong)
        self.line.setAccessibleDescription(self._note.text())
        for widget in (self.line, self._note):
            widget.style().unpolish(widget)
            widget.style().polish(widget)


class ChoiceField(QWidget):
    """One of a few values, each with its words."""

    edited = Signal()

    def __init__(self, choices: dict[Any, str], chosen: Any, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._values = list(choices)
        self._first = chosen
        self.box = QComboBox(self)
        self.box.addItems(list(choices.values()))
        self.box.setCurrentIndex(self._values.index(chosen) if chosen in self._values else 0)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.box)
        self.setFocusProxy(self.box)
        self.box.currentIndexChanged.connect(lambda _index: self.edited.emit())

    @property
    def touched(self) -> bool:
        """Whether another value is chosen than at first."""
        return bool(self.value != self._first)

    @property
    def valid(self) -> bool:
        """A choice is always one of the choices."""
        return True

    @property
    def value(self) -> Any:
        """The chosen value."""
        return self._values[self.box.currentIndex()]
