"""What the reader of workbooks would not tell: how far the cells reach, and which of them hold an error.

The reader allocates the whole rectangle between the first and the last cell, and gives an empty text for a formula's
error as for a formula whose value was never saved. So each sheet is gone through first, with the parser of the
standard library; document types, with which a small file can name a large text, are refused.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final
from xml.parsers import expat

from legtide.language import tr

MOST_CELLS: Final = 2_000_000
MOST_COLUMNS: Final = 1_000
MOST_FAULTS: Final = 50_000
MOST_TEXT: Final = 64 * 2**20
"""Characters in all cells together, each of those that share a text counted."""
UNSAVED: Final = "holds a formula whose value was not saved: open the file in a spreadsheet program and save it there"
_REFERENCE: Final = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")
_ERROR: Final = re.compile(r"#[A-Z0-9/_]+[!?]?|Err:[0-9]{3}")


class ScanError(ValueError):
    """A part that is not read; the message is the reason."""


@dataclass(slots=True)
class Extent:
    """What was found of one sheet."""

    name: str = ""
    """Where the part gives one."""
    rows: int = 0
    columns: int = 0
    faults: dict[tuple[int, int], str] = field(default_factory=dict)
    """(row, column), both from 1 -> what is wrong with the cell."""
    text: int = 0
    """Characters in cells that are repeated."""
    shared: Counter[str] = field(default_factory=Counter)
    """Number of a text that cells share -> how many do."""

    def reach(self, row: int, column: int) -> None:
        """Takes in a cell that holds something."""
        self.rows, self.columns = max(self.rows, row), max(self.columns, column)

    def check(self, lengths: Sequence[int]) -> None:
        """Refuses a sheet that is too large to be read; `lengths` are those of the shared texts by their numbers."""
        if self.columns > MOST_COLUMNS or self.rows * self.columns > MOST_CELLS:
            words = tr("its cells reach to {cell}: at most {columns} columns and {cells} cells are read")
            cell = cell_name(self.rows, self.columns)
            raise ScanError(words.format(cell=cell, columns=MOST_COLUMNS, cells=MOST_CELLS))
        total = self.text
        for number, cells in self.shared.items():
            if number.isascii() and number.isdigit() and int(number[:9]) < len(lengths):
                total += cells * lengths[int(number[:9])]
        if total > MOST_TEXT:
            words = tr("its cells hold {size:.0f} MB of text: at most {most} are read")
            raise ScanError(words.format(size=total / 2**20, most=MOST_TEXT // 2**20))

    def blame(self, row: int, column: int, reason: str) -> None:
        """Notes what is wrong with a cell."""
        if len(self.faults) >= MOST_FAULTS:
            raise ScanError(tr("more than {n} cells hold errors").format(n=MOST_FAULTS))
        self.faults[row, column] = reason


def cell_name(row: int, column: int) -> str:
    """Such as "B7"."""
    return f"{letters(column)}{row}"


def letters(column: int) -> str:
    """The letters of a column, counted from 1."""
    out = ""
    while column > 0:
        column, digit = divmod(column - 1, 26)
        out = chr(ord("A") + digit) + out
    return out


def number_of(name: str) -> int:
    """The number of a column from its letters."""
    out = 0
    for letter in name:
        out = out * 26 + ord(letter) - ord("A") + 1
    return out


@dataclass(frozen=True, slots=True)
class Scanned:
    """What was found in one part."""

    root: str
    """Name of its outermost element."""
    sheets: tuple[Extent, ...] = ()
    lengths: tuple[int, ...] = ()
    """Lengths of the texts that cells share, in a part of such texts."""


def scan(data: bytes) -> Scanned:
    """Goes through one part. Raises ScanError."""
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    root, walk = "", None

    def first(name: str, attributes: dict[str, str]) -> None:
        nonlocal root, walk
        root = _local(name)
        if root in _WALKS:
            walk = _WALKS[root](parser)
        parser.StartElementHandler = None if walk is None else walk.start

    def doctype(*_arguments: object) -> None:
        raise ScanError(tr("holds a document type, which no workbook has"))

    parser.StartElementHandler = first
    parser.StartDoctypeDeclHandler = doctype
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        reason = expat.errors.messages[error.code]
        words = tr("is damaged on line {line}, character {character}: {reason}")
        raise ScanError(words.format(line=error.lineno, character=error.offset + 1, reason=reason)) from None
    except UnicodeError:
        raise ScanError(tr("is damaged: its text is in no known encoding")) from None
    if walk is None:
        return Scanned(root)
    walk.settle()
    return Scanned(root, tuple(walk.found), tuple(walk.lengths))


def _local(name: str) -> str:
    return name.rpartition(" ")[2]


class _Walk:
    """The cells of a part, one after the other; of a doubtful one the text is listened to."""

    def __init__(self, parser: expat.XMLParserType) -> None:
        self._parser = parser
        self.found: list[Extent] = []
        self.lengths: list[int] = []
        self._row = self._column = 0
        self._doubtful = False
        """Whether the present cell's text is listened to, and judged when the next one begins."""
        self._heard: list[str] = []

    def start(self, name: str, attributes: dict[str, str]) -> None:
        raise NotImplementedError

    def settle(self) -> None:
        """Judges the last cell, which the next one, or the end, has closed."""
        raise NotImplementedError

    def _listen(self) -> None:
        self._parser.CharacterDataHandler = self._heard.append

    def _heard_text(self) -> str:
        self._parser.CharacterDataHandler = None
        text = "".join(self._heard).strip()
        self._heard.clear()
        return text


class _Worksheet(_Walk):
    """A sheet of an Excel workbook (ISO/IEC 29500-1, 18.3.1)."""

    def __init__(self, parser: expat.XMLParserType) -> None:
        super().__init__(parser)
        self.found.append(Extent())
        self._type = ""
        self._formula = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        local = _local(name)
        if local == "c":
            if self._doubtful:
                self.settle()
            self._place(attributes.get("r"))
            self._type, self._formula = attributes.get("t", ""), False
            self._doubtful = self._type in ("e", "s")
        elif local in ("v", "is"):
            self.found[0].reach(self._row, self._column)
            if self._doubtful:
                self._listen()
        elif local == "f":
            self._formula = self._doubtful = True
            self.found[0].reach(self._row, self._column)
        elif local == "row":
            number = attributes.get("r", str(self._row + 1))
            if not number.isascii() or not number.isdigit():
                raise ScanError(tr("has a row that is numbered {number}").format(number=number[:20]))
            self._row, self._column = int(number[:9]), 0

    def _place(self, reference: str | None) -> None:
        if reference is None:
            self._column += 1
            return
        found = _REFERENCE.fullmatch(reference)
        if found is None:
            raise ScanError(tr("has a cell that is called {name}").format(name=reference[:20]))
        self._row, self._column = int(found[2]), number_of(found[1])

    def settle(self) -> None:
        if not self._doubtful:
            return
        text, self._doubtful = self._heard_text(), False
        if self._type == "s":
            self.found[0].shared[text] += 1
        elif self._type == "e":
            self.found[0].blame(
                self._row, self._column, tr("holds the error {error}").format(error=text[:20]).rstrip()
            )
        if self._formula and not text and self._type not in ("str", "e"):
            self.found[0].blame(self._row, self._column, tr(UNSAVED))


_TABLE: Final = "urn:oasis:names:tc:opendocument:xmlns:table:1.0 "
_OFFICE: Final = "urn:oasis:names:tc:opendocument:xmlns:office:1.0 "
_CALC: Final = "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0 "


class _Content(_Walk):
    """The sheets of an OpenDocument workbook (ISO/IEC 26300-1, 9)."""

    def __init__(self, parser: expat.XMLParserType) -> None:
        super().__init__(parser)
        self._next_row = 1
        self._across = 1
        self._typed = self._marked = self._formula = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        local = _local(name)
        if local in ("table-cell", "covered-table-cell"):
            self.settle()
            if self.found:
                self._cell(attributes)
        elif local == "p":
            if self._doubtful:
                self._listen()
        elif local == "table-row":
            self.settle()
            self._row, self._column, self._across = self._next_row, 1, 0
            self._next_row += _repeats(attributes, "number-rows-repeated")
        elif local == "table":
            self.settle()
            if attributes.get(f"{_TABLE}is-sub-table") == "true":
                raise ScanError(tr("has a table inside a cell"))
            self.found.append(Extent(name=attributes.get(f"{_TABLE}name", "")))
            self._row, self._next_row = 0, 1

    @property
    def _cells(self) -> int:
        """How many cells the present one stands for."""
        return self._across * (self._next_row - self._row)

    def _cell(self, attributes: dict[str, str]) -> None:
        self._column += self._across
        self._across = _repeats(attributes, "number-columns-repeated")
        formula = f"{_TABLE}formula" in attributes
        self._typed = f"{_OFFICE}value-type" in attributes
        self._marked = attributes.get(f"{_CALC}value-type") == "error"
        self._formula = formula
        self._doubtful = formula or self._marked or (self._typed and self._cells > 1)
        if formula or self._typed:
            self.found[-1].reach(self._next_row - 1, self._column + self._across - 1)

    def settle(self) -> None:
        if not self._doubtful:
            return
        text, self._doubtful = self._heard_text(), False
        self.found[-1].text += len(text) * self._cells
        if self._marked or (self._formula and _ERROR.fullmatch(text)):
            reason = tr("holds the error {error}").format(error=text[:20]).rstrip()
        elif self._formula and not self._typed:
            reason = tr(UNSAVED)
        else:
            return
        for row in range(self._row, self._next_row):
            for column in range(self._column, self._column + self._across):
                self.found[-1].blame(row, column, reason)


class _Strings(_Walk):
    """The texts that the cells of an Excel workbook share (ISO/IEC 29500-1, 18.4)."""

    def start(self, name: str, attributes: dict[str, str]) -> None:
        local = _local(name)
        if local == "si":
            self.settle()
            self._doubtful = True
        elif local == "t":
            self._listen()

    def settle(self) -> None:
        if self._doubtful:
            self.lengths.append(len(self._heard_text()))


_WALKS: Final[dict[str, type[_Walk]]] = {
    "worksheet": _Worksheet,
    "document-content": _Content,
    "sst": _Strings,
}


def _repeats(attributes: dict[str, str], name: str) -> int:
    text = attributes.get(f"{_TABLE}{name}", "1")
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:9]) < 10**8:
        raise ScanError(tr("repeats a cell {n} times").format(n=text[:20]))
    return int(text[:9])
