"""The application that fonts need, where no window has made one."""

from __future__ import annotations

import os

from PySide6.QtGui import QGuiApplication

_application: QGuiApplication | None = None


def ensure_application() -> None:
    """Makes an application that asks for no display, unless there is one."""
    global _application
    if QGuiApplication.instance() is None:
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
        _application = QGuiApplication(["legtide"])
