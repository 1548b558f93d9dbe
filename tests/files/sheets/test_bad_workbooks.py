"""Workbooks that mean harm, or came to it: one clear sentence with its place, in bounded time and memory."""

from __future__ import annotations

import io
import random
import re
import struct
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from legtide.cli.main import main
from legtide.files.grids import TableError
from legtide.files.schedule import Imported, Options, import_schedule
from legtide.files.sheets import book
from legtide.files.sheets.limited import LimitError, run_limited
from legtide.files.sheets.worker import read_workbook
from legtide.language import load_language
from support.limited_work import endless, honest, hungry
from support.workbooks import ods, packed, parts_of, with_part, xlsx

HEADER = ("registration", "flight", "from", "to", "std", "sta")
ROW = ("QX-A", "0123", "ABLE", "BAKE", "2031-03-05T06:10Z", "2031-03-05T07:35Z")
XLSX = xlsx({"Plan": (HEADER, ROW)})
ODS = ods({"Plan": (HEADER, ROW)})
SHEET = "xl/worksheets/sheet1.xml"


def refused(data: bytes, name: str = "plan.xlsx") -> str:
    with pytest.raises(TableError) as caught:
        import_schedule(data, Options(), name)
    return str(caught.value)


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    """The content is read in this process: many files in little time."""

    def run(work: Callable[[bytes, str], bytes], data: bytes, argument: str, **_limits: Any) -> bytes:
        try:
            return work(data, argument)
        except BaseException as error:
            if type(error).__name__ != "PanicException":
                raise
            raise LimitError("made its reader fail") from None

    monkeypatch.setattr(book, "run_limited", run)


def test_the_sound_workbooks_are_taken(here: None) -> None:
    for data in (XLSX, ODS):
        assert len(import_schedule(data).day.legs) == 1


# what the folder says -------------------------------------------------------------------------------------


def test_a_part_that_unpacks_to_many_times_its_size() -> None:
    bomb = with_part(XLSX, SHEET, lambda part: part + b" " * 30_000_000)
    assert len(bomb) < 100_000
    assert refused(bomb) == f'part "{SHEET}": unpacks to more than 200 times its size: it is not read'


def test_parts_of_200_megabytes() -> None:
    noise = random.Random(1).randbytes(1_000) * 15
    big = packed({**parts_of(XLSX), "xl/worksheets/sheet2.xml": noise * 14_000})
    assert refused(big) == "unpacks to 200 MB: at most 150 MB are read"


def test_more_parts_than_a_workbook_has() -> None:
    many = packed({**parts_of(XLSX), **{f"xl/{number}.xml": b"" for number in range(1_001)}})
    assert refused(many) == "has more than 1000 parts: it is not read"


def test_a_folder_that_hides_how_many_parts_it_has() -> None:
    """The reader of archives goes by the folder's size, not by its count."""
    many = bytearray(packed({**parts_of(XLSX), **{f"xl/{number}.xml": b"" for number in range(2_000)}}))
    at = many.rfind(b"PK\x05\x06")
    many[at + 8 : at + 12] = struct.pack("<HH", 5, 5)
    assert refused(bytes(many)) == "has more than 1000 parts: it is not read"


def test_a_part_that_stands_twice() -> None:
    out = io.BytesIO(XLSX)
    with pytest.warns(UserWarning, match="Duplicate name"), zipfile.ZipFile(out, "a") as archive:
        archive.writestr(SHEET, b"<worksheet/>")
    assert refused(out.getvalue()) == "is a damaged workbook: a part stands twice in it"


def test_a_part_under_a_password() -> None:
    locked = bytearray(XLSX)
    for mark, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = locked.find(mark)
        locked[at + flags] |= 1
    assert "is protected by a password: save it without one" in refused(bytes(locked))


def test_a_workbook_under_a_password_as_excel_writes_it() -> None:
    """MS-OFFCRYPTO 2.3: an encrypted workbook is a compound file, as an old one is."""
    assert "is an Excel file of the old kind, or protected by a password" in refused(
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 4_000
    )


def test_an_open_document_under_a_password(here: None) -> None:
    locked = with_part(
        ODS,
        "META-INF/manifest.xml",
        lambda part: part.replace(b"</manifest:manifest>", b"<manifest:encryption-data/></manifest:manifest>"),
    )
    assert "is protected by a password" in refused(locked, "plan.ods")


def test_an_archive_inside_the_workbook(here: None) -> None:
    nested = packed({**parts_of(XLSX), "xl/embeddings/inner.bin": XLSX})
    assert refused(nested) == ('part "xl/embeddings/inner.bin": is an archive inside the workbook: it is not read')


def test_an_archive_that_is_no_workbook() -> None:
    assert "no workbook of the kinds .xlsx or .ods" in refused(packed({"readme.txt": b"hello"}))


# what the parts say ---------------------------------------------------------------------------------------


def cells(*parts: str) -> Callable[[bytes], bytes]:
    """A sheet with more rows after its own."""
    return lambda part: part.replace(b"</sheetData>", "".join(parts).encode() + b"</sheetData>")


def test_two_cells_that_are_far_apart(here: None) -> None:
    far = cells('<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>')
    assert refused(with_part(XLSX, SHEET, far)) == (
        'sheet "Plan": its cells reach to XFD1048576: at most 1000 columns and 2000000 cells are read'
    )


def test_a_sheet_that_is_not_read_may_be_as_large_as_it_likes(here: None) -> None:
    both = xlsx({"Plan": (HEADER, ROW), "Archive": (HEADER, ROW)})
    far = with_part(both, SHEET.replace("1", "2"), cells('<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'))
    assert 'sheet "Archive": its cells reach to' in refused(far)
    assert len(import_schedule(far, Options(sheet="Plan")).day.legs) == 1


def test_cells_without_content_may_be_anywhere(here: None) -> None:
    styled = cells('<row r="1048576"><c r="XFD1048576" s="0"/></row>')
    assert len(import_schedule(with_part(XLSX, SHEET, styled)).day.legs) == 1


def test_a_cell_that_is_repeated_a_million_times(here: None) -> None:
    many = with_part(
        ODS,
        "content.xml",
        lambda part: part.replace(b"<table:table-row>", b'<table:table-row table:number-rows-repeated="1048576">', 1),
    )
    assert "its cells reach to" in refused(many, "plan.ods")


def test_a_long_text_that_many_cells_share(here: None) -> None:
    rows = "".join(f'<row r="{number}"><c r="A{number}" t="s"><v>0</v></c></row>' for number in range(3, 5_003))
    shared = b"<sst><si><t>a</t></si><si><r><t>b</t></r><r><t>c</t></r></si></sst>"
    link = (
        b'<Relationship Id="rIdS" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"'
        b' Target="sharedStrings.xml"/></Relationships>'
    )
    sheet = with_part(XLSX, SHEET, cells(rows))
    linked = with_part(sheet, "xl/_rels/workbook.xml.rels", lambda part: part.replace(b"</Relationships>", link))
    short = with_part(linked, "xl/sharedStrings.xml", lambda _part: shared)
    assert len(import_schedule(short).rejected) > 5_000
    long = with_part(linked, "xl/sharedStrings.xml", lambda _part: shared.replace(b"a", bytes([97]) * 20_000))
    assert refused(long) == 'sheet "Plan": its cells hold 95 MB of text: at most 64 are read'


def test_a_long_text_that_is_repeated(here: None) -> None:
    many = with_part(
        ODS,
        "content.xml",
        lambda part: part.replace(
            b"<table:table-row>", b'<table:table-row table:number-rows-repeated="9999">', 1
        ).replace(b"registration", b"r" * 9_999),
    )
    assert re.match('sheet "Plan": its cells hold [0-9]+ MB of text', refused(many, "plan.ods"))


def test_a_document_type_is_refused(here: None) -> None:
    laughs = (
        b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "ha"><!ENTITY c "&b;&b;&b;&b;">]><worksheet>&c;</worksheet>'
    )
    assert refused(with_part(XLSX, SHEET, lambda _part: laughs)) == (
        f'part "{SHEET}": holds a document type, which no workbook has'
    )


def test_a_size_that_is_not_the_true_one(here: None) -> None:
    """The folder says ten bytes."""
    lying = bytearray(XLSX)
    at = lying.rfind(SHEET.encode()) - 46
    assert lying[at : at + 4] == b"PK\x01\x02"
    lying[at + 24 : at + 28] = struct.pack("<L", 10)
    assert f'part "{SHEET}": is damaged: Bad CRC-32' in refused(bytes(lying))


def test_formulas_are_not_run_and_their_errors_have_a_place(here: None) -> None:
    rows = cells(
        '<row r="3"><c r="A3" t="str"><f>"QX"&amp;"-A"</f><v>QX-A</v></c><c r="B3"><f>1+1</f><v>2</v></c>'
        '<c r="C3" t="e"><f>1/0</f><v>#DIV/0!</v></c><c r="D3"><f>A1</f></c></row>'
    )
    made = import_schedule(with_part(XLSX, SHEET, rows))
    assert [str(row.as_problem()) for row in made.rejected] == [
        'sheet "Plan", cell C3, from: holds the error #DIV/0!',
        'sheet "Plan", cell D3, to: holds a formula whose value was not saved: open the file in a spreadsheet '
        "program and save it there",
    ]


def test_formulas_of_an_open_document(here: None) -> None:
    text = b"<text:p>0123</text:p>"
    assert text in parts_of(ODS)["content.xml"]

    def formula(part: bytes) -> bytes:
        return re.sub(
            rb"<table:table-cell[^>]*>\s*<text:p>0123</text:p>",
            b'<table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value="">'
            b"<text:p>#DIV/0!</text:p>",
            part,
        )

    assert 'sheet "Plan", cell B2, flight: holds the error #DIV/0!' in refused(
        with_part(ODS, "content.xml", formula), "plan.ods"
    )


def test_text_in_a_cell_is_only_text(here: None) -> None:
    rows = xlsx({"Plan": (HEADER, ("'=cmd", "<b>1</b>", *ROW[2:]))})
    (leg,) = import_schedule(rows).day.legs
    assert (leg.aircraft, leg.flight) == ("'=cmd", "<b>1</b>")


def test_a_nul_written_as_a_workbook_escapes_it(here: None) -> None:
    made = with_part(XLSX, SHEET, lambda part: part.replace(b"0123", b"01_x0000_3"))
    try:
        (leg,) = import_schedule(made).day.legs
        assert "\0" not in leg.flight
    except TableError as error:
        assert "cell B2, flight" in str(error)


# names and damage -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "name", "words"),
    [
        (b"registration,flight\n", "plan.xlsx", "is no workbook, though its name ends in .xlsx"),
        (b"registration,flight\n", "plan.ODS", "is no workbook, though its name ends in .ods"),
        (b"", "plan.xlsx", "is empty"),
        (XLSX, "plan.csv", "is a workbook, though its name ends in .csv"),
        (b"PK\x03\x04", "plan.xlsx", "is a damaged workbook: its folder is not there"),
        (b"PK\x03\x04" + b"\0" * 100, "plan", "is a damaged workbook: its folder is not there"),
    ],
)
def test_a_file_that_is_not_what_its_name_says(data: bytes, name: str, words: str) -> None:
    assert words in refused(data, name)


def outcome(data: bytes) -> bool:
    """Whether anything is taken; anything but a day or problems with reasons fails the test."""
    try:
        made = import_schedule(data, Options(times="utc"))
    except TableError as error:
        assert error.problems
        assert all(row.reason for row in error.problems)
        return False
    assert isinstance(made, Imported)
    return True


@pytest.mark.parametrize("data", [XLSX, ODS], ids=["xlsx", "ods"])
def test_a_workbook_that_is_cut(here: None, data: bytes) -> None:
    for length in range(4, len(data) - 1, 61):
        assert not outcome(data[:length])


def mutate_many(data: bytes, count: int, seed: int) -> None:
    rng = random.Random(seed)
    kept = parts_of(data)
    loose = packed(kept, zipfile.ZIP_STORED)
    taken = 0
    for number in range(count):
        if number % 2:
            out = bytearray(rng.choice([data, loose]))
            for _ in range(rng.randint(1, 4)):
                out[rng.randrange(len(out))] = rng.randrange(256)
            taken += outcome(bytes(out))
            continue
        # Inside a part, with the checksum made good again: the damage reaches the readers.
        name = rng.choice([name for name in kept if name.endswith((".xml", ".rels"))])
        part = bytearray(kept[name])
        for _ in range(rng.randint(1, 3)):
            at = rng.randrange(len(part) + 1)
            piece = rng.choice([b"<", b">", b"\xff", b"\0", b"&x;", b"1048576", b"", b"</c>", b'"'])
            part[at : at + rng.choice([0, 1, 20])] = piece
        taken += outcome(packed({**kept, name: bytes(part)}))
    assert 0 < taken < count


@pytest.mark.parametrize("data", [XLSX, ODS], ids=["xlsx", "ods"])
def test_mutated_workbooks(here: None, data: bytes) -> None:
    mutate_many(data, 150, seed=1)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("data", [XLSX, ODS], ids=["xlsx", "ods"])
def test_mutated_workbooks_in_a_long_run(here: None, data: bytes, seed: int) -> None:
    mutate_many(data, 5_000, seed=100 + seed)


# the process ----------------------------------------------------------------------------------------------


@pytest.mark.skipif(sys.platform != "linux", reason="other systems do not hold a process to such a limit")
def test_a_reader_that_wants_too_much_memory_is_left() -> None:
    """Where the system limits memory; the control is the same work with room enough."""
    with pytest.raises(LimitError, match="needs more than 256 MB of memory"):
        run_limited(hungry, b"", "", seconds=60, memory_mb=256)
    assert run_limited(hungry, b"", "", seconds=60, memory_mb=2_048) == b"\0\0"


def test_a_reader_that_takes_too_long_is_left() -> None:
    with pytest.raises(LimitError, match=r"took longer than 0\.5 seconds"):
        run_limited(endless, b"", "", seconds=0.5, memory_mb=512)


def test_the_same_process_answers_what_it_can() -> None:
    assert run_limited(honest, b"abc", "d", seconds=60, memory_mb=512) == b"cbad"


def test_cancelling_ends_the_process() -> None:
    class EnoughError(Exception):
        pass

    def watch() -> None:
        raise EnoughError

    with pytest.raises(EnoughError):
        run_limited(endless, b"", "", seconds=60, memory_mb=512, watch=watch)


def test_the_process_reads_as_the_test_does() -> None:
    assert run_limited(read_workbook, XLSX, "xlsx\n", seconds=60, memory_mb=1_536) == read_workbook(XLSX, "xlsx\n")


def test_the_process_gives_its_reasons_in_the_language_in_use() -> None:
    bad = with_part(XLSX, SHEET, cells('<row r="9"><c r="ZZZ9"><v>1</v></c></row>'))
    assert load_language("de")
    try:
        assert refused(bad).startswith('Tabellenblatt "Plan": die Zellen reichen bis ZZZ9: höchstens 1000 Spalten')
    finally:
        load_language("en")
    assert refused(bad).startswith('sheet "Plan": its cells reach to ZZZ9: at most 1000 columns')


def test_the_command_ends_with_3_and_names_the_place(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    source, out = tmp_path / "plan.xlsx", tmp_path / "plan.day.json"
    source.write_bytes(with_part(XLSX, SHEET, cells('<row r="9"><c r="ZZZ9"><v>1</v></c></row>')))
    assert main(["import", str(source), "-o", str(out)]) == 3
    said = capfd.readouterr().err
    assert f'{source} cannot be taken:\n  sheet "Plan": its cells reach to ZZZ9' in said
    assert "Traceback" not in said
    assert not out.exists()
