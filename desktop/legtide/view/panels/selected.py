"""What is selected, in words and numbers, with the actions that belong to it."""

from __future__ import annotations

from math import ceil
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QToolButton, QVBoxLayout, QWidget

from legtide.draw.fonts import SECONDARY_PX, text_width
from legtide.language import tr
from legtide.view.actions import Registry
from legtide.view.fact_tips import tip_of
from legtide.view.facts import Facts, facts_of
from legtide.view.preferences import Preferences
from legtide.view.texts import plain_label, tooltip
from legtide.workspace.workspace import Workspace

BUTTONS: Final = {
    "service": ("service.done", "service.skip", "service.level", "service.move", "view.why"),
    "turn": ("turn.add_water", "turn.add_waste", "turn.reading", "view.why"),
    "leg": ("leg.edit", "leg.return", "view.why"),
    "aircraft": ("aircraft.tanks", "plan.aircraft", "aircraft.edit", "leg.add", "view.why"),
}
"""Kind of selection -> its actions; the context menu has them all."""

ROW_PX: Final = 264
"""Room of one row of buttons in the narrowest panel."""
AROUND_PX: Final = 20
"""What a button adds to its words: padding and edge."""
BETWEEN_PX: Final = 6


def _lines(actions: list[QAction]) -> list[list[QAction]]:
    """The actions in as many rows of buttons as their words need, none left alone where it can be helped."""
    words = [text_width(action.iconText(), SECONDARY_PX, True) + AROUND_PX for action in actions]
    count = ceil((sum(words) + BETWEEN_PX * (len(words) - 1)) / ROW_PX)
    each = ceil(len(actions) / count)
    return [actions[start : start + each] for start in range(0, len(actions), each)]


class SelectedCard(QFrame):
    """The card below the sentences; hidden while nothing is selected or something is dragged."""

    def __init__(self, workspace: Workspace, registry: Registry, preferences: Preferences, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.setAccessibleName(tr("Selected"))
        self._workspace = workspace
        self._preferences = preferences
        self._title = plain_label("", "strong")
        self._where = plain_label("", "secondary")
        self._where.setWordWrap(True)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(1, 1)
        self._rows: list[tuple[QLabel, QLabel]] = []
        self._bars = {kind: self._bar(registry, names) for kind, names in BUTTONS.items()}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 10, 12, 10)
        layout.setSpacing(4)
        layout.addWidget(self._title)
        layout.addWidget(self._where)
        layout.addSpacing(4)
        layout.addLayout(self._grid)
        layout.addSpacing(4)
        for bar in self._bars.values():
            layout.addWidget(bar)
        for signal in (workspace.changed, workspace.selection_changed, preferences.changed):
            signal.connect(self.refresh)
        self.refresh()

    def _bar(self, registry: Registry, names: tuple[str, ...]) -> QWidget:
        bar = QWidget(self)
        bar.setObjectName("tightButtons")
        rows = QVBoxLayout(bar)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(BETWEEN_PX)
        for line in _lines([registry[name] for name in names]):
            row = QHBoxLayout()
            row.setSpacing(BETWEEN_PX)
            for action in line:
                button = QToolButton(bar)
                button.setDefaultAction(action)
                button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
                button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
                row.addWidget(button)
            row.addStretch(1)
            rows.addLayout(row)
        return bar

    def refresh(self) -> None:
        """Shows the facts of what is selected now."""
        facts = None if self._workspace.in_stroke else facts_of(self._workspace, self._preferences)
        self.setVisible(facts is not None)
        if facts is not None:
            self._fill(facts)

    def _fill(self, facts: Facts) -> None:
        self._title.setText(facts.title)
        self._where.setText(facts.where)
        self._where.setVisible(bool(facts.where))
        self.setAccessibleDescription(f"{facts.title}. {facts.where}")
        while len(self._rows) < len(facts.lines):
            pair = (plain_label("", "secondary"), plain_label("", "small"))
            pair[1].setWordWrap(True)
            for column, label in enumerate(pair):
                self._grid.addWidget(label, len(self._rows), column, Qt.AlignmentFlag.AlignTop)
            self._rows.append(pair)
        for number, pair in enumerate(self._rows):
            words = facts.lines[number] if number < len(facts.lines) else ("", "")
            for label, text in zip(pair, words, strict=True):
                label.setText(text)
                label.setToolTip(tooltip(tip_of(words[0])))
                label.setVisible(bool(words[0]))
        for kind, bar in self._bars.items():
            bar.setVisible(kind == facts.kind)
