"""The part of reading a workbook that touches its content; it runs in a limited process (`limited`).

Every part is unpacked to no more than its stated size, gone through (`scan`), and put into an archive of our own.
Only that one is given to the reader, which so sees nothing that was not checked. Formulas are not run: a cell has the
value that was saved with it.
"""

from __future__ import annotations

import io
import json
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from legtide.day.quoting import quoted
from legtide.files.sheets.scan import Extent, ScanError, scan
from legtide.language import tr

ZIP_START: Final = b"PK\x03\x04"
MOST_SHEETS: Final = 200
_MOST_TEXT: Final = 32_767
_MOST_ANSWER: Final = 64 * 2**20


def read_workbook(data: bytes, argument: str) -> bytes:
    """The sheets of a workbook as JSON: `{"sheets": [{"name", "rows", "faults"}], "from_1904"}`, or a refusal:
    `{"place", "reason"}`.

    Args:
        data: the workbook, whose folder has been checked.
        argument: "xlsx" or "ods", and after a line end the name of the one sheet to read; none for all shown ones.
    """
    kind, _, wanted = argument.partition("\n")
    try:
        answer = _read(data, kind, wanted)
        out = json.dumps(answer, separators=(",", ":")).encode("ascii")
        if len(out) > _MOST_ANSWER:
            answer = {"place": "", "reason": tr("holds more text than {size} MB").format(size=_MOST_ANSWER // 2**20)}
            out = json.dumps(answer).encode("ascii")
        return out
    except _RefusedError as error:
        return json.dumps({"place": error.place, "reason": str(error)}).encode("ascii")


class _RefusedError(ValueError):
    def __init__(self, place: str, reason: str) -> None:
        super().__init__(reason)
        self.place = place


def _read(data: bytes, kind: str, wanted: str) -> dict[str, Any]:
    parts = dict(_parts(data, kind))
    extents, lengths = _extents(parts, kind)
    if kind == "ods":  # all of its sheets are read at once
        _check(extents, lengths)
    book = _opened(parts)
    try:
        shown = list(_sheets(book, wanted))
        where = _parts_of_sheets(parts) if kind == "xlsx" else {name: name for name in shown}
        known = {name: extents[where[name]] for name in shown if where.get(name) in extents}
        _check(known if len(known) == len(shown) else extents, lengths)
        sheets = [_sheet(book, name, known.get(name, Extent())) for name in shown]
    except _RefusedError:
        raise
    except Exception as error:  # noqa: BLE001 - the reader has many kinds of errors, which say what it could not read
        raise _RefusedError("", tr("is a damaged workbook: {reason}").format(reason=_words(error))) from None
    return {"sheets": sheets, "from_1904": kind == "xlsx" and _from_1904(parts)}


def _check(extents: dict[str, Extent], lengths: list[int]) -> None:
    for name, extent in extents.items():
        try:
            extent.check(lengths)
        except ScanError as error:
            raise _RefusedError(tr("sheet {sheet}").format(sheet=quoted(name)), str(error)) from None


# parts ----------------------------------------------------------------------------------------------------


def _parts(data: bytes, kind: str) -> Iterator[tuple[str, bytes]]:
    """The parts that the reader needs, each no larger than its folder says and with the checksum that it says."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for part in archive.infolist():
            try:
                with archive.open(part) as file:
                    start = file.read(len(ZIP_START))
                    if start == ZIP_START:
                        raise _RefusedError(
                            _place_of(part.filename), tr("is an archive inside the workbook: it is not read")
                        )
                    if _needed(part.filename, kind):
                        yield part.filename, start + file.read()
            except (zipfile.BadZipFile, zlib.error, OSError, EOFError, ValueError, NotImplementedError) as error:
                if isinstance(error, _RefusedError):
                    raise
                raise _RefusedError(
                    _place_of(part.filename), tr("is damaged: {reason}").format(reason=_words(error))
                ) from None


def _place_of(part: str) -> str:
    return tr("part {part}").format(part=quoted(part))


def _needed(name: str, kind: str) -> bool:
    if kind == "ods":
        return name in ("mimetype", "content.xml", "META-INF/manifest.xml")
    if name in ("[Content_Types].xml", "_rels/.rels"):
        return True
    return name.startswith("xl/") and name.endswith((".xml", ".rels")) and not name.startswith(_UNREAD)


_UNREAD: Final = ("xl/theme/", "xl/drawings/", "xl/charts/", "xl/media/", "xl/pivotCache/", "xl/revisions/")


def _extents(parts: dict[str, bytes], kind: str) -> tuple[dict[str, Extent], list[int]]:
    """What was found of the sheets, by the names of their parts or by their own where one part has several; and the
    lengths of the texts that cells share."""
    found: dict[str, Extent] = {}
    lengths: list[int] = []
    for part, content in parts.items():
        if part == "mimetype":
            continue
        try:
            scanned = scan(content)
        except ScanError as error:
            raise _RefusedError(_place_of(part), str(error)) from None
        if scanned.root == "manifest" and b"encryption-data" in content:
            raise _RefusedError("", tr("is protected by a password: save it without one"))
        found |= {sheet.name if kind == "ods" else part: sheet for sheet in scanned.sheets}
        lengths += scanned.lengths
    return found, lengths


def _opened(parts: dict[str, bytes]) -> Any:
    """The reader's workbook, from an archive that was packed here."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    parts_left = packed.getvalue()
    packed.close()
    from python_calamine import CalamineWorkbook

    try:
        return CalamineWorkbook.from_filelike(io.BytesIO(parts_left))
    except Exception as error:  # noqa: BLE001 - as above
        raise _RefusedError("", tr("is a damaged workbook: {reason}").format(reason=_words(error))) from None


def _sheets(book: Any, wanted: str) -> Iterator[str]:
    """Names of the sheets to read."""
    from python_calamine import SheetTypeEnum, SheetVisibleEnum

    rows = [row for row in book.sheets_metadata if row.typ == SheetTypeEnum.WorkSheet]
    names = [row.name for row in rows]
    if wanted and wanted not in names:
        words = tr("has no sheet {sheet}; it has {sheets}")
        raise _RefusedError("", words.format(sheet=quoted(wanted), sheets=", ".join(map(quoted, names[:20]))))
    for row in rows[:MOST_SHEETS]:
        if row.name == wanted or (not wanted and row.visible == SheetVisibleEnum.Visible):
            yield row.name


def _parts_of_sheets(parts: dict[str, bytes]) -> dict[str, str]:
    """Name of each sheet of an Excel workbook -> name of its part."""
    from xml.etree import ElementTree as Tree  # what is parsed has no document type: it was scanned

    targets = {
        row.get("Id", ""): row.get("Target", "")
        for row in Tree.fromstring(parts.get("xl/_rels/workbook.xml.rels", b"<none/>"))  # noqa: S314
    }
    found: dict[str, str] = {}
    for row in Tree.fromstring(parts["xl/workbook.xml"]).iter():  # noqa: S314
        if row.tag.rpartition("}")[2] == "sheet":
            link = next((value for key, value in row.attrib.items() if key.endswith("}id")), "")
            target = targets.get(link, "")
            found[row.get("name", "")] = target[1:] if target.startswith("/") else f"xl/{target}"
    return found


def _from_1904(parts: dict[str, bytes]) -> bool:
    """Whether dates of an Excel workbook are counted from 1904."""
    from xml.etree import ElementTree as Tree

    for row in Tree.fromstring(parts["xl/workbook.xml"]).iter():  # noqa: S314
        if row.tag.rpartition("}")[2] == "workbookPr":
            return row.get("date1904") in ("1", "true", "on")
    return False


# cells ----------------------------------------------------------------------------------------------------


def _sheet(book: Any, name: str, extent: Extent) -> dict[str, Any]:
    rows: list[list[Any]] = []
    broken = {row for row, _ in extent.faults}
    for number, row in enumerate(book.get_sheet_by_name(name).to_python(skip_empty_area=False), start=1):
        texts = [_text(cell) for cell in row]
        while texts and not texts[-1]:
            texts.pop()
        if texts or number in broken:
            rows.append([number, texts])
    faults = [[row, column, reason] for (row, column), reason in sorted(extent.faults.items())]
    return {"name": name, "rows": rows, "faults": faults}


def _text(cell: object) -> str:
    """A cell as it would be written: times in ISO 8601 to the second, whole numbers without a decimal point."""
    if isinstance(cell, str):
        return cell[:_MOST_TEXT].strip()
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime):
        return _rounded(cell).isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, time):
        rounded = _rounded(datetime.combine(date(2000, 1, 1), cell))
        return "24:00:00" if rounded.day > 1 else rounded.time().isoformat()
    if isinstance(cell, timedelta):
        seconds = round(cell.total_seconds())
        sign = "-" if seconds < 0 else ""
        minutes, second = divmod(abs(seconds), 60)
        return f"{sign}{minutes // 60:02d}:{minutes % 60:02d}:{second:02d}"
    return str(cell)


def _rounded(moment: datetime) -> datetime:
    """To the second: days as fractions are a little off."""
    try:
        return (moment + timedelta(microseconds=500_000)).replace(microsecond=0)
    except OverflowError:
        return moment.replace(microsecond=0)


def _words(error: BaseException) -> str:
    text = " ".join(str(error).split())[:200]
    return text or type(error).__name__
