"""A figure as a field of a form: its value, its status, and where it comes from."""

from __future__ import annotations

from typing import get_args

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from legtide.day.assumptions import Known, Status
from legtide.day.document import Figure
from legtide.language import tr
from legtide.view.fields import ChoiceField, LineField
from legtide.view.readers import figure_reader, text_reader
from legtide.view.texts import tooltip
from legtide.view.units import Unit, flow_typed, plain, volume_typed

VALUE_PX = 150
STATUS_PX = 130
SOURCE_PX = 280


def figure_typed(value: float, known: Known, unit: Unit) -> str:
    """A figure as its reader takes it back."""
    if known.unit == "L":
        return volume_typed(value, unit)
    if known.unit == "L/min":
        return flow_typed(value, unit)
    written = "%" if known.unit.startswith("%") else "" if known.unit == "1" else known.unit
    return f"{plain(value)} {written}".rstrip()


class FigureField(QWidget):
    """Three fields in a row. Another value is the user's own until they say where it comes from."""

    edited = Signal()

    def __init__(self, known: Known, figure: Figure, unit: Unit) -> None:
        super().__init__()
        self._figure = figure
        self.number = LineField(figure_reader(known, unit), figure_typed(figure.value, known, unit))
        self.status = ChoiceField({name: tr(name) for name in get_args(Status)}, figure.status)
        self.source = LineField(text_reader(400), tr(figure.source), tr("Where it comes from"))
        self.source.edited.connect(self._tell_source)
        self._tell_source()
        self.line: QLineEdit = self.number.line
        self.number.setFixedWidth(VALUE_PX)
        self.status.setFixedWidth(STATUS_PX)
        self.source.setMinimumWidth(SOURCE_PX)
        self.setFocusProxy(self.number)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        for part, stretch in ((self.number, 0), (self.status, 0), (self.source, 1)):
            layout.addWidget(part, stretch, Qt.AlignmentFlag.AlignTop)
            part.edited.connect(self.edited)
        self.number.line.textEdited.connect(self._own)

    def name(self, label: str) -> None:
        """Tells a screen reader what the three fields belong to."""
        self.number.line.setAccessibleName(label)
        self.status.box.setAccessibleName(tr("{figure}: status").format(figure=label))
        self.source.line.setAccessibleName(tr("{figure}: source").format(figure=label))

    def _tell_source(self) -> None:
        """A source is often longer than its field."""
        self.source.line.setToolTip(tooltip(self.source.line.text()))

    def _own(self) -> None:
        """A value that somebody typed does not come from where the old one came from."""
        changed = self.number.touched
        if not self.source.touched and changed:
            self.source.line.clear()
            self.status.choose("entered")
        elif not changed:
            self.source.line.setText(tr(self._figure.source))
            self.status.choose(self._figure.status)

    @property
    def touched(self) -> bool:
        """Whether value, status or source is another."""
        return self.number.touched or self.status.touched or self.source.touched

    @property
    def valid(self) -> bool:
        """Whether the value can be read."""
        return self.number.valid and self.source.valid

    @property
    def value(self) -> Figure:
        """The figure; a value or a source that was not touched stays exactly as it was."""
        value = self.number.value if self.number.touched else self._figure.value
        source = self.source.value if self.source.touched else self._figure.source
        return Figure(value=value, source=source, status=self.status.value)

    def refuse(self, sentence: str) -> None:
        """Shows at the value why it cannot stand beside the others."""
        self.number.refuse(sentence)

    def focus(self) -> None:
        """Takes the keyboard to what is wrong, or to the value."""
        (self.source if not self.source.valid else self.number).focus()
