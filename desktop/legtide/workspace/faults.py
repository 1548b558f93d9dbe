"""What nobody caught: exceptions in slots, timers and workers, and Qt's own messages, come to one place.

The user sees a sentence, the log has the rest, and what was typed is written to the recovery journal. Nothing
leaves the machine.
"""

from __future__ import annotations

import faulthandler
import logging
import sys
import threading
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType
from typing import Final

from PySide6.QtCore import QMessageLogContext, QObject, QtMsgType, Signal, qInstallMessageHandler

from legtide.language import tr

LOG_BYTES: Final = 1_000_000
LOG_FILES: Final = 3
_log = logging.getLogger("legtide")
_LEVELS: Final = {
    QtMsgType.QtDebugMsg: logging.DEBUG,
    QtMsgType.QtInfoMsg: logging.INFO,
    QtMsgType.QtWarningMsg: logging.WARNING,
    QtMsgType.QtCriticalMsg: logging.ERROR,
    QtMsgType.QtFatalMsg: logging.CRITICAL,
}


class Faults(QObject):
    """Hears of every fault and tells the window once for each kind of it."""

    reported = Signal(str)
    """A sentence for the user. Emitted in the GUI thread whichever thread the fault was in."""

    _heard = Signal(str)

    def __init__(self, log: Path | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._log = log
        self._told: set[str] = set()
        self._heard.connect(self._tell)

    def handle(self, kind: type[BaseException], error: BaseException | None, trace: TracebackType | None) -> None:
        """Takes an exception that nobody caught. May be called from any thread."""
        if error is None or issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error or kind(), trace)
            return
        _log.error("not caught", exc_info=(kind, error, trace))
        self._heard.emit(f"{kind.__name__}: {error}"[:300])

    def _tell(self, what: str) -> None:
        if what in self._told:
            return
        self._told.add(what)
        where = (
            ""
            if self._log is None
            else tr(" The details are in {log}; they stay on this machine.").format(log=self._log)
        )
        self.reported.emit(
            tr(
                "Something went wrong inside the program ({what}). Your work has been put into the recovery journal; "
                "save the day, and start the program again if it behaves oddly.{where}"
            ).format(what=what, where=where)
        )


def install(faults: Faults) -> None:
    """Sends what nobody catches to `faults`, and Qt's messages to the log."""
    sys.excepthook = faults.handle
    threading.excepthook = lambda args: faults.handle(args.exc_type, args.exc_value, args.exc_traceback)
    sys.unraisablehook = lambda args: faults.handle(args.exc_type, args.exc_value, args.exc_traceback)
    qInstallMessageHandler(_qt_message)


def _qt_message(kind: QtMsgType, context: QMessageLogContext, message: str) -> None:
    _log.log(_LEVELS.get(kind, logging.WARNING), "qt: %s", message)


def keep_log(folder: Path) -> Path | None:
    """Writes the log to a folder, with the stacks of all threads if the process crashes; none if it cannot."""
    path = folder / "legtide.log"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(path, maxBytes=LOG_BYTES, backupCount=LOG_FILES, encoding="utf-8")
        # Stays open for as long as the process runs: a crash writes to it when nothing else works any more.
        crashes = (folder / "crashes.log").open("a", encoding="utf-8")
    except OSError as error:
        _log.warning("no log is kept: %s", error)
        return None
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s %(message)s"))
    logging.getLogger().addHandler(handler)
    faulthandler.enable(crashes)
    return path
