"""Paper: sizes, pages made of painters, and what becomes of them - a PDF, or a picture for the preview.

A page is painted in pixels of 1/96 inch: a line of one pixel is then 0.75 pt on paper, and the board's painters,
which think in such pixels, draw at the size that they were made for.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QSizeF
from PySide6.QtGui import QColor, QImage, QPageLayout, QPageSize, QPainter, QPdfWriter

from legtide.draw.application import ensure_application
from legtide.language import tr

DPI: Final = 96
MARGIN_PX: Final = 45.0
"""12 mm: what common printers can reach."""

PaperName = Literal["a4", "letter"]
_SIZES: Final[dict[PaperName, QPageSize.PageSizeId]] = {
    "a4": QPageSize.PageSizeId.A4,
    "letter": QPageSize.PageSizeId.Letter,
}
PAPERS: Final[tuple[PaperName, ...]] = ("a4", "letter")


@dataclass(frozen=True, slots=True)
class Sheet:
    """A size and a direction of paper."""

    paper: PaperName = "a4"
    landscape: bool = False

    @property
    def layout(self) -> QPageLayout:
        """The toolkit's page layout, without margins of its own."""
        turned = QPageLayout.Orientation.Landscape if self.landscape else QPageLayout.Orientation.Portrait
        return QPageLayout(QPageSize(_SIZES[self.paper]), turned, QMarginsF(0.0, 0.0, 0.0, 0.0))

    @property
    def size(self) -> QSizeF:
        """Width and height in pixels of 1/96 inch."""
        points = self.layout.fullRect(QPageLayout.Unit.Point)
        return QSizeF(points.width() * DPI / 72.0, points.height() * DPI / 72.0)


@dataclass(frozen=True, slots=True, eq=False)
class Page:
    """One page."""

    sheet: Sheet
    paint: Callable[[QPainter], None]


def pdf_bytes(pages: Sequence[Page], title: str) -> bytes:
    """The pages as a PDF with their text as text. Works without a display.

    Raises OSError when the toolkit cannot make it, and ValueError without pages.
    """
    if not pages:
        raise ValueError("a PDF needs a page")
    ensure_application()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(DPI)
    writer.setTitle(title)
    writer.setCreator("Legtide")
    writer.setPageLayout(pages[0].sheet.layout)
    painter = QPainter()
    if not painter.begin(writer):
        raise OSError(tr("the PDF could not be begun"))
    with painter:
        for number, page in enumerate(pages):
            if number:
                writer.setPageLayout(page.sheet.layout)
                writer.newPage()
            painter.save()
            page.paint(painter)
            painter.restore()
    return bytes(buffer.data().data())


def page_image(page: Page, scale: float = 1.0) -> QImage:
    """A page as a picture, `scale` pixels for each of the page's."""
    ensure_application()
    size = page.sheet.size
    image = QImage(round(size.width() * scale), round(size.height() * scale), QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    with QPainter(image) as painter:
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(scale, scale)
        page.paint(painter)
    return image
