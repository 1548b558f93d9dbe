"""What tests of the window share: its open dialogs, and how it is left behind."""

from __future__ import annotations

from PySide6.QtWidgets import QApplication, QDialog

from legtide.view.form import Form
from legtide.view.main_window import MainWindow


def open_dialogs() -> list[QDialog]:
    """The dialogs that are open now, the newest last."""
    return [one for one in QApplication.topLevelWidgets() if isinstance(one, QDialog) and one.isVisible()]


def forget_changes(window: MainWindow) -> None:
    """A window that a test leaves behind closes without asking."""
    for dialog in open_dialogs():
        dialog.discard() if isinstance(dialog, Form) else dialog.close()
    window.forget_changes()
