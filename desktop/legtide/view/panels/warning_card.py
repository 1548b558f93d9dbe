"""One warning as a card: sign, aircraft, time, what to do, the numbers, and its buttons."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from legtide.draw.signs import Sign
from legtide.draw.words import hhmm
from legtide.engine.types import Caution
from legtide.language import tr
from legtide.view.icons import sign_pixmap
from legtide.view.panels.remedies import advice, button_text, headline
from legtide.view.texts import menu_text, plain_label
from legtide.view.theme import Theme

SIGNS: dict[str, Sign] = {"breach": "act", "caution": "watch", "note": "settled"}


class WarningCard(QFrame):
    """A card that can be filled with another warning, so that a change does not rebuild the panel."""

    fix_asked = Signal(object)
    """The warning whose remedy is to be done."""
    show_asked = Signal(object)
    """The warning whose place is to be shown."""

    why_asked = Signal(object)
    """The warning whose numbers are to be explained."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self._theme = theme
        self._caution: Caution | None = None
        self._first = False
        self._sign = plain_label()
        self._who = plain_label("", "strong")
        self._when = plain_label("", "secondary")
        self._headline = plain_label()
        self._body = plain_label("", "secondary")
        self._advice = plain_label("", "secondary")
        self.fix = QPushButton(self)
        self.show_place = QPushButton(tr("Show"), self)
        self.why = QPushButton(tr("Why?"), self)
        for label in (self._headline, self._body, self._advice):
            label.setWordWrap(True)
        self.fix.clicked.connect(lambda: self.fix_asked.emit(self._caution))
        self.show_place.clicked.connect(lambda: self.show_asked.emit(self._caution))
        self.why.clicked.connect(lambda: self.why_asked.emit(self._caution))
        self._lay_out()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(8)
        head.addWidget(self._sign)
        head.addWidget(self._who, 1)
        head.addWidget(self._when)
        buttons = QHBoxLayout()
        buttons.setSpacing(6)
        buttons.addWidget(self.fix)
        buttons.addWidget(self.show_place)
        buttons.addWidget(self.why)
        buttons.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(10, 8, 12, 8)
        layout.setSpacing(4)
        layout.addLayout(head)
        layout.addWidget(self._headline)
        layout.addWidget(self._body)
        layout.addWidget(self._advice)
        layout.addSpacing(2)
        layout.addLayout(buttons)

    @property
    def caution(self) -> Caution | None:
        """The warning shown."""
        return self._caution

    def fill(self, caution: Caution, *, first: bool, editable: bool, now: datetime | None = None) -> None:
        """Shows a warning; only the first card of the panel has the filled button, and what is past is overdue."""
        remedy = caution.remedy
        fixable = remedy is not None and remedy.kind != "none"
        self.fix.setEnabled(editable)
        self.fix.setVisible(fixable)
        self.show_place.setVisible(bool(caution.aircraft))
        self._when.setText(_when(caution, now))
        if caution == self._caution and first == self._first:
            return
        self._caution, self._first = caution, first
        self.setProperty("kind", SIGNS[caution.severity])
        self._who.setText(caution.aircraft or caution.station or tr("The day"))
        self._headline.setText(headline(caution))
        self._body.setText(caution.message)
        self._advice.setText(advice(caution))
        self._advice.setVisible(bool(advice(caution)))
        if fixable and remedy is not None:
            self.fix.setText(menu_text(button_text(remedy)))
        self.fix.setObjectName("primary" if first else "")
        self.setAccessibleName(f"{self._who.text()}: {headline(caution)}")
        self.setAccessibleDescription(caution.message)
        self.paint_sign()
        for widget in (self, self.fix):
            widget.style().unpolish(widget)
            widget.style().polish(widget)

    def paint_sign(self) -> None:
        """Draws the sign anew, as after a change of theme."""
        if self._caution is not None:
            sign = SIGNS[self._caution.severity]
            self._sign.setPixmap(sign_pixmap(sign, self._theme.colours, 16, self.devicePixelRatioF()))


def _when(caution: Caution, now: datetime | None) -> str:
    by = caution.act_by
    if by is None:
        return ""
    if now is not None and by < now:
        return tr("was due {time}").format(time=hhmm(by))
    return tr("by {time}").format(time=hhmm(by)) if caution.severity == "breach" else hhmm(by)
