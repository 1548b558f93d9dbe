"""What the bytes of a day file mean, apart from where they lie: bytes to a day, and a day to bytes.

Reading goes from the outside in: text, JSON, version, fields, and what the fields cannot say alone. Each stage finds
all its problems at once and names their places; nothing after a failed stage is looked at.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic_core import PydanticSerializationError

from legtide.day.cautions import Finding
from legtide.day.checks import Problem
from legtide.day.checks import problems as problems_of_day
from legtide.day.document import FORMAT, VERSION, Day
from legtide.day.edits import number_services
from legtide.day.quoting import printable, quoted
from legtide.files.day_fields import as_json, read_fields
from legtide.files.migrations import STEPS, NoStepError, Step, migrate
from legtide.files.strict_json import BadJsonError, cut, read_object
from legtide.language import tr


class DayFileError(Exception):
    """A file that is not an acceptable day; `problems` has every place and reason."""

    def __init__(self, path: Path | None, problems: tuple[Problem, ...]) -> None:
        self.path = path
        self.problems = problems
        name = printable(str(path)) if path is not None else tr("the day")
        lines = [str(problem) for problem in problems]
        if len(lines) == 1 and not problems[0].place:
            super().__init__(f"{name} {lines[0]}")
        else:
            super().__init__("\n  ".join([tr("{name} is not an acceptable day file:").format(name=name), *lines]))


class NewerVersionError(DayFileError):
    """A file of a version that this program does not know. It is never overwritten."""

    def __init__(self, path: Path | None, version: int) -> None:
        self.version = version
        reason = tr("is version {version} of the day file; this program reads up to version {newest}").format(
            version=version, newest=VERSION
        )
        super().__init__(path, (Problem("", reason),))


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
    read = read_fields(content)
    if not isinstance(read, Day):
        raise DayFileError(None, read)
    day = number_services(read)
    found = problems_of_day(day)
    if found:
        raise DayFileError(None, cut(found))
    return Loaded(day, sha256(data), cautions, version if version != VERSION else None)


def _version(content: Mapping[str, Any]) -> int:
    kind = content.get("format")
    if kind != FORMAT:
        what = (
            tr("is {value}").format(value=quoted(kind))
            if isinstance(kind, str)
            else tr("is missing")
            if kind is None
            else tr("is not text")
        )
        raise DayFileError(
            None, (Problem("format", tr('{what}: a day file has "{format}" there').format(what=what, format=FORMAT)),)
        )
    version = content.get("version", VERSION)
    if not isinstance(version, int) or isinstance(version, bool) or version < 0:
        raise DayFileError(None, (Problem("version", tr("must be a whole number")),))
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
            tr(
                "The file was changed outside of Legtide, or it is damaged: its checksum does not match. Look it "
                "over before you rely on it; the next save writes a new checksum"
            ),
            place="checksum",
        )


def checksum(content: Mapping[str, Any]) -> str:
    """SHA-256 of a file's content without its checksum: JSON with sorted keys, no white space, UTF-8."""
    rest = {key: value for key, value in content.items() if key != "checksum"}
    text = json.dumps(rest, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def to_bytes(day: Day) -> bytes:
    """A day as the bytes of its file: one row to a line, in the order of the model, with the checksum of the content.

    Raises ValueError when the day holds something that no file may hold (it was not validated).
    """
    content = _content(day)
    digest = checksum(content)
    head = {"format": content.pop("format"), "version": content.pop("version"), "checksum": digest}
    return _laid_out({**head, **content}).encode("utf-8")


def content_checksum(day: Day) -> str:
    """The checksum that the day's file holds, or would hold. Raises ValueError as `to_bytes` does."""
    return checksum(_content(day))


def _content(day: Day) -> dict[str, Any]:
    try:
        return day.model_dump(mode="json", by_alias=True, exclude_none=True, exclude={"checksum"}, warnings="error")
    except PydanticSerializationError as error:
        raise ValueError(str(error)) from None


def _laid_out(content: Mapping[str, Any]) -> str:
    """JSON with one row, or one figure, to a line: readable, and kind to tools that compare lines."""
    parts = []
    for key, value in content.items():
        if isinstance(value, list) and value:
            inner = "[\n" + ",\n".join(f"    {as_json(row)}" for row in value) + "\n  ]"
        elif isinstance(value, dict) and value:
            inner = (
                "{\n" + ",\n".join(f"    {as_json(name)}: {as_json(row)}" for name, row in value.items()) + "\n  }"
            )
        else:
            inner = as_json(value)
        parts.append(f"  {as_json(key)}: {inner}")
    return "{\n" + ",\n".join(parts) + "\n}\n"


def sha256(data: bytes) -> str:
    """SHA-256 of bytes in hexadecimal."""
    return hashlib.sha256(data).hexdigest()
