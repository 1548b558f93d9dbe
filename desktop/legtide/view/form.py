"""A form: labelled fields, validated where they are typed, taken as one edit.

Fields stand in sections, sections in columns, and larger forms have pages. Nothing is taken while a field is wrong:
the first wrong one gets the keyboard. A `guarded` form asks before it is left with something typed in it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any, Final, Protocol, TypeAlias, runtime_checkable

from PySide6.QtCore import QEvent, QTimer
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from legtide.language import tr
from legtide.view.dialogs import Answer, ask
from legtide.view.fields import ChoiceField, LineField
from legtide.view.form_pages import FormPages
from legtide.view.texts import menu_text, plain_label

LEAST_PX: Final = 500
WEIGHED_MS: Final = 150
"""How long after the last key the consequences are worked out."""
Field: TypeAlias = LineField | ChoiceField
Take: TypeAlias = Callable[[dict[str, Any]], str]
"""Gets the values of the fields that were changed; gives a sentence when they cannot be taken, else nothing."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """What would come of a form's values."""

    refused: tuple[tuple[str, str], ...] = ()
    """Name of a field (empty: the whole form) and why it cannot be so."""
    follows: str = ""
    """What the edit takes along, in sentences."""


Weigh: TypeAlias = Callable[[dict[str, Any]], Weighed]


@runtime_checkable
class Part(Protocol):
    """What a form needs of a field or a table."""

    @property
    def touched(self) -> bool: ...
    @property
    def valid(self) -> bool: ...
    @property
    def value(self) -> Any: ...
    @property
    def edited(self) -> Any: ...
    def focus(self) -> None: ...
    def refuse(self, sentence: str) -> None: ...


class Form(QDialog):
    """Fields under a title, with one button that takes them and one that leaves."""

    def __init__(
        self,
        title: str,
        about: str,
        take: Take,
        parent: QWidget,
        *,
        accept: str = "",
        weigh: Weigh | None = None,
        guarded: bool = False,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("form")
        self.setWindowTitle(title)
        self.setMinimumWidth(LEAST_PX)
        self._take = take
        self._weigh = weigh
        self._guarded = guarded
        self._pressed = False
        self.fields: dict[str, Any] = {}
        self._homes: dict[str, int] = {}
        layout = self._layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(12)
        layout.addWidget(plain_label(title, "heading"))
        note = plain_label(about, "secondary")
        note.setWordWrap(True)
        note.setVisible(bool(about))
        layout.addWidget(note)
        self.pages = FormPages(self)
        layout.addWidget(self.pages, 1)
        self._follows = plain_label("", "secondary")
        self._problem = plain_label("", "problem")
        for words in (self._follows, self._problem):
            words.setWordWrap(True)
            words.hide()
            layout.addWidget(words)
        layout.addLayout(self._buttons(accept or tr("Apply")))
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(WEIGHED_MS)
        self._soon.timeout.connect(self.weigh)

    def _buttons(self, accept: str) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addStretch(1)
        self.cancel = QPushButton(tr("Cancel"), self)
        self.cancel.setAutoDefault(False)
        self.cancel.clicked.connect(self.reject)
        self.button = QPushButton(menu_text(accept), self)
        self.button.setDefault(True)
        self.button.clicked.connect(self._accept)
        row.addWidget(self.cancel)
        row.addWidget(self.button)
        return row

    # filling ----------------------------------------------------------------------------------------------

    def add(self, name: str, label: str, field: Field) -> None:
        """One more field; `name` is the key of its value."""
        target = field.line if isinstance(field, LineField) else field.box
        target.setAccessibleName(label)
        target.setObjectName(f"{name}Field")
        self.pages.add_row(label, field)
        self._keep(name, field)

    def add_part(self, name: str, part: QWidget, label: str = "") -> None:
        """Something larger than a field, such as a table, across the column; with a label, beside it."""
        if label:
            self.pages.add_row(label, part)
        else:
            self.pages.add_wide(part)
        self._keep(name, part)

    def _keep(self, name: str, part: Any) -> None:
        self.fields[name] = part
        self._homes[name] = self.pages.here
        part.edited.connect(self._on_edited)
        self._mark_pages()

    # following --------------------------------------------------------------------------------------------

    @property
    def touched(self) -> bool:
        """Whether anything is different from what it was at first."""
        return any(field.touched for field in self.fields.values())

    def values(self) -> dict[str, Any]:
        """The values of the fields that were changed. Only to be asked when all are valid."""
        return {name: field.value for name, field in self.fields.items() if field.touched}

    def _on_edited(self) -> None:
        self._problem.hide()
        self._mark_pages()
        if self._weigh is not None:
            self._soon.start()

    def _mark_pages(self) -> None:
        wrong = {name for name, field in self.fields.items() if not field.valid and (self._pressed or field.touched)}
        self.pages.mark({self._homes[name] for name in wrong})

    def weigh(self) -> Weighed:
        """Works out what would come of the values, and shows what cannot be so at the fields."""
        self._soon.stop()
        if self._weigh is None or not all(field.valid for field in self.fields.values()):
            self._follows.hide()
            return Weighed()
        found = self._weigh(self.values())
        by_field = dict(reversed(found.refused))
        for name, field in self.fields.items():
            field.refuse(by_field.get(name, ""))
        self._say(self._problem, "\n".join(why for name, why in found.refused if name not in self.fields))
        self._say(self._follows, found.follows)
        return found

    def _say(self, label: QLabel, words: str) -> None:
        label.setText(words)
        label.setVisible(bool(words))

    def _focus_first(self, wrong: Collection[str]) -> None:
        for name, field in self.fields.items():
            if name in wrong:
                self.pages.show_page(self._homes[name])
                field.focus()
                return

    def _accept(self) -> None:
        self._pressed = True
        self._mark_pages()
        wrong = [name for name, field in self.fields.items() if not field.valid]
        wrong = wrong or [name for name, _why in self.weigh().refused]
        if wrong:
            self._focus_first(wrong)
            return
        problem = self._take(self.values())
        self._say(self._problem, problem)
        if not problem:
            self.accept()

    # leaving ----------------------------------------------------------------------------------------------

    def reject(self) -> None:
        """Leaves, after asking when something would be lost."""
        if not (self._guarded and self.isVisible() and self.touched):
            self.discard()
            return
        ask(
            self,
            tr("Leave without applying?"),
            tr("What you entered in this window would be lost."),
            [
                Answer(tr("Go on editing"), role="reject"),
                Answer(tr("Discard"), self.discard, "destroy"),
            ],
        )

    def discard(self) -> None:
        """Leaves at once, whatever was typed."""
        super().reject()

    # size -------------------------------------------------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        """The keyboard begins at the first field and goes down to the buttons."""
        stops = self.pages.stops()
        if stops and self.fields:
            QWidget.setTabOrder(stops[-1], self.cancel)
            QWidget.setTabOrder(self.cancel, self.button)
            next(iter(self.fields.values())).setFocus()
        super().showEvent(event)

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest:
            QTimer.singleShot(0, self, self._grow)
        return super().event(event)

    def _grow(self) -> None:
        """Makes room for notes that have come, as far as the screen has it."""
        room = self.screen().availableGeometry().size()
        wanted = self.sizeHint()
        width = min(max(self.width(), wanted.width()), room.width() - 40)
        height = min(max(self.height(), self._layout.totalHeightForWidth(width), wanted.height()), room.height() - 60)
        if (width, height) != (self.width(), self.height()):
            self.resize(width, height)
