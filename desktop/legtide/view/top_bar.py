"""The bar at the top: which day it is, whether it is saved, and the buttons that are used most."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QToolButton, QWidget

from legtide.language import tr
from legtide.view.actions import Registry
from legtide.view.texts import date_text, day_from_today, plain_label, tooltip
from legtide.workspace.workspace import Workspace

STATE_PX: Final = 120
"""Room that the state keeps in a narrow window: enough for its longest words in English."""


class FittedLabel(QLabel):
    """A plain label that gives way when the window is narrow, and then shows all of its words as a tooltip."""

    def __init__(self, name: str, parent: QWidget | None = None, *, least: int = 40) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self.setMinimumWidth(least)
        self._whole = ""

    def show_text(self, text: str) -> None:
        """Shows a text; too long, it ends in an ellipsis."""
        self._whole = text
        self._fit()

    def _fit(self) -> None:
        room = max(self.width() - 2, 40)
        fitted = self.fontMetrics().elidedText(self._whole, Qt.TextElideMode.ElideRight, room)
        self.setText(fitted)
        self.setToolTip(tooltip(self._whole) if fitted != self._whole else "")

    def sizeHint(self) -> QSize:
        hint = super().sizeHint()
        hint.setWidth(self.fontMetrics().horizontalAdvance(self._whole) + 4)
        return hint

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()


class ActionButton(QPushButton):
    """The filled button of an action: it does what the action does, and follows it."""

    def __init__(self, action: QAction, parent: QWidget | None = None) -> None:
        super().__init__(action.text(), parent)
        self.setObjectName("primary")
        self.setAutoDefault(False)
        self._action = action
        self.clicked.connect(action.trigger)
        action.changed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        self.setText(self._action.text())
        self.setToolTip(self._action.toolTip())
        self.setEnabled(self._action.isEnabled())


class TopBar(QFrame):
    """Title, date and plan state on the left; undo, zoom and the rest on the right."""

    BUTTONS = (("edit.undo", "edit.redo"), ("view.zoom_day", "view.zoom_12", "view.zoom_6"), ("go.find",))
    PRIMARY = "plan.all"

    def __init__(self, workspace: Workspace, registry: Registry, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("topBar")
        self._workspace = workspace
        self._title = FittedLabel("title")
        self._date = plain_label("", "subtitle")
        self.apart = plain_label("", "notToday")
        self._state = FittedLabel("planState", least=STATE_PX)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(12, 8, 12, 8)
        layout.setSpacing(8)
        layout.addWidget(self._title)
        layout.addWidget(self._date)
        layout.addWidget(self.apart, 0, Qt.AlignmentFlag.AlignVCenter)
        layout.addWidget(self._state)
        layout.addStretch(1)
        for group in self.BUTTONS:
            layout.addLayout(self._group([registry[name] for name in group]))
        self.find_plan = ActionButton(registry[self.PRIMARY], self)
        layout.addWidget(self.find_plan)
        workspace.document_changed.connect(self.refresh)
        workspace.alternatives_changed.connect(self.refresh)
        workspace.now_changed.connect(self.refresh)
        workspace.changed.connect(self._follow)
        self.refresh()

    def _follow(self) -> None:
        if not self._workspace.in_stroke:
            self.refresh()

    def _group(self, actions: Sequence[QAction]) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(6)
        row.setContentsMargins(4, 0, 0, 0)
        for action in actions:
            button = QToolButton(self)
            button.setDefaultAction(action)
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            row.addWidget(button)
        return row

    def refresh(self) -> None:
        """Shows the day's title, date and state again."""
        day = self._workspace.day
        self._title.show_text(day.title or tr("Untitled day"))
        self._date.setText(date_text(day.date))
        apart = day_from_today(day.date, datetime.now(UTC).date())
        self.apart.setText(apart)
        self.apart.setVisible(bool(apart))
        self._state.show_text(" · ".join(filter(None, (self.alternative_text(), self.state_text()))))
        self._title.updateGeometry()
        self._state.updateGeometry()

    def alternative_text(self) -> str:
        """Which alternative of the day is open; nothing while there is only one."""
        workspace = self._workspace
        return tr(workspace.alternative) if len(workspace.alternatives) > 1 else ""

    def state_text(self) -> str:
        """Whether the day is saved, in words."""
        if self._workspace.read_only:
            return tr("read only")
        if self._workspace.dirty:
            return tr("unsaved changes")
        return tr("not saved to a file") if self._workspace.path is None else tr("saved")
