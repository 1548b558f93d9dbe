"""What the program remembers of its user: window, recent files, theme, units, local station, columns of schedules.

A JSON file through pydantic in the platform's configuration folder. Qt's own settings are not used: reading one of
their values can run code. A file that cannot be read gives the defaults and a note; it is kept beside the new one.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Final, Literal

from platformdirs import user_config_path
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from legtide.files.atomic import SaveError, replace_file
from legtide.language import tr

MOST_RECENT: Final = 12
MOST_LAYOUTS: Final = 20
MOST_BYTES: Final = 200_000
_log = logging.getLogger(__name__)

LongPath = Annotated[str, Field(max_length=4096)]
Name = Annotated[str, Field(max_length=64)]
Pixels = Annotated[int, Field(ge=0, le=20_000)]
Size = tuple[Pixels, Pixels]


class ColumnLayout(BaseModel):
    """What the columns of schedules with one set of names mean."""

    model_config = ConfigDict(frozen=True, strict=True, extra="ignore")

    names: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    """Hash of the set of names (`names_key`)."""
    columns: Annotated[
        dict[Annotated[str, Field(max_length=32)], Annotated[str, Field(max_length=200)]], Field(max_length=32)
    ] = Field(default_factory=dict)
    """Field -> name of its column, where it is not the field's own."""
    times: Literal["zoned", "utc", "local"] = "zoned"
    """What a time without a zone is."""


class Settings(BaseModel):
    """All of it, with defaults. Frozen: a change is a new object."""

    model_config = ConfigDict(frozen=True, strict=True, extra="ignore")

    theme: Literal["system", "light", "dark"] = "system"
    unit: Literal["L", "US gal", "kg", "lb", "%"] = "L"
    language: Annotated[str, Field(max_length=16)] = "system"
    """`system`, or the name of a catalogue."""
    local_station: Annotated[str, Field(max_length=64)] | None = None
    recent: Annotated[tuple[LongPath, ...], Field(max_length=MOST_RECENT)] = ()
    geometry: Annotated[str, Field(max_length=4000, pattern=r"^[A-Za-z0-9+/=]*$")] = ""
    """The window's place and size as the toolkit packs it, in base 64."""
    panel_px: Annotated[int, Field(ge=200, le=2000)] = 328
    show_table: bool = False
    table_px: Annotated[int, Field(ge=80, le=4000)] = 220
    """Height of the table below the board."""
    sizes: Annotated[dict[Name, Size], Field(max_length=64)] = {}
    """Object name of a window beside the board -> the size that it was closed with."""
    columns: Annotated[dict[Name, Annotated[tuple[Pixels, ...], Field(max_length=64)]], Field(max_length=64)] = {}
    """Name of a table -> the widths of its columns."""
    hints_seen: bool = False
    layouts: Annotated[tuple[ColumnLayout, ...], Field(max_length=MOST_LAYOUTS)] = ()
    """The latest first."""


def default_path() -> Path:
    """Where the settings are kept."""
    return user_config_path("legtide", appauthor=False) / "settings.json"


def load_settings(path: Path) -> tuple[Settings, str]:
    """The settings in a file, and a note for the user when they could not be read (else an empty string)."""
    try:
        if path.stat().st_size > MOST_BYTES:
            return Settings(), _put_aside(path, tr("it is too large"))
        return Settings.model_validate_json(path.read_bytes(), strict=False), ""
    except FileNotFoundError:
        return Settings(), ""
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(map(str, first["loc"])) or tr("the file")
        return Settings(), _put_aside(path, f"{place}: {first['msg']}")
    except (OSError, ValueError) as error:
        return Settings(), _put_aside(path, str(error))


def _put_aside(path: Path, reason: str) -> str:
    kept = path.with_name(f"{path.stem}-unreadable{path.suffix}")
    try:
        path.replace(kept)
        where = tr(" The old file is kept as {file}.").format(file=kept.name)
    except OSError:
        where = ""
    return tr("The settings could not be read ({reason}); the defaults are used.{where}").format(
        reason=reason, where=where
    )


def save_settings(path: Path, settings: Settings) -> bool:
    """Writes the settings, whole or not at all; False when the system did not let it."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        replace_file(path, settings.model_dump_json(indent=2).encode("utf-8") + b"\n")
    except (OSError, SaveError) as error:
        _log.warning("settings not saved: %s", error)
        return False
    return True


def names_key(header: Sequence[str]) -> str:
    """The same for the same set of column names, in whatever order and case they stand."""
    names = sorted({name.strip().lower() for name in header if name.strip()})
    return hashlib.sha256("\n".join(names).encode("utf-8", "surrogatepass")).hexdigest()


def layout_of(settings: Settings, header: Sequence[str]) -> ColumnLayout | None:
    """What is remembered of columns of those names."""
    key = names_key(header)
    return next((row for row in settings.layouts if row.names == key), None)


def with_layout(settings: Settings, layout: ColumnLayout) -> Settings:
    """The settings with what columns mean, in place of what was remembered of the same names."""
    rest = tuple(row for row in settings.layouts if row.names != layout.names)
    return settings.model_copy(update={"layouts": (layout, *rest)[:MOST_LAYOUTS]})


def with_recent(settings: Settings, path: Path) -> Settings:
    """The settings with a file at the head of the recent ones."""
    name = str(path)
    rest = tuple(other for other in settings.recent if other != name)
    return settings.model_copy(update={"recent": (name, *rest)[:MOST_RECENT]})


def without_recent(settings: Settings, path: Path) -> Settings:
    """The settings without a file that is gone."""
    return settings.model_copy(update={"recent": tuple(other for other in settings.recent if other != str(path))})
