"""A table of typed cells with its buttons, and below it what was understood of the cell that is being edited."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPalette, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from legtide.draw.colours import palette
from legtide.language import tr
from legtide.view.cells import EMPTY_ROLE, WRONG_ROLE, Cells, CellsModel
from legtide.view.fields import show_note
from legtide.view.texts import menu_text, plain_label, tooltip

Index = QModelIndex | QPersistentModelIndex
ROW_PX: Final = 30
ROWS_SHOWN: Final = 5
AROUND_CHOICE_PX: Final = 48
"""What the list of choices adds to its words: padding, edge and arrow."""
MOST_PX: Final = 1060
"""A wider table is scrolled."""


class CellDelegate(QStyledItemDelegate):
    """Edits a cell in a line or a list of choices, and marks one that is wrong."""

    typing = Signal(str, bool)
    """How the text in the open editor is read, and whether it is wrong."""

    def initStyleOption(self, option: QStyleOptionViewItem, index: Index) -> None:
        super().initStyleOption(option, index)
        colours = palette(option.palette.window().color().lightness() < 128)
        if index.data(WRONG_ROLE):
            colour = colours.act
        elif index.data(EMPTY_ROLE):
            colour = colours.secondary
        else:
            return
        for role in (QPalette.ColorRole.Text, QPalette.ColorRole.HighlightedText):
            option.palette.setColor(role, colour)

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        model = index.model()
        assert isinstance(model, Cells)  # noqa: S101  (the view below takes no other)
        row, column = index.row(), index.column()
        choices = model.choices_at(row, column)
        if choices is not None:
            box = QComboBox(parent)
            for value, words in choices.items():
                box.addItem(words, value)
            box.activated.connect(lambda _index: self._leave(box))
            return box
        line = QLineEdit(parent)
        line.textChanged.connect(lambda text: self.typing.emit(*model.try_text(row, column, text)))
        return line

    def updateEditorGeometry(self, editor: QWidget, option: QStyleOptionViewItem, index: Index) -> None:
        editor.setGeometry(option.rect)

    def _leave(self, box: QComboBox) -> None:
        self.commitData.emit(box)
        self.closeEditor.emit(box)

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        value = index.data(Qt.ItemDataRole.EditRole)
        if isinstance(editor, QComboBox):
            values = [editor.itemData(number) for number in range(editor.count())]
            editor.setCurrentIndex(values.index(value) if value in values else -1)
        elif isinstance(editor, QLineEdit):
            editor.setText(value)

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        if isinstance(editor, QComboBox):
            if editor.currentIndex() >= 0:
                model.setData(index, editor.currentData())
        elif isinstance(editor, QLineEdit):
            model.setData(index, editor.text())


class CellsView(QTableView):
    """The table itself: Enter and F2 edit, Delete empties a cell, Insert and Ctrl+Delete add and remove rows."""

    add_asked = Signal()
    remove_asked = Signal()

    def __init__(self, name: str) -> None:
        super().__init__()
        self.delegate = CellDelegate(self)
        self.setItemDelegate(self.delegate)
        self.setAccessibleName(name)
        self.setShowGrid(True)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        triggers = QAbstractItemView.EditTrigger
        self.setEditTriggers(
            triggers.DoubleClicked | triggers.AnyKeyPressed | triggers.EditKeyPressed | triggers.SelectedClicked
        )
        self.verticalHeader().setDefaultSectionSize(ROW_PX)
        self.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self.horizontalHeader().setStretchLastSection(True)

    def open_cell(self, index: QModelIndex) -> None:
        """Opens the editor of a cell, if it has one."""
        if index.flags() & Qt.ItemFlag.ItemIsEditable and self.state() != QAbstractItemView.State.EditingState:
            self.edit(index)

    def clear_cell(self, index: QModelIndex) -> None:
        """Empties a cell into which one types."""
        model = index.model()
        if isinstance(model, Cells) and model.choices_at(index.row(), index.column()) is None:
            model.setData(index, "")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, here = event.key(), self.currentIndex()
        control = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and here.isValid():
            self.open_cell(here)
        elif key == Qt.Key.Key_Insert:
            self.add_asked.emit()
        elif key == Qt.Key.Key_Delete and control:
            self.remove_asked.emit()
        elif key == Qt.Key.Key_Delete and here.flags() & Qt.ItemFlag.ItemIsEditable:
            self.clear_cell(here)
        else:
            super().keyPressEvent(event)


class CellsPanel(QWidget):
    """A table of typed cells and, below it, how the current one was read; for a form it is one field."""

    edited = Signal()

    def __init__(self, model: Cells, name: str, *, about: str, rows: int = ROWS_SHOWN) -> None:
        super().__init__()
        self.model: Cells = model
        model.setParent(self)
        self.view = CellsView(name)
        self.view.setModel(model)
        self.view.setMinimumHeight(ROW_PX * (rows + 1))
        self._about = about
        self._note = plain_label("", "readAs")
        self._note.setWordWrap(True)
        self.setFocusProxy(self.view)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.view, 1)
        self.bottom = QHBoxLayout()
        self.bottom.setSpacing(8)
        self.bottom.addWidget(self._note, 1)
        layout.addLayout(self.bottom)
        model.edited.connect(self.edited)
        model.edited.connect(self._tell)
        self.view.selectionModel().currentChanged.connect(lambda _new, _old: self._tell())
        self.view.delegate.typing.connect(lambda text, wrong: show_note(self._note, text, wrong=wrong))
        self.view.delegate.closeEditor.connect(lambda *_: self._tell())
        self._tell()

    @property
    def touched(self) -> bool:
        """Whether anything is different from what it was at first."""
        return self.model.touched

    @property
    def valid(self) -> bool:
        """Whether nothing is wrong in any cell."""
        return self.model.first_wrong() is None

    @property
    def value(self) -> Any:
        """What all the cells together say."""
        return self.model.entered

    def refuse(self, sentence: str) -> None:
        """Shows below the table why it cannot be so; nothing shows the current cell again."""
        if sentence:
            show_note(self._note, sentence, wrong=True)
        else:
            self._tell()

    def focus(self) -> None:
        """Takes the keyboard to the first wrong cell, or to the first of all."""
        self.view.setCurrentIndex(self.model.index(*(self.model.first_wrong() or (0, 0))))
        self.view.setFocus()
        self._tell()

    def _tell(self) -> None:
        here = self.view.currentIndex()
        place = (here.row(), here.column()) if here.isValid() else self.model.first_wrong()
        words, wrong = "", False
        if place is not None:
            words, wrong = self.model.note(*place), bool(self.model.problem(*place))
        show_note(self._note, words or self._about, wrong=wrong)


class CellsTable(CellsPanel):
    """A table whose rows can be added, edited and removed."""

    model: CellsModel

    def __init__(self, model: CellsModel, name: str, add: str, *, about: str, rows: int = ROWS_SHOWN) -> None:
        self.add_button = QPushButton(menu_text(add))
        self.remove_button = QPushButton(menu_text(tr("Remove")))
        super().__init__(model, name, about=about, rows=rows)
        self.view.verticalHeader().setVisible(False)
        for number, column in enumerate(model.columns):
            self.view.setColumnWidth(number, column.width)
        model.edited.connect(self._widen)
        buttons = ((self.add_button, self.add, tr("Insert")), (self.remove_button, self.remove, tr("Ctrl+Delete")))
        for place, (button, do, key) in enumerate(buttons):
            button.setAutoDefault(False)
            button.setToolTip(tooltip(tr("In the table: the key {key}").format(key=key)))
            button.clicked.connect(do)
            self.bottom.insertWidget(place, button, 0, Qt.AlignmentFlag.AlignTop)
        self.view.add_asked.connect(self.add)
        self.view.remove_asked.connect(self.remove)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._widen()

    def _widen(self) -> None:
        """Nothing is cut: columns are as wide as their words, and the table as they are while there is room."""
        header, columns = self.view.horizontalHeader(), range(len(self.model.columns))
        for number in columns:
            needed = max(self.view.sizeHintForColumn(number), header.sectionSizeHint(number)) + 4
            choices = self.model.columns[number].choices
            for words in () if choices is None else choices().values():
                needed = max(needed, self.view.fontMetrics().horizontalAdvance(words) + AROUND_CHOICE_PX)
            if number < len(columns) - 1 and needed > self.view.columnWidth(number):
                self.view.setColumnWidth(number, needed)
        last = max(self.view.sizeHintForColumn(columns[-1]), header.sectionSizeHint(columns[-1]))
        last = max(last, self.model.columns[-1].width)
        wide = sum(self.view.columnWidth(number) for number in columns[:-1]) + last
        self.view.setMinimumWidth(min(wide + 30, MOST_PX))

    def add(self) -> None:
        """A new row, with its first cell open."""
        index = self.model.index(self.model.add(), 0)
        self.view.setCurrentIndex(index)
        self.view.scrollTo(index)
        self.view.setFocus()
        self.view.open_cell(index)

    def remove(self) -> None:
        """Takes the current row out."""
        number = self.view.currentIndex().row()
        if number >= 0:
            self.model.remove(number)
            self.view.setFocus()

    def _tell(self) -> None:
        super()._tell()
        self.remove_button.setEnabled(self.view.currentIndex().isValid())
