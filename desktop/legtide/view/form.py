"""A form: labelled fields, validated where they are typed, taken as one edit."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any, Final, TypeAlias

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QDialog, QFormLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from legtide.language import tr
from legtide.view.fields import ChoiceField, LineField
from legtide.view.texts import menu_text, plain_label

LEAST_PX: Final = 500
Field: TypeAlias = LineField | ChoiceField
Take: TypeAlias = Callable[[dict[str, Any]], str]
"""Gets the values of the fields that were changed; gives a sentence when they cannot be taken, else nothing."""


class Form(QDialog):
    """Fields under a title, with one button that takes them and one that leaves."""

    def __init__(self, title: str, about: str, take: Take, parent: QWidget, *, accept: str = "") -> None:
        super().__init__(parent)
        self.setObjectName("form")
        self.setWindowTitle(title)
        self.setMinimumWidth(LEAST_PX)
        self._take = take
        self.fields: dict[str, Field] = {}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(12)
        layout.addWidget(plain_label(title, "heading"))
        note = plain_label(about, "secondary")
        note.setWordWrap(True)
        note.setVisible(bool(about))
        layout.addWidget(note)
        self._rows = QFormLayout()
        self._rows.setHorizontalSpacing(12)
        self._rows.setVerticalSpacing(8)
        self._rows.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self._rows.setLabelAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        layout.addLayout(self._rows)
        layout.addStretch(1)
        self._problem = plain_label("", "problem")
        self._problem.setWordWrap(True)
        self._problem.hide()
        layout.addWidget(self._problem)
        layout.addLayout(self._buttons(accept or tr("Apply")))

    def _buttons(self, accept: str) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addStretch(1)
        self.cancel = cancel = QPushButton(tr("Cancel"), self)
        cancel.setAutoDefault(False)
        cancel.clicked.connect(self.reject)
        self.button = QPushButton(menu_text(accept), self)
        self.button.setDefault(True)
        self.button.clicked.connect(self._accept)
        row.addWidget(cancel)
        row.addWidget(self.button)
        return row

    def add(self, name: str, label: str, field: Field) -> None:
        """One more field; `name` is the key of its value."""
        words = plain_label(label)
        words.setBuddy(field)
        words.setContentsMargins(0, 6, 0, 0)
        target = _target(field)
        target.setAccessibleName(label)
        target.setObjectName(name)
        self._rows.addRow(words, field)
        self.fields[name] = field
        field.edited.connect(self._check)
        self._check()

    def showEvent(self, event: QShowEvent) -> None:
        """The keyboard begins at the first field and goes down to the buttons."""
        fields = (_target(field) for field in self.fields.values())
        stops: list[QWidget] = [*fields, self.cancel, self.button]
        for before, after in pairwise(stops):
            QWidget.setTabOrder(before, after)
        stops[0].setFocus()
        super().showEvent(event)

    def _check(self) -> None:
        self._problem.hide()
        self.button.setEnabled(all(field.valid for field in self.fields.values()))

    def _accept(self) -> None:
        if not all(field.valid for field in self.fields.values()):
            return
        problem = self._take({name: field.value for name, field in self.fields.items() if field.touched})
        if problem:
            self._problem.setText(problem)
            self._problem.show()
            return
        self.accept()


def _target(field: Field) -> QWidget:
    """The part of a field that takes the keyboard."""
    return field.line if isinstance(field, LineField) else field.box
