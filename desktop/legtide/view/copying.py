"""What goes to the clipboard: the board as a picture, tables as cells.

Cells are text between tabs, which spreadsheets, mails and chats take alike. What a spreadsheet would run as a formula
is made harmless, as in every file that the program writes.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QAbstractItemModel, QEvent, QMimeData, QObject, Qt, Signal
from PySide6.QtGui import QGuiApplication, QImage, QKeyEvent, QKeySequence, QPainter
from PySide6.QtWidgets import QTableView, QWidget

from legtide.draw.colours import brush, palette
from legtide.draw.fonts import BODY_PX, SECONDARY_PX
from legtide.draw.ink import put_text
from legtide.draw.words import NBSP
from legtide.files.cells import neutralised
from legtide.files.tables import Table, levels_table, plan_table, warnings_table
from legtide.language import counted, tr
from legtide.view.texts import date_text
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace

Cells = Sequence[Sequence[str]]
TSV: Final = "text/tab-separated-values"
TITLE_PX: Final = 32
_NUMBER: Final = re.compile(r"[-+]?\d+(\.\d+)?")
_BREAKS: Final = re.compile(r"[\t\r\n]+")


def cells_text(cells: Cells) -> str:
    """Rows of cells as lines with tabs between."""
    return "".join("\t".join(map(_cell, row)) + "\n" for row in cells)


def _cell(text: str) -> str:
    """One cell: no tab or line end in it, and nothing that a spreadsheet would run; numbers stay numbers."""
    plain = _BREAKS.sub(" ", text.replace(NBSP, " "))
    return plain if _NUMBER.fullmatch(plain) else neutralised(plain)


def model_cells(model: QAbstractItemModel, rows: Sequence[int] | None = None) -> list[list[str]]:
    """The heads and the rows of a table as they are shown; all rows where none are named."""
    columns = range(model.columnCount())
    heads = [str(model.headerData(column, Qt.Orientation.Horizontal) or "") for column in columns]
    wanted = range(model.rowCount()) if rows is None else rows
    return [heads, *([str(model.index(row, column).data() or "") for column in columns] for row in wanted)]


def table_cells(table: Table) -> list[list[str]]:
    """A table of the files as cells."""
    body = [["" if cell is None else str(cell) for cell in row] for row in table.rows]
    return [list(table.columns), *body]


def put_cells(cells: Cells) -> None:
    """Puts cells on the clipboard."""
    text = cells_text(cells)
    data = QMimeData()
    data.setText(text)
    data.setData(TSV, text.encode("utf-8"))
    QGuiApplication.clipboard().setMimeData(data)


class CopiesCells(QObject):
    """Lets a table view copy its selected rows with their heads, all of them where none is selected."""

    copied = Signal(int)
    """How many rows went to the clipboard."""

    def __init__(self, view: QTableView) -> None:
        super().__init__(view)
        self._view = view
        view.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and _is_copy(event):
            event.accept()
            return True
        if event.type() == QEvent.Type.KeyPress and _is_copy(event):
            self.copy()
            return True
        return False

    def copy(self) -> None:
        """Copies what is selected, or all."""
        chosen = self._view.selectionModel()
        rows = sorted({index.row() for index in chosen.selectedIndexes()}) if chosen is not None else []
        self._put(rows or None)

    def copy_all(self) -> None:
        """Copies every row that is shown."""
        self._put(None)

    def _put(self, rows: Sequence[int] | None) -> None:
        cells = model_cells(self._view.model(), rows)
        put_cells(cells)
        self.copied.emit(len(cells) - 1)


def _is_copy(event: QEvent) -> bool:
    return isinstance(event, QKeyEvent) and event.matches(QKeySequence.StandardKey.Copy)


class Copying(QObject):
    """What a window copies from its day."""

    said = Signal(str)

    def __init__(self, workspace: Workspace, board: BoardCanvas, window: QWidget) -> None:
        super().__init__(window)
        self._workspace = workspace
        self._board = board

    def board(self) -> None:
        """Copies the board as it is looked at, under the title and the date of its day."""
        QGuiApplication.clipboard().setImage(board_image(self._workspace, self._board))
        self.said.emit(tr("The board is on the clipboard as a picture"))

    def services(self) -> None:
        """Copies the services of all aircraft."""
        self._table(plan_table(self._workspace.settled_projection))

    def levels(self) -> None:
        """Copies both tanks at both ends of each leg."""
        self._table(levels_table(self._workspace.settled_projection))

    def warnings(self) -> None:
        """Copies the warnings."""
        self._table(warnings_table(self._workspace.settled_projection))

    def _table(self, table: Table) -> None:
        put_cells(table_cells(table))
        self.said.emit(copied_text(len(table.rows)))


def copied_text(rows: int) -> str:
    """What is said when rows have been copied."""
    return counted(rows, "{n} row is on the clipboard", "{n} rows are on the clipboard")


def board_image(workspace: Workspace, board: BoardCanvas) -> QImage:
    """The board as it is looked at; a picture that is passed on has to say which day it shows."""
    seen = board.viewport().grab()
    ratio = seen.devicePixelRatio()
    image = QImage(seen.width(), seen.height() + round(TITLE_PX * ratio), QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(ratio)
    colours, day = palette(board.composer.colours.name == "dark"), workspace.day
    with QPainter(image) as painter:
        width = image.width() / ratio
        painter.fillRect(0, 0, round(width) + 1, TITLE_PX, brush(colours.canvas))
        middle = TITLE_PX / 2.0
        used = put_text(painter, 14.0, middle, day.title or tr("Untitled day"), BODY_PX, colours.text, bold=True)
        put_text(painter, 26.0 + used, middle, date_text(day.date), SECONDARY_PX, colours.secondary)
        painter.drawPixmap(0, TITLE_PX, seen)
    return image
