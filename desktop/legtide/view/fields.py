"""Fields of forms: a line that says at once how it was read, or what is wrong with it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QCompleter, QLabel, QLineEdit, QVBoxLayout, QWidget

from legtide.view.readers import Read, Reader, ReadError
from legtide.view.texts import plain_label

LONG_CHOICE: Final = 30
"""Letters of a choice beyond which others than the chosen one give a box no width."""


class LineField(QWidget):
    """One line of text with its reader."""

    edited = Signal()

    def __init__(
        self,
        reader: Reader,
        text: str = "",
        hint: str = "",
        parent: QWidget | None = None,
        *,
        words: Sequence[str] = (),
    ) -> None:
        """`words` are offered while one types."""
        super().__init__(parent)
        self._reader = reader
        self._first = text
        self._read: Read | None = None
        self._refused = ""
        self._insists = bool(text)
        self.line = QLineEdit(text, self)
        self.line.setCursorPosition(0)
        self.line.setPlaceholderText(hint)
        self._note = plain_label("", "readAs", self)
        self._note.setWordWrap(True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self.line)
        layout.addWidget(self._note)
        self.setFocusProxy(self.line)
        if words:
            self.line.setCompleter(completer(words, self.line))
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
        return self._refused or ("" if self.valid else self._said)

    def refuse(self, sentence: str) -> None:
        """Shows why the value cannot stand beside the others, until it is edited; nothing takes that back."""
        if sentence != self._refused:
            self._refused = sentence
            self._show()

    def read_again(self) -> None:
        """Reads the same text again, as when something that the reader looks at has changed."""
        self._take()

    def put(self, text: str) -> None:
        """Another text that counts as untouched, as when a suggestion follows another field."""
        self._first = text
        self.line.setText(text)

    def focus(self) -> None:
        """Takes the keyboard, with the text selected; what is missing is wrong from now on."""
        self._insists = True
        self._show()
        self.line.setFocus()
        self.line.selectAll()

    def _take(self) -> None:
        self._refused = ""
        try:
            self._read = self._reader(self.line.text())
            self._said = self._read.read_as
        except ReadError as error:
            self._read, self._said = None, str(error)
        self._show()
        self.edited.emit()

    def _show(self) -> None:
        wrong = bool(self._refused) or (not self.valid and (self._insists or self.touched))
        said = self._refused or self._said
        # What was read is worth a line only where it says more than what was typed.
        show_note(self._note, "" if said == self.line.text().strip() else said, wrong=wrong)
        self.line.setProperty("problem", wrong)
        self.line.setAccessibleDescription(said)
        self.line.style().unpolish(self.line)
        self.line.style().polish(self.line)


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
        self._narrow()
        self._note = plain_label("", "problem", self)
        self._note.setWordWrap(True)
        self._note.hide()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self.box)
        layout.addWidget(self._note)
        self.setFocusProxy(self.box)
        self.box.currentIndexChanged.connect(self._on_chosen)

    def _narrow(self) -> None:
        """A box no wider than its chosen words need; its list is as wide as all of them."""
        if max((len(self.box.itemText(number)) for number in range(self.box.count())), default=0) <= LONG_CHOICE:
            return
        self.box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.box.setMinimumContentsLength(max(LONG_CHOICE, len(self.box.currentText())))
        self.box.view().setMinimumWidth(self.box.view().sizeHintForColumn(0) + 24)

    def _on_chosen(self, _index: int) -> None:
        self.refuse("")
        self.edited.emit()

    def refuse(self, sentence: str) -> None:
        """Shows why the choice cannot stand beside the other values; nothing takes that back."""
        show_note(self._note, sentence, wrong=True)
        self.box.setAccessibleDescription(sentence)

    def focus(self) -> None:
        """Takes the keyboard."""
        self.box.setFocus()

    def choose(self, value: Any) -> None:
        """Chooses a value."""
        self.box.setCurrentIndex(self._values.index(value))

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


def show_note(label: QLabel, words: str, *, wrong: bool) -> None:
    """Puts words under a field, as what was read or as what is wrong; without words the label goes."""
    label.setText(words)
    label.setVisible(bool(words))
    label.setObjectName("problem" if wrong else "readAs")
    label.style().unpolish(label)
    label.style().polish(label)


def completer(words: Sequence[str], line: QLineEdit) -> QCompleter:
    """Offers words that hold what is typed, whatever its case."""
    made = QCompleter(list(words), line)
    made.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
    made.setFilterMode(Qt.MatchFlag.MatchContains)
    made.setMaxVisibleItems(10)
    return made
