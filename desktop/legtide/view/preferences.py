"""The settings as the window's widgets see them: read at once, changed with a signal, written when they change."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal

from legtide.view.units import Unit
from legtide.workspace.settings import Settings, load_settings, save_settings


class Preferences(QObject):
    """Settings of one user; without a path they are forgotten when the program ends."""

    changed = Signal()

    def __init__(self, path: Path | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._path = path
        self.settings, self.note = (Settings(), "") if path is None else load_settings(path)

    @property
    def unit(self) -> Unit:
        """The unit in which levels and volumes are shown."""
        return self.settings.unit

    def take(self, settings: Settings) -> None:
        """Takes and writes other settings."""
        if settings != self.settings:
            self.settings = settings
            if self._path is not None:
                save_settings(self._path, settings)
            self.changed.emit()

    def put(self, **changes: Any) -> None:
        """Changes some of the settings."""
        self.take(Settings(**{**self.settings.model_dump(), **changes}))
