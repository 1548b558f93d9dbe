"""Starts the window: application, theme, log, the day to show, the journal, and the offer to recover."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from legtide.day.document import Day
from legtide.shipped import demo_days

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from legtide.view.main_window import MainWindow
    from legtide.workspace.autosave import Autosave
    from legtide.workspace.workspace import Workspace

FIRST_DEMO: Final = "tight.day.json"


def run(path: Path | None) -> int:
    """Opens the window on a day, or on a demo day, and returns the exit code when it is closed.

    Exit codes are those of the command line: 3 when the day cannot be opened. Whether there can be a window at all is
    asked before (`cli/toolkit.py`).
    """
    from PySide6.QtWidgets import QApplication

    # Only the program's name: the toolkit takes options such as --style for its own.
    application = QApplication(sys.argv[:1])
    application.setApplicationName("Legtide")
    application.setDesktopFileName("legtide")
    application.setQuitOnLastWindowClosed(True)
    return _show(application, path)


def _show(application: QApplication, path: Path | None) -> int:
    from legtide.files.state import state_folder
    from legtide.view.icons import application_icon
    from legtide.view.languages import SYSTEM, take_language
    from legtide.view.main_window import build_window
    from legtide.view.preferences import Preferences
    from legtide.workspace.autosave import Autosave
    from legtide.workspace.collection import Collector
    from legtide.workspace.faults import Faults, install, keep_log
    from legtide.workspace.settings import default_path
    from legtide.workspace.storage import StorageError
    from legtide.workspace.workspace import Workspace

    Collector(application)
    # Twice: what is said about settings that cannot be read is said in the system's language.
    take_language(application, SYSTEM)
    preferences = Preferences(default_path())
    take_language(application, preferences.settings.language)
    application.setWindowIcon(application_icon())
    workspace = Workspace(Day(date=datetime.now(UTC).date()))
    try:
        open_first(workspace, path)
    except StorageError as error:
        print(error, file=sys.stderr)
        return 3
    window = build_window(workspace, preferences)
    autosave = Autosave(workspace, state_folder("recovery"))
    faults = Faults(keep_log(state_folder("log")), application)
    faults.reported.connect(lambda sentence: _tell_fault(window, autosave, sentence))
    install(faults)
    window.show()
    offer_recovery(window, autosave, state_folder("recovery"))
    code = application.exec()
    autosave.end()
    return code


def open_first(workspace: Workspace, path: Path | None) -> None:
    """Opens the day that was asked for, or a copy of a demo day. Raises StorageError for the day asked for."""
    if path is not None:
        workspace.open(path)
        return
    demos = sorted(demo_days().glob("*.day.json"))
    chosen = next((demo for demo in demos if demo.name == FIRST_DEMO), demos[0] if demos else None)
    if chosen is not None:
        workspace.new(workspace.storage.load(chosen).day)


def offer_recovery(window: MainWindow, autosave: Autosave, folder: Path) -> None:
    """Offers what a crash left behind, if anything."""
    from legtide.view.dialogs import opened
    from legtide.view.recovery import RecoveryDialog
    from legtide.workspace.autosave import Leftover, leftovers

    found = leftovers(folder)
    if not found:
        return

    def restored(one: Leftover) -> None:
        # Only when this window's own journal holds the work may the old one go.
        autosave.flush()
        one.journal.unlink(missing_ok=True)

    opened(RecoveryDialog(window.workspace, found, restored, window))


def _tell_fault(window: MainWindow, autosave: Autosave, sentence: str) -> None:
    autosave.flush()
    window.show_fault(sentence)
