"""Workbooks for tests, written by two libraries that have nothing to do with the one that reads them: openpyxl for
.xlsx, odfdo for .ods; and archives that no such library would write."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Mapping, Sequence
from datetime import time, timedelta
from typing import Any

from odfdo import Document, Row, Table
from openpyxl import Workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904

Rows = Sequence[Sequence[Any]]


def xlsx(
    sheets: Mapping[str, Rows], *, from_1904: bool = False, change: Callable[[Any], object] | None = None
) -> bytes:
    """An Excel workbook; `change` may do more to it before it is written."""
    book = Workbook()
    book.remove(book.active)
    if from_1904:
        book.epoch = CALENDAR_MAC_1904
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    if change is not None:
        change(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def ods(sheets: Mapping[str, Rows]) -> bytes:
    """An OpenDocument workbook."""
    document = Document("spreadsheet")
    document.body.clear()
    for name, rows in sheets.items():
        table = Table(name)
        for values in rows:
            row = Row()
            for i, value in enumerate(values):
                row.set_value(
                    i, timedelta(minutes=60 * value.hour + value.minute) if isinstance(value, time) else value
                )
            table.append_row(row)
        document.body.append(table)
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def parts_of(data: bytes) -> dict[str, bytes]:
    """The parts of an archive."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(parts: Mapping[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """An archive of parts."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


def with_part(data: bytes, name: str, change: Callable[[bytes], bytes]) -> bytes:
    """The archive with one part changed."""
    parts = parts_of(data)
    return packed({**parts, name: change(parts.get(name, b""))})
