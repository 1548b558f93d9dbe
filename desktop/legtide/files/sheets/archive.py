"""The folder of an Excel or OpenDocument workbook, checked before any part of it is unpacked.

A workbook is a zip archive. A few kilobytes of one can unpack to gigabytes, name a million parts, or hold a further
archive: what it says of itself is bounded here, and `worker` holds it to its word.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from typing import Final, Literal

from legtide.day.checks import Problem
from legtide.day.quoting import quoted
from legtide.files.grids import TableError
from legtide.files.sheets.worker import ZIP_START
from legtide.language import tr

Kind = Literal["xlsx", "ods"]
OLD_START: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
MOST_PARTS: Final = 1_000
MOST_UNPACKED: Final = 150 * 2**20
MOST_RATIO: Final = 200
_RATIO_COUNTS_FROM: Final = 2**20
_MOST_FOLDER_BYTES: Final = 2**20
_END: Final = struct.Struct("<4s4H2LH")
_END_MARK: Final = b"PK\x05\x06"
_LOCATOR_BYTES: Final = 20
_ENCRYPTED: Final = 0x1
_METHODS: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_OPEN_DOCUMENT: Final = b"application/vnd.oasis.opendocument.spreadsheet"


def is_archive(data: bytes) -> bool:
    """Whether bytes begin as a workbook does, or as an old or protected one."""
    return data.startswith((ZIP_START, OLD_START))


def checked(data: bytes) -> Kind:
    """Which kind of workbook an archive is, when its folder is one that may be unpacked.

    Raises TableError.
    """
    if data.startswith(OLD_START):
        raise _refused(
            tr("is an Excel file of the old kind, or protected by a password: save it as .xlsx without one")
        )
    _check_end(data)
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError, struct.error) as error:
        raise _refused(tr("is a damaged workbook: {reason}").format(reason=error)) from None
    with archive:
        parts = archive.infolist()
        _check_parts(parts)
        names = {part.filename for part in parts}
        if "xl/workbook.xml" in names:
            return "xlsx"
        if {"content.xml", "mimetype"} <= names and _starts(archive, "mimetype", _OPEN_DOCUMENT):
            return "ods"
    raise _refused(tr("is an archive, but no workbook of the kinds .xlsx or .ods"))


def _starts(archive: zipfile.ZipFile, name: str, start: bytes) -> bool:
    """Whether a part begins with those bytes; one that cannot be unpacked does not."""
    try:
        with archive.open(name) as file:
            return file.read(len(start)) == start
    except (zipfile.BadZipFile, zlib.error, OSError, EOFError, ValueError, NotImplementedError, RuntimeError):
        return False


def _check_end(data: bytes) -> None:
    """The record that ends the folder: the reader of archives takes as many entries as the folder has bytes for."""
    at = data.rfind(_END_MARK, max(0, len(data) - 2**16 - _END.size))
    if at < 0 or at + _END.size > len(data):
        raise _refused(tr("is a damaged workbook: its folder is not there, as when a file is cut off"))
    _, _, _, _, entries, size, start, _ = _END.unpack_from(data, at)
    if data[max(0, at - _LOCATOR_BYTES) : at].startswith(b"PK\x06\x07"):
        raise _refused(tr("is an archive with a folder for more than four gigabytes, which no schedule needs"))
    if entries > MOST_PARTS or size > _MOST_FOLDER_BYTES:
        raise _refused(tr("has more than {n} parts: it is not read").format(n=MOST_PARTS))
    if start > at:
        raise _refused(tr("is a damaged workbook: its folder lies beyond its end"))


def _check_parts(parts: list[zipfile.ZipInfo]) -> None:
    if len(parts) > MOST_PARTS:
        raise _refused(tr("has more than {n} parts: it is not read").format(n=MOST_PARTS))
    if len({part.filename for part in parts}) < len(parts):
        raise _refused(tr("is a damaged workbook: a part stands twice in it"))
    total = sum(part.file_size for part in parts)
    if total > MOST_UNPACKED:
        words = tr("unpacks to {size:.0f} MB: at most {most} MB are read")
        raise _refused(words.format(size=total / 2**20, most=MOST_UNPACKED // 2**20))
    for part in parts:
        where = tr("part {part}").format(part=quoted(part.filename))
        if part.flag_bits & _ENCRYPTED:
            raise _refused(tr("is protected by a password: save it without one"), where)
        if part.compress_type not in _METHODS:
            raise _refused(tr("is packed in a way that workbooks do not use"), where)
        if part.file_size > _RATIO_COUNTS_FROM and part.file_size > MOST_RATIO * max(1, part.compress_size):
            words = tr("unpacks to more than {n} times its size: it is not read")
            raise _refused(words.format(n=MOST_RATIO), where)


def _refused(reason: str, place: str = "") -> TableError:
    return TableError([Problem(place, reason)])
