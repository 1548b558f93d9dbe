"""What a desktop of the free kind needs to know of the program: an entry in its menu, a type for its files, icons.

Written for one user, by the standards of freedesktop.org: Desktop Entry Specification 1.5, Shared MIME-info
Specification 0.21, Icon Theme Specification 0.13 and the XDG Base Directory Specification 0.8.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from legtide.files.atomic import replace_file

MIME_TYPE: Final = "application/vnd.legtide.day+json"
ENTRY: Final = Path("applications/legtide.desktop")
MIME: Final = Path("mime/packages/legtide.xml")
_RESERVED: Final = " \t\n\"'\\><~|&;$*?#()`"
"""Characters that have a meaning in an Exec line: an argument that has one is quoted."""


def data_home(environment: Mapping[str, str]) -> Path:
    """Where a user's own data of this kind lie; a path that is not absolute is to be ignored."""
    named = environment.get("XDG_DATA_HOME", "")
    return Path(named) if Path(named).is_absolute() else Path.home() / ".local" / "share"


def quoted(argument: str) -> str:
    """An argument of an Exec line: a percent sign doubled, and quotes about what has a meaning there."""
    plain = argument.replace("%", "%%")
    if not any(letter in _RESERVED for letter in plain):
        return plain
    inside = "".join(f"\\{letter}" if letter in '"`$\\' else letter for letter in plain)
    # The backslashes of the quoting are those of a string value as well, where each is written twice.
    return '"' + inside.replace("\\", "\\\\") + '"'


def entry_text(command: Sequence[str]) -> str:
    """The entry of the menu; `command` starts the program, the file that is opened comes after it."""
    lines = (
        "[Desktop Entry]",
        "Type=Application",
        "Version=1.5",
        "Name=Legtide",
        "GenericName=Water and waste service planner",
        "Comment=Plan when each aircraft's drinking-water tank is filled and its toilet-waste tank drained",
        f"Exec={' '.join(map(quoted, command))} %f",
        "Icon=legtide",
        "Terminal=false",
        "StartupNotify=true",
        "StartupWMClass=legtide",
        "Categories=Office;ProjectManagement;",
        "Keywords=aircraft;turnaround;water;",
        f"MimeType={MIME_TYPE};",
    )
    return "\n".join(lines) + "\n"


def mime_text() -> str:
    """The type of day files: known by their name, JSON to everybody else."""
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<mime-info xmlns="http://www.freedesktop.org/standards/shared-mime-info">
  <mime-type type="{MIME_TYPE}">
    <comment>Legtide day</comment>
    <sub-class-of type="application/json"/>
    <icon name="legtide"/>
    <glob pattern="*.day.json" weight="80"/>
  </mime-type>
</mime-info>
"""


def icon_place(size: int | None) -> Path:
    """Where an icon lies; without a size the one that can be scaled."""
    folder = "scalable" if size is None else f"{size}x{size}"
    return Path("icons/hicolor") / folder / "apps" / ("legtide.svg" if size is None else "legtide.png")


def write_all(home: Path, files: Mapping[Path, bytes]) -> list[Path]:
    """Writes files below a folder, each whole or not at all. Raises SaveError or OSError."""
    written = []
    for place, content in files.items():
        target = home / place
        target.parent.mkdir(parents=True, exist_ok=True)
        replace_file(target, content)
        written.append(target)
    return written


def remove_all(home: Path, places: Sequence[Path]) -> list[Path]:
    """Takes files away again; those that are not there are left out of the answer."""
    gone = []
    for place in places:
        target = home / place
        if target.is_file():
            target.unlink()
            gone.append(target)
    return gone
