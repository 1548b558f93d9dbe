"""`legtide desktop-entry`: the program in the desktop's menu, its icon, and day files opened by a double click."""

from __future__ import annotations

import os
import shutil
import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path

from legtide.cli.command import DONE, NOT_WRITTEN, WRONG_USAGE, Command, CommandError, emit, note
from legtide.cli.toolkit import why_no_picture

_PNG_PX = (16, 24, 32, 48, 64, 128, 256)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--remove", action="store_true", help="take away what was written")


def _run(options: Namespace) -> int:
    if sys.platform in ("win32", "darwin"):
        raise CommandError(WRONG_USAGE, "such entries are of desktops on Linux; here, open a day with legtide DAY")
    from legtide.files.atomic import SaveError
    from legtide.files.desktop_entry import data_home, remove_all, write_all

    home = data_home(os.environ)
    try:
        done = remove_all(home, _places()) if options.remove else write_all(home, _files())
    except (SaveError, OSError) as error:
        raise CommandError(NOT_WRITTEN, f"the entry could not be written: {error}") from None
    for path in done:
        emit(f"{'removed' if options.remove else 'wrote'} {path}")
    if not done:
        note("there was nothing to remove")
    note(f"A desktop that runs sees it after: update-mime-database {home / 'mime'}")
    return DONE


def _places() -> list[Path]:
    from legtide.files.desktop_entry import ENTRY, MIME, icon_place

    return [ENTRY, MIME, icon_place(None), *(icon_place(size) for size in _PNG_PX)]


def _files() -> dict[Path, bytes]:
    """What is written where. Raises CommandError when icons cannot be drawn here."""
    reason = why_no_picture()
    if reason:
        raise CommandError(NOT_WRITTEN, reason)
    from legtide.files.desktop_entry import entry_text, mime_text
    from legtide.shipped import resources

    drawing = (resources() / "icons" / "legtide.svg").read_bytes()
    contents = [entry_text(_command()).encode(), mime_text().encode(), drawing, *map(_png, _PNG_PX)]
    return dict(zip(_places(), contents, strict=True))


def _command() -> list[str]:
    """What starts this installation: its script beside the interpreter, one that is found, or the module."""
    beside = Path(sys.executable).parent / "legtide"
    found = str(beside) if beside.is_file() else shutil.which("legtide")
    return [found] if found else [sys.executable, "-m", "legtide"]


def _png(size: int) -> bytes:
    from PySide6.QtCore import QBuffer, QIODevice

    from legtide.draw.application import ensure_application
    from legtide.view.icons import application_pixmap

    ensure_application()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    application_pixmap(size).save(buffer, "PNG")
    return bytes(buffer.data().data())


COMMAND = Command("desktop-entry", "put the program and its files on the desktop (Linux)", _add_arguments, _run)
