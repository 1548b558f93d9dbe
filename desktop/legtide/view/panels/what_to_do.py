"""The panel of sentences: act now, watch, settled; each linked to its place, each with its way out.

While something is dragged the sentences stay as they were when the drag began: reading and dragging at once is for
nobody, and the table below tells what the drag does.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from legtide.draw.words import hhmm
from legtide.engine.types import Caution, Projection
from legtide.language import counted, tr
from legtide.view.icons import sign_pixmap
from legtide.view.panels.warning_card import WarningCard
from legtide.view.texts import plain_label
from legtide.view.theme import Theme
from legtide.workspace.workspace import Workspace

QUIET: Final = timedelta(minutes=30)
"""After this long without an entry a live board may have fallen behind the apron."""
AT_ONCE: Final = 12
"""Cards shown in a section before "Show all"."""


class Section(QWidget):
    """One kind of warnings under a counted heading."""

    def __init__(self, kind: str, words: str, theme: Theme, panel: WhatToDo) -> None:
        super().__init__(panel)
        self._theme = theme
        self._panel = panel
        self._words = words
        self._all = False
        self._cards: list[WarningCard] = []
        self._rows: tuple[Caution, ...] = ()
        self._heading = plain_label("", "section")
        self._heading.setProperty("kind", kind)
        self._more = QPushButton(self)
        self._more.setObjectName("link")
        self._more.clicked.connect(self._show_all)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(8)
        self._layout.addWidget(self._heading)
        self._layout.addWidget(self._more)

    def _show_all(self) -> None:
        self._all = True
        self._panel.fill()

    def fill(self, rows: tuple[Caution, ...], *, first: bool, editable: bool, now: datetime | None = None) -> None:
        """Shows warnings; `first` says whether the panel's first card is here."""
        self._rows = rows
        self.setVisible(bool(rows))
        self._heading.setText(f"{self._words.upper()}  {len(rows)}")
        shown = rows if self._all else rows[:AT_ONCE]
        while len(self._cards) < len(shown):
            self._add()
        fixable = [row for row in shown if row.remedy is not None and row.remedy.kind != "none"]
        for number, card in enumerate(self._cards):
            card.setVisible(number < len(shown))
            if number < len(shown):
                row = shown[number]
                card.fill(row, first=first and bool(fixable) and row is fixable[0], editable=editable, now=now)
        self._more.setVisible(len(shown) < len(rows))
        self._more.setText(tr("Show all {n}").format(n=len(rows)))

    def _add(self) -> None:
        card = WarningCard(self._theme, self)
        card.fix_asked.connect(self._panel.fix_asked)
        card.show_asked.connect(self._panel.show_asked)
        card.why_asked.connect(self._panel.why_asked)
        self._layout.insertWidget(1 + len(self._cards), card)
        self._cards.append(card)

    @property
    def cards(self) -> list[WarningCard]:
        """The cards that show a warning now, from the top."""
        return self._cards[: min(len(self._rows), len(self._cards)) if self._all else min(len(self._rows), AT_ONCE)]

    def paint_signs(self) -> None:
        """Draws all signs anew."""
        for card in self._cards:
            card.paint_sign()


class _Cards(QScrollArea):
    """Scrolls up and down only, and is never narrower than what it holds."""

    def minimumSizeHint(self) -> QSize:
        hint, inner = super().minimumSizeHint(), self.widget()
        if inner is None:
            return hint
        least = inner.minimumSizeHint().width() + self.verticalScrollBar().sizeHint().width()
        return QSize(max(hint.width(), least), hint.height())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)


class WhatToDo(QWidget):
    """The sections in a scroll area, with the number of open warnings beside the title."""

    fix_asked = Signal(object)
    show_asked = Signal(object)
    why_asked = Signal(object)

    def __init__(self, workspace: Workspace, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workspace = workspace
        self._theme = theme
        self._seen: tuple[Projection, bool] | None = None
        self._count = plain_label("", "count")
        self.fresh = plain_label("", "fine")
        self.act = Section("act", tr("Act now"), theme, self)
        self.watch = Section("watch", tr("Watch"), theme, self)
        self.nothing = plain_label("", "secondary")
        self.nothing.setWordWrap(True)
        self._settled = plain_label("", "section")
        self._settled_lines = QVBoxLayout()
        self._settled_lines.setSpacing(6)
        self._lay_out()
        workspace.changed.connect(self.refresh)
        workspace.document_changed.connect(self.refresh)
        workspace.now_changed.connect(self.fill)
        workspace.edited.connect(self.tell_age)
        theme.changed.connect(self._repaint)
        self.refresh()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setContentsMargins(12, 12, 12, 4)
        head.addWidget(plain_label(tr("What to do"), "heading"))
        head.addStretch(1)
        head.addWidget(self._count)
        self.fresh.setContentsMargins(12, 0, 12, 2)
        self.fresh.setWordWrap(True)
        inner = QWidget()
        inner.setObjectName("scrolled")
        rows = QVBoxLayout(inner)
        rows.setContentsMargins(12, 4, 12, 12)
        rows.setSpacing(12)
        rows.addWidget(self.nothing)
        rows.addWidget(self.act)
        rows.addWidget(self.watch)
        rows.addWidget(self._settled)
        rows.addLayout(self._settled_lines)
        rows.addStretch(1)
        self.area = _Cards(self)
        self.area.setAccessibleName(tr("What to do"))
        self.area.setWidget(inner)
        self.area.setWidgetResizable(True)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addLayout(head)
        layout.addWidget(self.fresh)
        layout.addWidget(self.area, 1)
        self._rows = rows

    def put_above(self, widget: QWidget) -> None:
        """Puts something above the sections, to be scrolled with them."""
        self._rows.insertWidget(0, widget)

    def hasHeightForWidth(self) -> bool:
        """The list scrolls: the one line above it that may wrap gives the panel no height that it has to have."""
        return False

    def refresh(self) -> None:
        """Shows the settled projection's warnings, if they are others than before."""
        seen = (self._workspace.settled_projection, not self._workspace.read_only)
        if self._seen is None or self._seen[0] is not seen[0] or self._seen[1] != seen[1]:
            self._seen = seen
            self.fill()
            self._fill_settled(seen[0])

    def fill(self) -> None:
        """Fills the cards."""
        projection, editable = self._workspace.settled_projection, not self._workspace.read_only
        now = self._workspace.now
        breaches = tuple(row for row in projection.warnings if row.severity == "breach")
        watched = tuple(row for row in projection.warnings if row.severity == "caution")
        fixable = any(row.remedy is not None and row.remedy.kind != "none" for row in breaches)
        self.act.fill(breaches, first=True, editable=editable, now=now)
        self.watch.fill(watched, first=not fixable, editable=editable, now=now)
        number = len(breaches) + len(watched)
        self._count.setText(tr("{n} open").format(n=number) if number else tr("nothing open"))
        self.tell_age()

    def tell_age(self) -> None:
        """Says when the levels were computed, and on a live day for how long nothing has been entered."""
        computed, now = self._workspace.computed, self._workspace.now
        words = tr("Levels computed {time} UTC").format(time=hhmm(computed))
        quiet = timedelta() if now is None else now - computed
        # A day of another date is looked at, not worked on.
        if QUIET <= quiet < timedelta(days=1):
            hours, minutes = divmod(int(quiet.total_seconds() // 60), 60)
            words += ", " + tr("nothing entered for {h} h {min} min").format(h=hours, min=minutes)
        self.fresh.setText(words)

    def _fill_settled(self, projection: Projection) -> None:
        _empty(self._settled_lines)
        lines = settled_sentences(projection)
        self._settled.setText(tr("Settled").upper())
        self._settled.setVisible(bool(lines))
        idle = not lines and not projection.warnings
        self.nothing.setVisible(idle)
        self.nothing.setText(tr("Nothing to do as long as the day has no flights."))
        for line in lines:
            row = QHBoxLayout()
            row.setSpacing(8)
            sign = plain_label()
            sign.setPixmap(sign_pixmap("settled", self._theme.colours, 15, self.devicePixelRatioF()))
            words = plain_label(line, "secondary")
            words.setWordWrap(True)
            row.addWidget(sign, 0, Qt.AlignmentFlag.AlignTop)
            row.addWidget(words, 1)
            self._settled_lines.addLayout(row)

    def _repaint(self) -> None:
        self.act.paint_signs()
        self.watch.paint_signs()
        self._fill_settled(self._workspace.settled_projection)


def settled_sentences(projection: Projection) -> list[str]:
    """What is in order, and what is merely worth knowing."""
    troubled = {row.aircraft for row in projection.warnings if row.severity != "note"}
    calm = sum(name not in troubled for name, one in projection.aircraft.items() if one.rotation.legs)
    lines = []
    if calm:
        lines.append(counted(calm, "{n} aircraft is within limits all day", "{n} aircraft are within limits all day"))
    planned = [row for one in projection.aircraft.values() for row in one.services if row.service.state == "planned"]
    if planned and all(row.code != "service-outside-turn" for row in projection.warnings):
        lines.append(
            counted(len(planned), "{n} planned service fits its turn", "{n} planned services fit their turns")
        )
    notes = [row.message for row in projection.warnings if row.severity == "note"]
    lines += notes[:AT_ONCE]
    if len(notes) > AT_ONCE:
        lines.append(tr("{n} more notes").format(n=len(notes) - AT_ONCE))
    return lines


def _empty(layout: QVBoxLayout) -> None:
    while (row := layout.takeAt(0)) is not None:
        line = row.layout()
        while line is not None and (item := line.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                # Hidden at once: until the event loop deletes it, it would stand where no layout holds it.
                widget.hide()
                widget.deleteLater()
