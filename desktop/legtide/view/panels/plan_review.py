"""The panel of a plan: how it is coming along, then the proposal against the present plan, to be taken or left."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHBoxLayout,
    QPushButton,
    QStackedWidget,
    QTableView,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from legtide.language import tr
from legtide.view.copying import CopiesCells
from legtide.view.icons import sign_pixmap
from legtide.view.panels.plan_review_figures import FiguresModel, NowAndThen
from legtide.view.panels.plan_review_lines import Lines
from legtide.view.panels.plan_review_running import RunningPage
from legtide.view.planning import Planning
from legtide.view.planning_words import Line
from legtide.view.preferences import Preferences
from legtide.view.texts import menu_text, plain_label
from legtide.view.theme import Theme
from legtide.workspace.workspace import Workspace

LEAST_PX: Final = 340
USUAL_PX: Final = 440


class PlanReview(QFrame):
    """Stands in the place of the sentences while a plan is made or looked at. Esc leaves it."""

    def __init__(
        self,
        planning: Planning,
        workspace: Workspace,
        preferences: Preferences,
        theme: Theme,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("sidePanel")
        self.setAccessibleName(tr("Plan to look at"))
        self.setMinimumWidth(LEAST_PX)
        self._planning = planning
        self._workspace = workspace
        self._theme = theme
        self._shown: object = None
        self.running = RunningPage(planning)
        self.title = plain_label("", "heading")
        self.verdict = plain_label()
        self._sign = plain_label()
        self.objective = plain_label("", "secondary")
        self.notice = plain_label()
        self.again = QPushButton(tr("Plan again"))
        self.figures = NowAndThen(preferences)
        self.changes = Lines(theme.icon, tr("What the plan changes"))
        self.unserved = Lines(theme.icon, tr("What cannot be served, and why"))
        self.table = QTableView()
        self._model = FiguresModel(preferences, self)
        self.tabs = QTabWidget()
        self.take = QPushButton(tr("Take this plan"))
        self.leave = QPushButton(tr("Leave it"))
        self.preview = QPushButton(tr("Show as if taken"))
        self.message = plain_label()
        self.pages = QStackedWidget()
        self._set_up()
        self._lay_out()
        self._connect(preferences)
        self.refresh()

    # structure --------------------------------------------------------------------------------------------

    def _set_up(self) -> None:
        for label in (self.verdict, self.objective, self.notice, self.message):
            label.setWordWrap(True)
        for button in (self.take, self.again):
            button.setObjectName("primary")
        CopiesCells(self.table)
        self.preview.setCheckable(True)
        self.preview.setAccessibleDescription(tr("Shows the day on the board as if the plan had been taken"))
        table = self.table
        table.setModel(self._model)
        table.setAccessibleName(tr("Aircraft, now and then"))
        table.setShowGrid(False)
        table.setAlternatingRowColors(True)
        table.setTabKeyNavigation(False)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.verticalHeader().hide()
        table.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        table.verticalHeader().setDefaultSectionSize(26)
        for view in (self.changes, self.unserved, table):
            view.setFrameShape(QFrame.Shape.NoFrame)
        self.tabs.addTab(self.changes, "")
        self.tabs.addTab(table, "")
        self.tabs.addTab(self.unserved, "")
        self.tabs.setDocumentMode(True)
        self.tabs.tabBar().setDrawBase(False)

    def _lay_out(self) -> None:
        for page in (self.running, self._review_page(), self._message_page()):
            self.pages.addWidget(page)
        head = QHBoxLayout()
        head.setContentsMargins(12, 12, 12, 4)
        head.addWidget(self.title, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addLayout(head)
        layout.addWidget(self.pages, 1)

    def _review_page(self) -> QWidget:
        page = QWidget()
        verdict = QHBoxLayout()
        verdict.setSpacing(8)
        verdict.addWidget(self._sign, 0, Qt.AlignmentFlag.AlignTop)
        verdict.addWidget(self.verdict, 1)
        self._notice_card = QFrame()
        self._notice_card.setObjectName("card")
        self._notice_card.setProperty("kind", "watch")
        notice = QVBoxLayout(self._notice_card)
        notice.setContentsMargins(12, 8, 12, 8)
        notice.setSpacing(6)
        notice.addWidget(self.notice)
        notice.addWidget(self.again, 0, Qt.AlignmentFlag.AlignLeft)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addWidget(self.take)
        buttons.addWidget(self.leave)
        buttons.addStretch(1)
        buttons.addWidget(self.preview)
        layout = QVBoxLayout(page)
        layout.setContentsMargins(12, 4, 12, 12)
        layout.setSpacing(8)
        layout.addLayout(verdict)
        layout.addWidget(self.objective)
        layout.addWidget(self._notice_card)
        layout.addLayout(buttons)
        layout.addWidget(self.figures)
        layout.addWidget(self.tabs, 1)
        return page

    def _message_page(self) -> QWidget:
        page = QWidget()
        self.close_message = QPushButton(tr("Close"))
        layout = QVBoxLayout(page)
        layout.setContentsMargins(12, 4, 12, 12)
        layout.setSpacing(12)
        layout.addWidget(self.message)
        layout.addWidget(self.close_message, 0, Qt.AlignmentFlag.AlignLeft)
        layout.addStretch(1)
        return page

    def _connect(self, preferences: Preferences) -> None:
        planning = self._planning
        planning.changed.connect(self.refresh)
        self._workspace.document_changed.connect(self.refresh)
        preferences.changed.connect(self._refill)
        self._theme.changed.connect(self._refill)
        self.take.clicked.connect(planning.take)
        self.again.clicked.connect(planning.again)
        self.preview.clicked.connect(planning.toggle_preview)
        for button in (self.leave, self.close_message):
            button.clicked.connect(planning.leave)
        for view in (self.changes, self.unserved):
            view.asked.connect(planning.show)
        self.table.selectionModel().currentRowChanged.connect(lambda index, _before: self._choose(index.row()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self._planning.leave()
            return
        super().keyPressEvent(event)

    # following --------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Shows what the planning is at."""
        planning = self._planning
        if planning.running is not None:
            self._show_page(0, tr("Find better plan"), planning.running)
        elif planning.review is not None:
            self._show_page(1, planning.review.title, planning.review)
            self._follow()
        elif planning.message:
            self._show_page(2, tr("No plan to look at"), planning.message)

    def _show_page(self, number: int, title: str, shown: object) -> None:
        self.pages.setCurrentIndex(number)
        self.title.setText(title)
        if shown is self._shown:
            return
        self._shown = shown
        if number == 0:
            self.running.begin()
        elif number == 1:
            self._fill()
        else:
            self.message.setText(self._planning.message)

    def _refill(self) -> None:
        if self._planning.review is not None:
            self._fill()

    def _fill(self) -> None:
        review = self._planning.review
        if review is None:
            return
        self.verdict.setText(review.verdict)
        self.objective.setText(review.objective)
        self.objective.setVisible(bool(review.objective))
        sign = "settled" if review.settled else "watch"
        self._sign.setPixmap(sign_pixmap(sign, self._theme.colours, 16, self.devicePixelRatioF()))
        self.changes.put(review.changes)
        self.unserved.put(review.unserved)
        self._model.put(review.rows)
        self.table.resizeColumnsToContents()
        self.figures.setVisible(bool(review.rows))
        if review.rows:
            self.table.selectRow(0)
            self._choose(0)
        counts = (len(review.changes), review.aircraft, len(review.unserved))
        for tab, words in enumerate((tr("Changes ({n})"), tr("Aircraft ({n})"), tr("Not served ({n})"))):
            self.tabs.setTabText(tab, words.format(n=counts[tab]))
            self.tabs.setTabEnabled(tab, counts[tab] > 0)
        self.tabs.setCurrentIndex(next((tab for tab in (0, 2, 1) if counts[tab] > 0), 0))

    def _choose(self, number: int) -> None:
        rows = self._model.rows
        if 0 <= number < len(rows):
            self.figures.fill(rows[number], len(rows) - 1)
            if rows[number].registration and len(rows) > 1:
                self._planning.show(Line("", rows[number].registration))

    def _follow(self) -> None:
        """What may have changed while the review is open: whether it still holds, and what can be done."""
        planning = self._planning
        review = planning.review
        if review is None:
            return
        notice = self._notice()
        self.notice.setText(notice)
        self._notice_card.setVisible(bool(notice))
        self.again.setVisible(planning.stale)
        self.take.setVisible(review.changed and not planning.stale)
        self.take.setEnabled(planning.can_take())
        self.leave.setText(menu_text(tr("Leave it") if review.changed else tr("Close")))
        self.preview.setVisible(review.changed)
        self.preview.setEnabled(planning.can_preview())
        self.preview.setChecked(planning.previewing)

    def _notice(self) -> str:
        review = self._planning.review
        if self._planning.stale:
            return tr("The day has been changed since this plan was made: it may no longer fit.")
        if review is not None and not review.changed:
            return tr("The day's plan is this plan already: there is nothing to take.")
        if self._workspace.read_only:
            return tr("The day is open for reading only: the plan can be looked at, but not taken.")
        return ""
