"""Light and dark: one palette of `draw/colours.py` for the board, the widgets and the style sheet.

The user's choice comes first; without one the system is followed where it says (many do not).
"""

from __future__ import annotations

from dataclasses import fields
from string import Template
from typing import Final, Literal

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QGuiApplication, QIcon, QPalette
from PySide6.QtWidgets import QApplication

from legtide.draw.colours import Palette, palette
from legtide.draw.fonts import BODY_PX, font
from legtide.shipped import resources
from legtide.view.icons import icon

Choice = Literal["system", "light", "dark"]
CHOICES: Final[tuple[Choice, ...]] = ("system", "light", "dark")

TITLE_PX: Final = 17
HEADING_PX: Final = 16
TEXT_PX: Final = BODY_PX
SMALL_PX: Final = 12
LEAST_PX: Final = 11
QUIET_SHARE: Final = 0.38
"""How far the words of what cannot be used fade into the canvas."""
GRID_PX: Final = (4, 8, 12, 14)
"""Distances: within a line, between lines, between groups, around a card."""


def mixed(first: str, second: str, share: float) -> str:
    """A colour that lies `share` of the way from one to another."""
    a, b = QColor(first), QColor(second)
    channels = ((a.red(), b.red()), (a.green(), b.green()), (a.blue(), b.blue()))
    return "#" + "".join(f"{round(x + (y - x) * share):02X}" for x, y in channels)


class Theme(QObject):
    """The look of the application; one for all its windows."""

    changed = Signal()

    def __init__(self, application: QApplication, choice: Choice = "system") -> None:
        super().__init__(application)
        self._application = application
        self._choice: Choice = choice
        self._dark = False
        application.setStyle("Fusion")
        application.setFont(font(TEXT_PX))
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._follow)
        self._apply()

    @property
    def choice(self) -> Choice:
        """What the user asked for."""
        return self._choice

    @property
    def dark(self) -> bool:
        """Whether the dark palette is in use."""
        return self._dark

    @property
    def colours(self) -> Palette:
        """The palette in use."""
        return palette(self._dark)

    def choose(self, choice: Choice) -> None:
        """Takes light, dark, or whatever the system says."""
        if choice != self._choice:
            self._choice = choice
            self._apply()

    def icon(self, name: str, colour: str = "") -> QIcon:
        """An icon in the colour of text, or in one of the palette's."""
        colours = self.colours
        return icon(name, colour or colours.text, mixed(colours.secondary, colours.canvas, 0.55))

    def _follow(self) -> None:
        if self._choice == "system":
            self._apply()

    def _wanted(self) -> bool:
        if self._choice != "system":
            return self._choice == "dark"
        return QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark

    def _apply(self) -> None:
        self._dark = self._wanted()
        self._application.setPalette(qt_palette(self.colours))
        self._application.setStyleSheet(style_sheet(self.colours))
        self.changed.emit()


def qt_palette(colours: Palette) -> QPalette:
    """The palette for everything that the style sheet does not reach."""
    made = QPalette()
    roles = {
        QPalette.ColorRole.Window: colours.ground,
        QPalette.ColorRole.WindowText: colours.text,
        QPalette.ColorRole.Base: colours.canvas,
        QPalette.ColorRole.AlternateBase: colours.ground,
        QPalette.ColorRole.Text: colours.text,
        QPalette.ColorRole.Button: colours.panel,
        QPalette.ColorRole.ButtonText: colours.text,
        QPalette.ColorRole.ToolTipBase: colours.panel,
        QPalette.ColorRole.ToolTipText: colours.text,
        QPalette.ColorRole.Highlight: colours.accent,
        QPalette.ColorRole.HighlightedText: colours.on_accent,
        QPalette.ColorRole.PlaceholderText: colours.secondary,
        QPalette.ColorRole.Link: colours.accent,
        QPalette.ColorRole.Mid: colours.line,
    }
    for role, name in roles.items():
        made.setColor(role, QColor(name))
    quiet = QColor(mixed(colours.secondary, colours.canvas, QUIET_SHARE))
    for role in (QPalette.ColorRole.Text, QPalette.ColorRole.ButtonText, QPalette.ColorRole.WindowText):
        made.setColor(QPalette.ColorGroup.Disabled, role, quiet)
    return made


def style_sheet(colours: Palette) -> str:
    """The style sheet with the palette's colours in it."""
    values = {field.name: getattr(colours, field.name) for field in fields(colours)}
    values |= {
        "edge": mixed(colours.line, colours.secondary, 0.25),
        "edge_strong": mixed(colours.line, colours.secondary, 0.6),
        "hover": mixed(colours.panel, colours.accent, 0.07),
        "pressed": mixed(colours.panel, colours.accent, 0.16),
        "chosen": mixed(colours.panel, colours.accent, 0.14),
        "accent_hover": mixed(colours.accent, colours.on_accent, 0.12),
        "quiet": mixed(colours.secondary, colours.canvas, QUIET_SHARE),
        "down_icon": (resources() / "icons" / f"down-{colours.name}.svg").as_posix(),
        "tick_icon": (resources() / "icons" / f"tick-{colours.name}.svg").as_posix(),
    }
    return Template((resources() / "styles" / "window.qss").read_text("utf-8")).substitute(values)
