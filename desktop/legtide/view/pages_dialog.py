"""Pages on paper from the window: a preview of the very pages, then a PDF or the printer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPixmap
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from legtide.brief.paper import DPI, PAPERS, Page, PaperName, page_image, pdf_bytes
from legtide.files.atomic import SaveError, replace_file
from legtide.language import tr
from legtide.view.dialogs import opened, tell
from legtide.view.texts import menu_text, plain_label
from legtide.workspace.jobs import Jobs, Report

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

TOPIC: Final = "pages"
BESIDE_PX: Final = 80
"""What is beside a page: margins, its edge, the scroll bar."""
_PAPER_WORDS: Final[dict[PaperName, str]] = {"a4": "A4", "letter": "Letter"}


@dataclass(frozen=True, slots=True)
class Subject:
    """What a dialog makes pages of."""

    title: str
    label: str
    """What is chosen, such as "Aircraft"."""
    choices: tuple[tuple[str, str], ...]
    """Key and words of each choice."""
    chosen: str
    content: Callable[[str], Any]
    """Key -> content. Runs off the GUI thread; raises ValueError with a sentence where there is nothing to show."""
    pages: Callable[[Any, PaperName], list[Page]]
    file_name: Callable[[str], str]
    folder: Path


class PagesDialog(QDialog):
    """Shows the pages as they will be printed."""

    saved = Signal(str)
    """Name of the file that was written."""
    made = Signal(str)
    """Key of what was saved or printed."""

    def __init__(self, subject: Subject, jobs: Jobs, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("pages")
        self.setWindowTitle(subject.title)
        self.resize(QSize(900, 820))
        self._subject = subject
        self._jobs = jobs
        self._content: Any = None
        self.pages: list[Page] = []
        self.choice = QComboBox()
        self.paper = QComboBox()
        self.note = plain_label("", "secondary")
        self.area = QScrollArea()
        self.save = QPushButton(menu_text(tr("Save as PDF…")))
        self.print = QPushButton(menu_text(tr("Print…")))
        self._set_up()
        self._lay_out()
        self._make()

    def _set_up(self) -> None:
        for key, words in self._subject.choices:
            self.choice.addItem(words, key)
        self.choice.setCurrentIndex(max(self.choice.findData(self._subject.chosen), 0))
        self.choice.setAccessibleName(self._subject.label)
        for name in PAPERS:
            self.paper.addItem(_PAPER_WORDS[name], name)
        self.paper.setAccessibleName(tr("Paper"))
        self.area.setAccessibleName(tr("Preview"))
        self.area.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.note.setWordWrap(True)
        self.save.setDefault(True)
        self.print.setAutoDefault(False)
        self.choice.currentIndexChanged.connect(lambda _index: self._make())
        self.paper.currentIndexChanged.connect(lambda _index: self._show())
        self.save.clicked.connect(self._ask_file)
        self.print.clicked.connect(self._ask_printer)
        self.finished.connect(lambda _result: self._jobs.cancel(TOPIC))

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        top = QHBoxLayout()
        top.setSpacing(8)
        for words, box in ((self._subject.label, self.choice), (tr("Paper"), self.paper)):
            label = plain_label(words, "secondary")
            label.setBuddy(box)
            top.addWidget(label)
            top.addWidget(box)
            top.addSpacing(12)
        top.addStretch(1)
        layout.addLayout(top)
        layout.addWidget(self.area, 1)
        bottom = QHBoxLayout()
        bottom.setSpacing(8)
        bottom.addWidget(self.note, 1)
        close = QPushButton(menu_text(tr("Close")))
        close.setAutoDefault(False)
        close.clicked.connect(self.reject)
        for button in (close, self.print, self.save):
            bottom.addWidget(button)
        layout.addLayout(bottom)

    @property
    def key(self) -> str:
        """What is chosen."""
        return str(self.choice.currentData())

    # preview ----------------------------------------------------------------------------------------------

    def _make(self) -> None:
        """Makes the content of what is chosen in the background."""
        key = self.key

        def work(report: Report) -> Any:
            report.progress(0, 1)
            return self._subject.content(key)

        self._ready([], tr("Making the pages…"))
        self._jobs.start(TOPIC, work, self._take, self._fail)

    def _take(self, content: Any) -> None:
        self._content = content
        self._show()

    def _fail(self, error: BaseException) -> None:
        self._content = None
        self._ready([], str(error))

    def _show(self) -> None:
        if self._content is not None:
            pages = self._subject.pages(self._content, self.paper.currentData())
            self._ready(pages, tr("This is what will be printed. The operator's manuals and local rules decide."))

    def _ready(self, pages: list[Page], note: str) -> None:
        self.pages = pages
        self.note.setText(note)
        for button in (self.save, self.print):
            button.setEnabled(bool(pages))
        self.area.setWidget(self._stack(pages))

    def _stack(self, pages: Sequence[Page]) -> QWidget:
        stack = QWidget()
        stack.setObjectName("scrolled")
        rows = QVBoxLayout(stack)
        rows.setContentsMargins(8, 8, 8, 8)
        rows.setSpacing(12)
        ratio = self.devicePixelRatioF()
        room = self.width() - BESIDE_PX
        for page in pages:
            # What is wider than the dialog is shown smaller: nobody reads a page through a slit.
            fitting = min(1.0, room / page.sheet.size.width())
            picture = QPixmap.fromImage(page_image(page, ratio * fitting))
            picture.setDevicePixelRatio(ratio)
            label = plain_label("", "paper")
            label.setPixmap(picture)
            rows.addWidget(label)
        return stack

    # file and printer -------------------------------------------------------------------------------------

    def _ask_file(self) -> None:
        dialog = QFileDialog(self, self._subject.title, str(self._subject.folder), f"{tr('PDF')} (*.pdf)")
        dialog.setObjectName("savePages")
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setDefaultSuffix("pdf")
        dialog.selectFile(self._subject.file_name(self.key))
        dialog.fileSelected.connect(lambda name: self.save_to(Path(name)))
        opened(dialog)

    def save_to(self, path: Path) -> None:
        """Writes the pages as a PDF; says why when that cannot be done."""
        try:
            replace_file(path, pdf_bytes(self.pages, self._subject.title))
        except (SaveError, OSError) as error:
            tell(self, tr("{name} was not written").format(name=path.name), str(error), kind="warn")
            return
        self.saved.emit(path.name)
        self.made.emit(self.key)
        self.accept()

    def _ask_printer(self) -> None:
        # It takes time to import, and most days nobody prints.
        from PySide6.QtPrintSupport import QPrintDialog, QPrinter

        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setPageLayout(self.pages[0].sheet.layout)
        dialog = QPrintDialog(printer, self)
        dialog.setObjectName("print")
        pages = self.pages
        dialog.accepted.connect(lambda: self._print(pages, printer))
        opened(dialog)

    def _print(self, pages: Sequence[Page], printer: QPrinter) -> None:
        if print_pages(pages, printer):
            self.made.emit(self.key)
            self.accept()
        else:
            tell(self, tr("Nothing was printed"), tr("The printer does not take the pages."), kind="warn")


def print_pages(pages: Sequence[Page], printer: QPrinter) -> bool:
    """Prints pages at their true size; False when the printer does not begin."""
    printer.setFullPage(True)
    # The painters think in pixels of 1/96 inch: lines of one pixel must not shrink to those of the printer.
    printer.setResolution(DPI)
    painter = QPainter()
    if not painter.begin(printer):
        return False
    with painter:
        for number, page in enumerate(pages):
            if number:
                printer.newPage()
            painter.save()
            painter.scale(printer.resolution() / DPI, printer.resolution() / DPI)
            page.paint(painter)
            painter.restore()
    return True
