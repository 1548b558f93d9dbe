"""The list of calls to make: a window beside the board; one click says that a call is done."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QDialog, QFrame, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from legtide.day.edits import change_service
from legtide.draw.signs import Sign
from legtide.engine.types import Projection
from legtide.language import counted, tr
from legtide.view.calls import Call, calls, left_text
from legtide.view.icons import sign_pixmap
from legtide.view.panels.remedies import button_text
from legtide.view.texts import menu_text, plain_label
from legtide.view.theme import Theme
from legtide.workspace.workspace import Workspace

SHOWN: Final = 40
SOON: Final = timedelta(minutes=15)
SIGN_PX: Final = 16


class CallRow(QFrame):
    """One call: how long there is, what to ask for, and its buttons."""

    def __init__(self, theme: Theme, page: CallsWindow) -> None:
        super().__init__(page)
        self.setObjectName("card")
        self._theme = theme
        self._page = page
        self.call: Call | None = None
        self._sign = plain_label()
        self._sign.setFixedWidth(SIGN_PX + 2)
        self.left = plain_label("", "strong")
        self.text = plain_label("", "strong")
        self.detail = plain_label("", "secondary")
        self.detail.setWordWrap(True)
        self.done = QPushButton(self)
        self.show_it = QPushButton(tr("Show"), self)
        self.done.clicked.connect(self._do)
        self.show_it.clicked.connect(self._show)
        words = QVBoxLayout()
        words.setSpacing(2)
        words.addWidget(self.text)
        words.addWidget(self.detail)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(12, 8, 12, 8)
        layout.setSpacing(12)
        layout.addWidget(self._sign, 0, Qt.AlignmentFlag.AlignTop)
        layout.addWidget(self.left, 0, Qt.AlignmentFlag.AlignTop)
        layout.addLayout(words, 1)
        for button in (self.show_it, self.done):
            button.setAutoDefault(False)
            layout.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)

    def fill(self, call: Call, workspace: Workspace) -> None:
        """Shows a call."""
        self.call = call
        now = workspace.now
        self.left.setText(left_text(call.by, now))
        self.text.setText(f"{call.aircraft}: {call.text}" if call.aircraft else call.text)
        self.detail.setText(call.detail)
        sign: Sign | None = None
        if now is not None and call.by < now + SOON:
            sign = "act" if call.by < now else "watch"
        self._sign.setVisible(now is not None)
        if sign is None:
            self._sign.clear()
        else:
            self._sign.setPixmap(sign_pixmap(sign, self._theme.colours, SIGN_PX, self.devicePixelRatioF()))
        remedy = None if call.caution is None else call.caution.remedy
        fixable = remedy is not None and remedy.kind != "none"
        self.done.setVisible(bool(call.service) or fixable)
        if remedy is not None and fixable:
            self.done.setText(menu_text(button_text(remedy)))
        else:
            self.done.setText(tr("Asked for"))
        self.done.setEnabled(not workspace.read_only)
        self.done.setAccessibleName(f"{self.done.text()}: {self.text.text()}")
        self.setAccessibleName(f"{self.left.text()}, {self.text.text()}")

    def _do(self) -> None:
        if self.call is not None:
            self._page.do(self.call)

    def _show(self) -> None:
        if self.call is not None:
            self._page.show_place(self.call)


class CallsWindow(QDialog):
    """All calls that are still to be made. What is merely dragged does not move them."""

    fix_asked = Signal(object)
    """A warning whose way out is to be taken."""
    show_asked = Signal(object)
    """A warning whose place is to be shown."""
    service_asked = Signal(str)
    """Id of a service to be shown."""
    said = Signal(str)

    def __init__(self, workspace: Workspace, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("calls")
        self.setWindowTitle(tr("Calls to make"))
        self.resize(QSize(880, 620))
        self._workspace = workspace
        self._theme = theme
        self._seen: tuple[Projection, bool] | None = None
        self._calls: tuple[Call, ...] = ()
        self._made: list[CallRow] = []
        self.head = plain_label("", "secondary")
        self.more = plain_label("", "secondary")
        self._list = QVBoxLayout()
        self._list.setSpacing(8)
        self._lay_out()
        workspace.changed.connect(self.refresh)
        workspace.document_changed.connect(self.refresh)
        workspace.now_changed.connect(self._fill)
        theme.changed.connect(self._fill)
        self.refresh()

    def _lay_out(self) -> None:
        inner = QWidget()
        inner.setObjectName("scrolled")
        rows = QVBoxLayout(inner)
        rows.setContentsMargins(0, 0, 8, 0)
        rows.addLayout(self._list)
        rows.addWidget(self.more)
        rows.addStretch(1)
        area = QScrollArea(self)
        area.setAccessibleName(tr("Calls to make"))
        area.setWidget(inner)
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        close = QPushButton(tr("Close"), self)
        close.setAutoDefault(False)
        close.clicked.connect(self.close)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("Calls to make"), "heading"))
        layout.addWidget(self.head)
        layout.addWidget(area, 1)
        layout.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)

    @property
    def rows(self) -> list[CallRow]:
        """The rows that show a call now, from the top."""
        return self._made[: min(len(self._calls), SHOWN)]

    def refresh(self) -> None:
        """Looks for calls again, if the day is another one."""
        seen = (self._workspace.settled_projection, self._workspace.read_only)
        if self._seen is None or self._seen[0] is not seen[0] or self._seen[1] != seen[1]:
            self._seen = seen
            self._calls = calls(self._workspace.day, seen[0])
            self._fill()

    def _fill(self) -> None:
        number = len(self._calls)
        lead = self._workspace.day.policy.call_lead_min.value
        about = tr("A service is asked for at least {minutes:g} min before it starts.").format(minutes=lead)
        head = counted(number, "{n} call to make.", "{n} calls to make.") if number else tr("Nobody is to be called.")
        self.head.setText(f"{head} {about}")
        while len(self._made) < min(number, SHOWN):
            row = CallRow(self._theme, self)
            self._made.append(row)
            self._list.addWidget(row)
        for place, row in enumerate(self._made):
            row.setVisible(place < number)
            if place < number:
                row.fill(self._calls[place], self._workspace)
        times = max((row.left.sizeHint().width() for row in self.rows), default=0)
        for row in self.rows:
            row.left.setMinimumWidth(times)
        self.more.setVisible(number > SHOWN)
        self.more.setText(tr("{n} more later").format(n=number - SHOWN))

    def do(self, call: Call) -> None:
        """Marks a service as asked for, or takes a warning's way out: one undo step."""
        if call.caution is not None:
            self.fix_asked.emit(call.caution)
            return
        text = tr("Asked for: {service}").format(service=f"{call.aircraft}, {call.text}")
        if self._workspace.apply(change_service(self._workspace.day, call.service, asked_start=call.start), text):
            self.said.emit(text)

    def show_place(self, call: Call) -> None:
        """Shows the call's place on the board."""
        if call.caution is not None:
            self.show_asked.emit(call.caution)
        else:
            self.service_asked.emit(call.service)
