"""What a user expects of any program: copying, printing, windows that come back, two views, reports that stay."""

from __future__ import annotations

import csv
import io

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from PySide6.QtWidgets import QPlainTextEdit, QTableView

from legtide.day.edits import change_service
from legtide.files.cells import restored
from legtide.files.state import state_folder
from legtide.files.tables import TABLES
from legtide.view.compare_window import CompareWindow
from legtide.view.copying import TSV, cells_text
from legtide.view.figures_window import FiguresWindow
from legtide.view.main_window import build_window
from legtide.view.preferences import Preferences
from legtide.view.reports import ReportsDialog, report_text
from support.boards import board_day
from support.pdf_text import pdf_text
from support.windows import forget_changes


def pasted() -> list[list[str]]:
    """What a spreadsheet would make of the clipboard."""
    data = QGuiApplication.clipboard().mimeData()
    assert data.data(TSV).data().decode() == data.text()
    return list(csv.reader(io.StringIO(data.text()), delimiter="\t", quoting=csv.QUOTE_NONE))


# clipboard -----------------------------------------------------------------------------------------------


def test_the_board_is_copied_as_it_is_looked_at_with_the_name_of_its_day(window):
    window.registry.run("edit.copy_board")
    image = QGuiApplication.clipboard().image()
    seen = window.board.viewport().grab().toImage()
    assert (image.width(), image.height() - seen.height()) == (seen.width(), 32)
    assert image.copy(0, 32, seen.width(), seen.height()).convertToFormat(seen.format()) == seen
    title = image.copy(0, 0, 400, 32)
    assert len({title.pixel(x, y) for x in range(400) for y in range(32)}) > 5
    assert "clipboard" in window.footer.message


@pytest.mark.parametrize(
    ("action", "name"),
    [("edit.copy_services", "plan"), ("edit.copy_levels", "levels"), ("edit.copy_warnings", "warnings")],
)
def test_a_table_is_copied_whole(window, workspace, action, name):
    window.registry.run(action)
    table = TABLES[name](workspace.settled_projection)
    head, *rows = pasted()
    assert tuple(head) == table.columns
    wanted = [["" if cell is None else str(cell).replace("\u00a0", " ") for cell in row] for row in table.rows]
    assert rows == wanted
    assert window.footer.message.startswith(f"{len(rows)} row")


def test_a_remark_that_looks_like_a_formula_is_only_text(window, workspace):
    evil = '=HYPERLINK("http://x")\tb\n-1'
    workspace.apply(change_service(workspace.day, "s0", remark=evil.replace("\t", " ").replace("\n", " ")), "remark")
    window.registry.run("edit.copy_services")
    cell = next(cell for row in pasted() for cell in row if "HYPERLINK" in cell)
    assert cell.startswith("'=")
    assert restored(cell) == evil.replace("\t", " ").replace("\n", " ")


def test_numbers_stay_numbers_and_a_cell_cannot_become_two():
    assert cells_text([["-1.5", "+3", "-x", "a\tb\nc"]]) == "-1.5\t+3\t'-x\ta b c\n"


def test_the_copy_key_in_a_table_takes_the_chosen_row_and_the_button_takes_all(window, workspace, qtbot, click):
    window.toggle_table()
    table = window.table.table
    table.selectRow(1)
    qtbot.keyClick(table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    head, *rows = pasted()
    assert head[:3] == ["Start", "Aircraft", "Station"]
    assert len(rows) == 1
    assert window.footer.message == "1 row is on the clipboard"
    click(window.table.copy)
    assert len(pasted()) == 1 + len(workspace.day.services)


def test_the_comparison_and_the_figures_are_copied_by_the_key(window, workspace, qtbot):
    workspace.keep_baseline()
    window.registry.run("view.compare")
    page = window.findChild(CompareWindow)
    page.table.selectAll()
    qtbot.keyClick(page.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert pasted()[0][0] == "Aircraft"
    assert pasted()[1][0] == "Together"
    page.close()
    window.beside.show_figures()
    figures = window.findChild(FiguresWindow)
    figures.table.clearSelection()
    qtbot.keyClick(figures.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert len(pasted()) == 1 + len(figures.model.rows)
    figures.close()


# paper ---------------------------------------------------------------------------------------------------


def test_the_board_is_printed_with_its_origin_on_every_page(window, workspace, dialog, qtbot, tmp_path):
    from legtide.files.day_content import content_checksum

    window.registry["file.print_board"].trigger()
    page = dialog("pages")
    qtbot.waitUntil(lambda: bool(page.pages))
    assert page.pages[0].sheet.landscape
    page.save_to(tmp_path / "board.pdf")
    text = pdf_text((tmp_path / "board.pdf").read_bytes())
    for row in workspace.day.aircraft:
        assert row.registration in text
    assert content_checksum(workspace.day) in text.replace("\n", "").replace(" ", "")
    assert "licensed staff decide" in text
    assert "Practice" in text


def test_a_view_that_is_zoomed_is_what_is_printed_first(window, dialog, qtbot):
    window.board.navigate.show_hours(6.0)
    window.registry["file.print_board"].trigger()
    page = dialog("pages")
    assert page.key == "view"
    assert "as in the window" in page.choice.currentText()
    qtbot.waitUntil(lambda: bool(page.pages))
    page.close()


# windows -------------------------------------------------------------------------------------------------


@pytest.fixture
def again(qtbot, workspace, tmp_path):
    """The window as it comes up at the next start."""

    def build():
        made = build_window(workspace, Preferences(tmp_path / "config" / "settings.json"))
        qtbot.addWidget(made, before_close_func=forget_changes)
        made.show()
        return made

    return build


def test_the_table_and_its_columns_come_back(window, again, qtbot):
    window.toggle_table()
    window.rows.setSizes([300, 260])
    qtbot.waitUntil(lambda: window.table.height() >= 250)
    window.table.table.setColumnWidth(1, 177)
    height = window.table.height()
    window.close()
    second = again()
    assert second.table_shown()
    assert second.table.table.columnWidth(1) == 177
    qtbot.waitUntil(lambda: abs(second.table.height() - height) <= 12)


def test_a_page_beside_the_board_comes_back_in_its_size_until_the_layout_is_reset(window, workspace):
    def figures() -> FiguresWindow:
        window.beside.show_figures()
        return window.findChildren(FiguresWindow)[-1]

    page = figures()
    usual, width = page.size(), page.table.columnWidth(0)
    page.resize(700, 500)
    page.table.setColumnWidth(0, 222)
    page.close()
    page = figures()
    assert (page.width(), page.height(), page.table.columnWidth(0)) == (700, 500, 222)
    page.close()
    window.registry.run("view.reset")
    page = figures()
    assert (page.size(), page.table.columnWidth(0)) == (usual, width)
    page.close()


def test_a_dialog_comes_back_in_its_size_and_never_larger_than_the_screen(window, dialog, qtbot):
    window.registry["help.keys"].trigger()
    sheet = dialog("keySheet")
    sheet.resize(900, 444)
    sheet.accept()
    assert window.preferences.settings.sizes["keySheet"] == (900, 444)
    window.preferences.put(sizes={"about": (9000, 9000)})
    window.registry["help.about"].trigger()
    room = window.screen().availableSize()
    assert dialog("about").width() <= room.width()
    assert dialog("about").height() <= room.height()


@pytest.fixture
def shown_bank(window, workspace):
    """The window on a day whose services have trucks."""
    workspace.new(board_day(6))
    return window


# two views -----------------------------------------------------------------------------------------------


def test_the_board_splits_and_joins_by_key(window, workspace, qtbot):
    sequence = QKeySequence("Ctrl+Alt+B")[0]
    qtbot.keyClick(window.board, sequence.key(), sequence.keyboardModifiers())
    second = window.split.second
    assert second is not None
    assert second.isVisible()
    assert window.registry["view.split"].isChecked()
    # Its own stretch of time, the same day and selection.
    assert window.board.model.viewport.whole
    assert not second.model.viewport.whole
    assert window.board.model.groups == ()
    workspace.select(service="s1")
    assert second.model.focus == window.board.model.focus == 1
    qtbot.keyClick(second, sequence.key(), sequence.keyboardModifiers())
    assert window.split.second is None
    assert not window.registry["view.split"].isChecked()


def test_the_trucks_lanes_stand_once_below_both_halves(shown_bank):
    window = shown_bank
    lanes = [group.lanes for group in window.board.model.groups]
    assert lanes
    window.registry.run("view.split")
    assert window.board.model.groups == ()
    assert [group.lanes for group in window.split.second.model.groups] == lanes
    window.registry.run("view.split")
    assert [group.lanes for group in window.board.model.groups] == lanes


def test_a_landscape_page_is_shown_whole(window, dialog, qtbot):
    window.registry["file.print_board"].trigger()
    page = dialog("pages")
    qtbot.waitUntil(lambda: bool(page.pages))
    assert page.area.horizontalScrollBar().maximum() == 0
    page.close()


def test_zoom_keys_act_on_the_half_that_has_the_keyboard(window, qtbot):
    window.registry.run("view.split")
    second = window.split.second
    before = window.board.model.layout.scale, second.model.layout.scale
    window.registry.run("view.zoom_in")
    assert window.board.model.layout.scale == before[0]
    assert second.model.layout.scale != before[1]
    window.registry.run("view.other")
    window.registry.run("view.zoom_in")
    assert window.board.model.layout.scale != before[0]


def test_both_halves_edit_the_same_day_and_show_a_plan(window, workspace, qtbot):
    window.registry.run("view.split")
    second = window.split.second
    workspace.select(service="s1")
    qtbot.keyClick(second, Qt.Key.Key_Right)
    qtbot.keyClick(second, Qt.Key.Key_Return)
    assert workspace.can_undo()
    assert window.board.model.marker("s1").start == second.model.marker("s1").start
    window.registry.run("plan.all")
    qtbot.waitUntil(lambda: window.planning.review is not None)
    shown = [
        [board.model.extras(name).proposals for name in workspace.projection.aircraft]
        for board in (window.board, second)
    ]
    assert shown[0] == shown[1]
    assert any(shown[0])


def test_the_second_half_follows_the_theme_and_goes_with_a_reset(window):
    window.registry.run("view.split")
    window.registry.run("view.theme_dark")
    assert window.split.second.composer.colours.name == "dark"
    window.registry.run("view.theme_light")
    assert window.split.second.composer.colours.name == "light"
    window.registry.run("view.reset")
    assert window.split.second is None


# reports -------------------------------------------------------------------------------------------------


def test_reports_are_shown_with_their_place_and_can_be_copied(window, dialog, click):
    folder = state_folder("log")
    (folder / "fault-20260101.txt").write_text("Traceback\nValueError: <b>odd</b>\n")
    window.registry["help.reports"].trigger()
    page = dialog("reports")
    assert isinstance(page, ReportsDialog)
    assert "ValueError: <b>odd</b>" in page.text.toPlainText()
    click(page.copy)
    assert "ValueError" in QGuiApplication.clipboard().text()
    assert page.text.isReadOnly()
    page.close()


def test_without_reports_it_says_so(window, dialog):
    window.registry["help.reports"].trigger()
    page = dialog("reports")
    assert page.findChild(QPlainTextEdit).toPlainText().startswith("Nothing has gone wrong")
    assert not page.copy.isEnabled()
    page.close()


def test_a_fault_leads_to_its_report(window, dialog):
    window.show_fault("Something went wrong")
    button = next(one for one in window.banner._buttons if one.text() == "Show the report")
    button.click()
    assert dialog("reports").isVisible()


def test_only_the_end_of_a_long_report_is_read(tmp_path):
    (tmp_path / "legtide.log").write_bytes(b"a" * 500_000 + b"the end")
    text = report_text(tmp_path)
    assert text.strip().endswith("the end")
    assert len(text) < 210_000


def test_every_table_of_the_window_can_be_copied(window, workspace):
    window.toggle_table()
    for table in window.findChildren(QTableView):
        if table.isVisible():
            assert any(type(child).__name__ == "CopiesCells" for child in table.children()), table.accessibleName()
