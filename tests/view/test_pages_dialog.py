"""Briefing page and run sheets from the window: a preview of the very pages, then a file or the printer."""

from __future__ import annotations

import pytest
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QFileDialog, QLabel

from legtide.view.pages_dialog import PagesDialog, print_pages
from support.pdf_text import pdf_reader, pdf_text


@pytest.fixture
def page(window, workspace, dialog, qtbot):
    """The preview of the briefing page of the second aircraft."""
    workspace.select("QX-1")
    window.registry["file.briefing"].trigger()
    found = dialog("pages")
    assert isinstance(found, PagesDialog)
    qtbot.waitUntil(lambda: bool(found.pages))
    return found


def previews(page: PagesDialog) -> list[QLabel]:
    return [one for one in page.area.findChildren(QLabel) if not one.pixmap().isNull()]


def test_the_selected_aircraft_is_shown_as_it_will_be_printed(page):
    assert page.key == "QX-1"
    (picture,) = previews(page)
    # A4 is 595 by 842 pt in whole points; a pixel is 1/96 inch.
    assert (picture.pixmap().width(), picture.pixmap().height()) == (793, 1123)


def test_another_aircraft_and_other_paper_are_shown_at_once(page, qtbot, tmp_path):
    page.choice.setCurrentText("QX-2")
    assert not page.save.isEnabled()
    qtbot.waitUntil(lambda: bool(page.pages))
    page.paper.setCurrentText("Letter")
    (picture,) = previews(page)
    assert (picture.pixmap().width(), picture.pixmap().height()) == (816, 1056)
    page.save_to(tmp_path / "b.pdf")
    assert "QX-2" in pdf_text((tmp_path / "b.pdf").read_bytes())


def test_saving_asks_for_a_name_and_says_that_it_is_done(page, window, dialog, click, tmp_path):
    click(page.save)
    chooser = dialog("savePages")
    assert isinstance(chooser, QFileDialog)
    target = tmp_path / "page.pdf"
    chooser.fileSelected.emit(str(target))
    assert "QX-1" in pdf_text(target.read_bytes())
    assert "page.pdf" in window.footer.message
    chooser.close()


def test_a_file_that_cannot_be_written_is_said_and_the_preview_stays(page, dialog, tmp_path):
    page.save_to(tmp_path / "none" / "page.pdf")
    box = dialog("question")
    assert "page.pdf" in box.text()
    assert page.isVisible()
    box.close()


def test_what_is_printed_is_what_was_shown(page, tmp_path):
    printer = QPrinter()
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    printer.setPageLayout(page.pages[0].sheet.layout)
    assert print_pages(page.pages, printer)
    data = (tmp_path / "printed.pdf").read_bytes()
    assert len(pdf_reader(data).pages) == 1
    assert "QX-1" in pdf_text(data)


def test_changes_that_no_file_holds_are_told_on_the_page(window, workspace, tmp_path):
    workspace.save_as(tmp_path / "x.day.json")
    assert window.pages._file_name() == "x.day.json"
    window.editing.add("fresh")
    workspace.select("QX-0", turn=4)
    window.editing.add("fresh")
    assert window.pages._file_name() == "x.day.json with changes not saved"


def test_run_sheets_are_shown_for_stations_with_trucks(window, dialog, qtbot, tmp_path):
    window.registry["file.runs"].trigger()
    page = dialog("pages")
    assert [page.choice.itemData(row) for row in range(page.choice.count())] == ["BAKE"]
    qtbot.waitUntil(lambda: bool(page.pages))
    assert len(previews(page)) == len(page.pages)
    page.save_to(tmp_path / "runs.pdf")
    assert "Toilet truck T1" in pdf_text((tmp_path / "runs.pdf").read_bytes())


def test_a_station_without_work_says_so(window, workspace, dialog, qtbot):
    from legtide.day import edits

    for row in workspace.day.services:
        workspace.apply(edits.delete_service(workspace.day, row.id), "x")
    window.registry["file.runs"].trigger()
    page = dialog("pages")
    qtbot.waitUntil(lambda: "BAKE" in page.note.text())
    assert not page.save.isEnabled()
    assert not page.print.isEnabled()
