"""What the actions of the window act on."""

from __future__ import annotations

from typing import Protocol

from legtide.view.alternatives import AlternativesMenu
from legtide.view.beside import Beside
from legtide.view.copying import Copying
from legtide.view.day_parts import DayParts
from legtide.view.editing import Editing
from legtide.view.exports import Exports
from legtide.view.opening import Opening
from legtide.view.pages import Pages
from legtide.view.places import Places
from legtide.view.planning import Planning
from legtide.view.preferences import Preferences
from legtide.view.printed import PageCheck
from legtide.view.split import Split
from legtide.view.theme import Theme
from legtide.view.timeline.canvas import BoardCanvas
from legtide.view.why import Why
from legtide.workspace.workspace import Workspace


class WindowParts(Protocol):
    """What the actions act on."""

    workspace: Workspace
    preferences: Preferences
    theme: Theme
    board: BoardCanvas
    editing: Editing
    opening: Opening
    day_parts: DayParts
    places: Places
    planning: Planning
    why: Why
    pages: Pages
    exports: Exports
    page_check: PageCheck
    copying: Copying
    beside: Beside
    split: Split
    alternatives: AlternativesMenu

    def undo(self) -> None: ...
    def redo(self) -> None: ...
    def paste_messages(self) -> None: ...
    def show_commands(self) -> None: ...
    def show_keys(self) -> None: ...
    def show_reports(self) -> None: ...
    def show_about(self) -> None: ...
    def toggle_table(self) -> None: ...
    def toggle_now(self) -> None: ...
    def table_shown(self) -> bool: ...
    def reset_layout(self) -> None: ...
    def choose_language(self, choice: str) -> None: ...
    def close(self) -> bool: ...
