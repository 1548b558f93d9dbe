"""One registry of actions: menus, bars, context menus, the command palette and the sheet of keys are made from it.

An action is data: what it is called, its key, and functions that do it and tell whether it can be done. The
registry keeps one QAction for each and refreshes them together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QWidget

from legtide.language import tr
from legtide.view.texts import menu_text, tooltip
from legtide.view.theme import Theme

SEPARATOR: Final = "-"


def _always() -> bool:
    return True


@dataclass(frozen=True, slots=True)
class Action:
    """One thing that a user can do."""

    id: str
    """Such as `edit.undo`; the part before the dot is the group on the sheet of keys."""
    text: str
    run: Callable[[], object]
    keys: tuple[str, ...] = ()
    """Key sequences in Qt's portable form; the first is shown."""
    icon: str = ""
    tip: str = ""
    """What it does, in a sentence, where the text does not say it all."""
    enabled: Callable[[], bool] = _always
    checked: Callable[[], bool] | None = None
    short: str = ""
    """Its text on a small button; the text itself, less its dots, when empty."""


class Registry(QObject):
    """All actions of a window."""

    def __init__(self, window: QWidget, theme: Theme) -> None:
        super().__init__(window)
        self._window = window
        self._theme = theme
        self._actions: dict[str, Action] = {}
        self._made: dict[str, QAction] = {}
        theme.changed.connect(self._paint)

    def add(self, actions: Iterable[Action]) -> None:
        """Registers actions. Raises ValueError when an id or a key is taken."""
        for action in actions:
            if action.id in self._actions:
                raise ValueError(f"two actions are called {action.id}")
            taken = {key for other in self._actions.values() for key in other.keys}
            if doubled := taken.intersection(action.keys):
                raise ValueError(f"{action.id} wants {sorted(doubled)}, which are taken")
            self._actions[action.id] = action
            self._made[action.id] = self._make(action)

    def _make(self, action: Action) -> QAction:
        made = QAction(menu_text(action.text), self._window)
        made.setObjectName(action.id)
        made.setShortcuts([QKeySequence(key) for key in action.keys])
        made.setToolTip(tooltip(self._hint(action)))
        made.setStatusTip(action.tip)
        made.setCheckable(action.checked is not None)
        if action.short:
            made.setIconText(menu_text(action.short))
        if action.icon:
            made.setIcon(self._theme.icon(action.icon))
        # Roles are for platforms that move entries by guessing from their words.
        made.setMenuRole(QAction.MenuRole.NoRole)
        made.triggered.connect(lambda _checked=False, action=action: self.run(action.id))
        self._window.addAction(made)
        return made

    def _hint(self, action: Action) -> str:
        words = action.tip or action.text
        return f"{words}  ({keys_text(action)})" if action.keys else words

    def run(self, action_id: str) -> None:
        """Does it, if it can be done now, and refreshes all actions."""
        action = self._actions[action_id]
        if action.enabled():
            action.run()
        self.refresh()

    def refresh(self) -> None:
        """Asks every action whether it can be done, and whether it is checked."""
        for name, action in self._actions.items():
            made = self._made[name]
            made.setEnabled(action.enabled())
            if action.checked is not None:
                made.setChecked(action.checked())

    def _paint(self) -> None:
        for name, action in self._actions.items():
            if action.icon:
                self._made[name].setIcon(self._theme.icon(action.icon))

    def __getitem__(self, action_id: str) -> QAction:
        return self._made[action_id]

    def __iter__(self) -> Iterator[Action]:
        return iter(self._actions.values())

    def menu(self, title: str, ids: Iterable[str], parent: QWidget) -> QMenu:
        """A menu of some actions; `SEPARATOR` draws a line between groups."""
        menu = QMenu(menu_text(title), parent)
        menu.setToolTipsVisible(True)
        for name in ids:
            if name == SEPARATOR:
                menu.addSeparator()
            else:
                menu.addAction(self._made[name])
        return menu


def keys_text(action: Action) -> str:
    """The action's first key as the platform writes it."""
    return QKeySequence(action.keys[0]).toString(QKeySequence.SequenceFormat.NativeText) if action.keys else ""


GROUPS: Final = {
    "file": "Day",
    "edit": "Edit",
    "service": "Service",
    "turn": "Turn",
    "leg": "Leg",
    "aircraft": "Aircraft",
    "station": "Station",
    "fit": "Fit",
    "day": "Day",
    "plan": "Plan",
    "view": "View",
    "go": "Go to",
    "help": "Help",
}


def group_of(action: Action) -> str:
    """The translated name of an action's group."""
    return tr(GROUPS[action.id.partition(".")[0]])
