"""Day files: load, save, and what a file's content means.

Reading goes from the outside in: size, text, JSON, version, fields, and what the fields cannot say alone. Each stage
finds all its problems at once and names their places; nothing after a failed stage is looked at. Writing makes the
bytes first, reads them back, and only then replaces the file.
"""

from __future__ import annotations

import hashlib
import json
import re
import stat
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic_core import PydanticSerializationError

from legtide.day.cautions import Finding
from legtide.day.checks import Problem
from legtide.day.checks import problems as problems_of_day
from legtide.day.document import FORMAT, VERSION, Day
from legtide.day.edits import number_services
from legtide.day.quoting import printable, quoted
from legtide.files import backups
from legtide.files.atomic import SaveError, replace_file, sweep
from legtide.files.migrations import STEPS, NoStepError, Step, migrate
from legtide.files.reasons import TIME_FORM, problems_of
from legtide.files.strict_json import MOST_BYTES, BadJsonError, cut, place_of, read_object

_ROWS: Final = ("fits", "stations", "aircraft", "legs", "services", "readings", "ground")
_TIMES: Final = frozenset({"std", "sta", "etd", "eta", "atd", "ata", "start", "end", "time", "date", "since"})
_BARE_NUMBER: Final = re.compile(r"[\s+-]*[\d._]+(e[+-]?\d+)?\s*", re.IGNORECASE)
_VERSION_KEY: Final = re.compile(rb'"version"\s*:\s*(\d{1,9})')
_BATCH: Final = 200


class DayFileError(Exception):
    """A file that is not an acceptable day; `problems` has every place and reason."""

    def __init__(self, path: Path | None, problems: tuple[Problem, ...]) -> None:
        self.path = path
        self.problems = problems
        name = printable(str(path)) if path is not None else "the day"
        lines = [str(problem) for problem in problems]
        if len(lines) == 1 and not problems[0].place:
            super().__init__(f"{name} {lines[0]}")
        else:
            super().__init__("\n  ".join([f"{name} is not an acceptable day file:", *lines]))


class NewerVersionError(DayFileError):
    """A file of a version that this program does not know. It is never overwritten."""

    def __init__(self, path: Path | None, version: int) -> None:
        self.version = version
        reason = f"is version {version} of the day file; this program reads up to version {VERSION}"
        super().__init__(path, (Problem("", reason),))


class ChangedOnDiskError(SaveError):
    """The file on disk is not the one that was opened: somebody else wrote it in between. Nothing was written."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, "somebody else has changed it since it was opened")


@dataclass(frozen=True, slots=True)
class Loaded:
    """A day as it came from a file."""

    day: Day
    sha256: str
    """Of the bytes on disk: hand it to `save`, which then notices whether somebody else wrote in between."""
    cautions: tuple[Finding, ...] = ()
    """What is doubtful about the file; what is doubtful in the day itself is found by `day.checks.cautions`."""
    migrated_from: int | None = None
    """The version on disk where it was an older one."""


@dataclass(frozen=True, slots=True)
class Saved:
    """A day that was written."""

    sha256: str
    """Of the bytes on disk."""
    flushed: bool = True
    """False where the system would not confirm that the change of name is on the disk."""
    backup_note: str = ""
    """Why no backup of the version before could be kept; empty when all is well."""


# load -----------------------------------------------------------------------------------------------------


def load(path: Path, *, steps: Mapping[int, Step] = STEPS) -> Loaded:
    """Reads a day file.

    Temporary files that a dead process left beside it are swept away on the way.

    Raises:
        NewerVersionError: the file is of a later version.
        DayFileError: it is not acceptable, with all problems and their places, or it cannot be read.
    """
    data = read_bytes(path)
    sweep(path.parent)
    try:
        return parse(data, steps=steps)
    except NewerVersionError as error:
        raise NewerVersionError(path, error.version) from None
    except DayFileError as error:
        raise DayFileError(path, error.problems) from None


def read_bytes(path: Path) -> bytes:
    """The bytes of a regular file, up to the size that is read. Raises DayFileError."""
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise DayFileError(path, (Problem("", "is a folder"),))
        if not stat.S_ISREG(found.st_mode):
            raise DayFileError(path, (Problem("", "is not a regular file"),))
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise DayFileError(path, (Problem("", "does not exist"),)) from None
    except (OSError, ValueError) as error:
        words = error.strerror if isinstance(error, OSError) else None
        raise DayFileError(path, (Problem("", f"cannot be read: {words or error}"),)) from None
    if len(data) > MOST_BYTES:
        raise DayFileError(path, (Problem("", f"is larger than {MOST_BYTES // 2**20} MB, the most that is read"),))
    return data


def parse(data: bytes, *, steps: Mapping[int, Step] = STEPS) -> Loaded:
    """The day that the bytes of a day file hold; for `load`, and for what is kept elsewhere (journals, backups).

    Raises DayFileError (NewerVersionError for a later version) without a path.
    """
    try:
        content = read_object(data)
    except BadJsonError as error:
        raise DayFileError(None, error.problems) from None
    version = _version(content)
    cautions = tuple(_checksum_cautions(content))
    try:
        content = migrate(content, version, VERSION, steps)
    except NoStepError as error:
        raise DayFileError(None, (Problem("version", str(error)),)) from None
    day = number_services(_validated(content))
    found = problems_of_day(day)
    if found:
        raise DayFileError(None, cut(found))
    return Loaded(day, sha256(data), cautions, version if version != VERSION else None)


def _version(content: Mapping[str, Any]) -> int:
    kind = content.get("format")
    if kind != FORMAT:
        what = f"is {quoted(kind)}" if isinstance(kind, str) else "is missing" if kind is None else "is not text"
        raise DayFileError(None, (Problem("format", f'{what}: a day file has "{FORMAT}" there'),))
    version = content.get("version", VERSION)
    if not isinstance(version, int) or isinstance(version, bool) or version < 0:
        raise DayFileError(None, (Problem("version", "must be a whole number"),))
    if version > VERSION:
        raise NewerVersionError(None, version)
    return version


def _checksum_cautions(content: dict[str, Any]) -> Iterator[Finding]:
    """Takes the checksum off; a caution when it is not that of the content."""
    written = content.pop("checksum", None)
    if written is not None and written != checksum(content):
        yield Finding(
            "changed-outside",
            "caution",
            "The file was changed outside of Legtide, or it is damaged: its checksum does not match. Look it over "
            "before you rely on it; the next save writes a new checksum",
            place="checksum",
        )


def checksum(content: Mapping[str, Any]) -> str:
    """SHA-256 of a file's content without its checksum: JSON with sorted keys, no white space, UTF-8."""
    rest = {key: value for key, value in content.items() if key != "checksum"}
    text = json.dumps(rest, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


# fields ---------------------------------------------------------------------------------------------------


def _validated(content: dict[str, Any]) -> Day:
    """The day in a content of the present version. Raises DayFileError with the problems of all its fields."""
    fields = _Fields(content)
    found = cut(fields.problems())
    if found or fields.head is None:
        raise DayFileError(None, found)
    # Both parts come validated; a constructor would validate the rows again.
    return fields.head.model_copy(update=fields.rows)


class _Fields:
    """A content's fields, validated part by part.

    The long lists go in batches: pydantic keeps every error that it finds, which takes gigabytes for a list of a
    million wrong rows, and only the first hundred are shown.
    """

    def __init__(self, content: dict[str, Any]) -> None:
        self._long = {part: content[part] for part in _ROWS if isinstance(content.get(part), list)}
        self._short = {key: value for key, value in content.items() if key not in self._long}
        self.head: Day | None = None
        """Everything but the long lists."""
        self.rows: dict[str, tuple[BaseModel, ...]] = {}

    def problems(self) -> Iterator[Problem]:
        """All problems in the order of the file's parts; what is fine is kept on the way."""
        try:
            self.head = Day.model_validate_json(_json(self._short), by_alias=True, by_name=False)
        except ValidationError as error:
            yield from problems_of(error)
        yield from _bad_times(self._short, ())
        for part, items in self._long.items():
            adapter, most = _rows_of(part)
            if len(items) > most:
                yield Problem(part, f"has more than {most} items")
                continue
            good: list[BaseModel] = []
            for first in range(0, len(items), _BATCH):
                batch = items[first : first + _BATCH]
                try:
                    good.extend(adapter.validate_json(_json(batch), by_alias=True, by_name=False))
                except ValidationError as error:
                    yield from problems_of(error, (part,), first)
                for index, item in enumerate(batch, start=first):
                    yield from _bad_times(item, (part, index))
            self.rows[part] = tuple(good)


@cache
def _rows_of(part: str) -> tuple[TypeAdapter[tuple[BaseModel, ...]], int]:
    """The validator of a long list, and how many rows it may have."""
    field = Day.model_fields[part]
    most = next(rule.max_length for rule in field.metadata if hasattr(rule, "max_length"))
    rows: Any = field.annotation
    return TypeAdapter(rows), most


def _bad_times(value: Any, loc: tuple[str | int, ...]) -> Iterator[Problem]:
    """Times written as a bare number: pydantic would take the text "1709618400" for seconds since 1970."""
    rows: Iterable[tuple[str | int, Any]] = ()
    if isinstance(value, dict):
        rows = value.items()
    elif isinstance(value, list):
        rows = enumerate(value)
    for key, item in rows:
        if isinstance(item, str):
            if key in _TIMES and _BARE_NUMBER.fullmatch(item):
                yield Problem(
                    place_of((*loc, key)), f"is a bare number, not a time {TIME_FORM} (it is {quoted(item)})"
                )
        elif isinstance(item, dict | list):
            yield from _bad_times(item, (*loc, key))


def _json(content: object) -> str:
    return json.dumps(content, ensure_ascii=False, allow_nan=False)


# save -----------------------------------------------------------------------------------------------------


def to_bytes(day: Day) -> bytes:
    """A day as the bytes of its file: one row to a line, in the order of the model, with the checksum of the content.

    Raises ValueError when the day holds something that no file may hold (it was not validated).
    """
    try:
        content = day.model_dump(
            mode="json", by_alias=True, exclude_none=True, exclude={"checksum"}, warnings="error"
        )
    except PydanticSerializationError as error:
        raise ValueError(str(error)) from None
    digest = checksum(content)
    head = {"format": content.pop("format"), "version": content.pop("version"), "checksum": digest}
    return _laid_out({**head, **content}).encode("utf-8")


def _laid_out(content: Mapping[str, Any]) -> str:
    """JSON with one row, or one figure, to a line: readable, and kind to tools that compare lines."""
    parts = []
    for key, value in content.items():
        if isinstance(value, list) and value:
            inner = "[\n" + ",\n".join(f"    {_json(row)}" for row in value) + "\n  ]"
        elif isinstance(value, dict) and value:
            inner = "{\n" + ",\n".join(f"    {_json(name)}: {_json(row)}" for name, row in value.items()) + "\n  }"
        else:
            inner = _json(value)
        parts.append(f"  {_json(key)}: {inner}")
    return "{\n" + ",\n".join(parts) + "\n}\n"


def save(day: Day, path: Path, *, opened: str | None = None) -> Saved:
    """Writes a day file, whole or not at all; the version before goes to the backups.

    Args:
        day: the day; services without a name get one in the file.
        path: where; a symbolic link stays one.
        opened: `sha256` of the version that this day was made from: when another one is on disk now, nothing is
            written. None overwrites whatever is there, except a file of a newer version.

    Raises:
        ChangedOnDiskError: somebody else has written the file in between.
        SaveError: it could not be written, or the day could not be opened again. The old file is intact.
    """
    data = _checked_bytes(day, path)
    before = _on_disk(path)
    if before is not None:
        if opened is not None and sha256(before) != opened:
            raise ChangedOnDiskError(path)
        _keep_newer(path, before)
    note = backups.keep(path, before) if before is not None else ""
    return Saved(sha256(data), replace_file(path, data), note)


def _checked_bytes(day: Day, path: Path) -> bytes:
    """The bytes of a day that have been read back and mean the same."""
    try:
        named = number_services(day.model_copy(update={"checksum": None}))
        data = to_bytes(named)
        same = parse(data).day == named
    except DayFileError as error:
        reasons = "; ".join(map(str, error.problems))
        raise SaveError(path, f"the day could not be opened again: {reasons}") from None
    except ValueError as error:
        raise SaveError(path, f"the day holds something that a file cannot hold: {error}") from None
    if not same:
        raise SaveError(path, "the day would read differently from what it is now")
    return data


def _on_disk(path: Path) -> bytes | None:
    """The file that a save would replace; none when there is none."""
    try:
        if path.exists() and not path.is_file():
            raise SaveError(path, "it is not a regular file")
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise SaveError(path, error.strerror or str(error)) from error


def _keep_newer(path: Path, before: bytes) -> None:
    """Refuses to write over a day file of a newer version."""
    if f'"{FORMAT}"'.encode() not in before:
        return
    found = _VERSION_KEY.search(before)
    if found is not None and int(found[1]) > VERSION:
        raise SaveError(path, f"a day file of the newer version {int(found[1])} is there; it is never overwritten")


def sha256(data: bytes) -> str:
    """SHA-256 of bytes in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def sha256_on_disk(path: Path) -> str | None:
    """SHA-256 of a file as it is on disk now, to compare with what was opened; none when it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None
