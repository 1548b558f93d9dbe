"""The panel on the right: the sentences, and below them what is selected or what a drag would do."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from legtide.view.actions import Registry
from legtide.view.panels.hints import Hints
from legtide.view.panels.if_you_place import IfYouPlaceIt
from legtide.view.panels.selected import SelectedCard
from legtide.view.panels.what_to_do import WhatToDo
from legtide.view.preferences import Preferences
from legtide.view.theme import Theme
from legtide.workspace.workspace import Workspace

LEAST_PX: Final = 292
USUAL_PX: Final = 328


class SidePanel(QFrame):
    """What to do, what is selected, and what would be."""

    def __init__(
        self,
        workspace: Workspace,
        registry: Registry,
        preferences: Preferences,
        theme: Theme,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("sidePanel")
        self.what_to_do = WhatToDo(workspace, theme, self)
        self.hints = Hints(preferences, self)
        self.selected = SelectedCard(workspace, registry, preferences, self)
        self.if_you_place = IfYouPlaceIt(workspace, self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        self.what_to_do.put_above(self.hints)
        layout.addWidget(self.what_to_do, 1)
        below = QVBoxLayout()
        below.setContentsMargins(12, 8, 12, 12)
        below.setSpacing(8)
        below.addWidget(self.selected)
        below.addWidget(self.if_you_place)
        layout.addLayout(below)

    def minimumSizeHint(self) -> QSize:
        """Not narrower than its cards, whose buttons are wider in some languages."""
        hint = super().minimumSizeHint()
        return QSize(max(hint.width(), LEAST_PX), hint.height())
