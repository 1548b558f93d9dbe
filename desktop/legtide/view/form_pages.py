"""The body of a form: pages, columns and sections of labelled rows, in something that scrolls when it has to."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtWidgets import QFormLayout, QFrame, QHBoxLayout, QScrollArea, QTabWidget, QVBoxLayout, QWidget

from legtide.view.texts import menu_text, plain_label

_ALL: Final = 1000
"""Stretch of what takes all the height that is left, against that of the empty end of a column."""
_WRONG: Final = "! "
"""Before the title of a page with a wrong field: not by colour alone."""


class _Scroll(QScrollArea):
    """As large as what it holds, while there is room."""

    def __init__(self, held: QWidget) -> None:
        super().__init__()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._held = held
        held.setObjectName("scrolled")
        self.setWidget(held)

    def sizeHint(self) -> QSize:
        held = self._held
        hint = held.sizeHint()
        if held.hasHeightForWidth():
            hint.setHeight(max(hint.height(), held.heightForWidth(max(self.viewport().width(), hint.width()))))
        return hint

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        # The toolkit does not tell the layout around it that what is held wants another size.
        if watched is self._held and event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)

    def minimumSizeHint(self) -> QSize:
        return QSize(min(self.sizeHint().width() + 12, 760), 80)


class FormPages(QWidget):
    """Pages with their rows; a form that never begins one has a single page without a tab."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._tabs: QTabWidget | None = None
        self._titles: list[str] = []
        self._columns: QHBoxLayout | None = None
        self._column: QVBoxLayout | None = None
        self._rows: QFormLayout | None = None

    @property
    def here(self) -> int:
        """Number of the page that is being filled."""
        return max(len(self._titles) - 1, 0)

    def begin_page(self, title: str) -> None:
        """A further page under a tab."""
        if self._tabs is None:
            self._tabs = QTabWidget(self)
            self._tabs.tabBar().setDrawBase(False)
            self._layout.addWidget(self._tabs)
        self._titles.append(title)
        self._tabs.addTab(self._page(), menu_text(title))

    def begin_column(self) -> None:
        """A further column on the page."""
        if self._columns is None:
            self._layout.addWidget(self._page())
            return
        self._column = QVBoxLayout()
        self._column.setSpacing(8)
        self._column.addStretch(1)
        self._columns.addLayout(self._column, 1)
        self._rows = None

    def begin_section(self, title: str) -> None:
        """A heading in the column, with rows of its own below."""
        column = self._home()
        column.insertWidget(column.count() - 1, plain_label(title, "section"))
        self._rows = None

    def add_row(self, label: str, field: QWidget) -> None:
        """A field with its label."""
        column = self._home()
        if self._rows is None:
            self._rows = QFormLayout()
            self._rows.setHorizontalSpacing(12)
            self._rows.setVerticalSpacing(8)
            self._rows.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
            self._rows.setLabelAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
            column.insertLayout(column.count() - 1, self._rows)
        words = plain_label(label)
        words.setBuddy(field)
        words.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        words.setContentsMargins(0, 6, 0, 0)
        self._rows.addRow(words, field)

    def add_wide(self, widget: QWidget) -> None:
        """Something across the column; what comes below has rows of its own."""
        column = self._home()
        column.insertWidget(column.count() - 1, widget, _ALL)
        self._rows = None

    def _home(self) -> QVBoxLayout:
        if self._column is None:
            self.begin_column()
        assert self._column is not None  # noqa: S101  (a column has just been begun)
        return self._column

    def _page(self) -> QWidget:
        held = QWidget()
        outer = QVBoxLayout(held)
        outer.setContentsMargins(0, 4, 8, 4)
        self._columns = QHBoxLayout()
        self._columns.setSpacing(28)
        outer.addLayout(self._columns, 1)
        self._column = None
        self.begin_column()
        return _Scroll(held)

    def stops(self) -> list[QWidget]:
        """What the Tab key stops at, in order."""
        tab = Qt.FocusPolicy.TabFocus
        # The list of a combo box is a window of its own.
        here = [one for one in self.findChildren(QWidget) if one.window() is self.window()]
        return [one for one in here if one.focusPolicy() & tab and one.focusProxy() is None]

    def mark(self, wrong: set[int]) -> None:
        """Marks the tabs of the pages on which something is wrong."""
        if self._tabs is not None:
            for number, title in enumerate(self._titles):
                self._tabs.setTabText(number, menu_text((_WRONG if number in wrong else "") + title))

    def show_page(self, number: int) -> None:
        """Brings a page to the front."""
        if self._tabs is not None:
            self._tabs.setCurrentIndex(number)
