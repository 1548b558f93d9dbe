"""Tables and the calendar of calls from the window: the same as the commands write."""

from __future__ import annotations

import io

import icalendar
import openpyxl
import pytest
from PySide6.QtWidgets import QFileDialog

from legtide.engine.projection import project
from legtide.files.tables import TABLES, csv_bytes


def chosen(window, dialog, action: str, row: int, target) -> None:
    """Triggers an action, chooses a row of its list, and a file."""
    window.registry[action].trigger()
    page = dialog("chooser")
    page.list.setCurrentRow(row % page.list.count())
    page.list.itemActivated.emit(page.list.currentItem())
    chooser = dialog("saveExport")
    assert isinstance(chooser, QFileDialog)
    chooser.fileSelected.emit(str(target))
    chooser.close()


def test_the_three_tables_are_the_sheets_of_a_workbook(window, workspace, dialog, qtbot, tmp_path):
    target = tmp_path / "tables.xlsx"
    chosen(window, dialog, "file.tables", 0, target)
    qtbot.waitUntil(target.exists)
    book = openpyxl.load_workbook(io.BytesIO(target.read_bytes()))
    projection = project(workspace.day)
    assert {sheet.title: sheet.max_row - 1 for sheet in book} == {
        name: len(made(projection).rows) for name, made in TABLES.items()
    }
    qtbot.waitUntil(lambda: "tables.xlsx" in window.footer.message)


@pytest.mark.parametrize(("row", "name"), [(2, "plan"), (4, "levels"), (6, "warnings")])
def test_a_table_as_csv(window, workspace, dialog, qtbot, tmp_path, row, name):
    target = tmp_path / "one.csv"
    chosen(window, dialog, "file.tables", row, target)
    qtbot.waitUntil(target.exists)
    assert target.read_bytes() == csv_bytes(TABLES[name](project(workspace.day)))


def test_the_calls_for_the_selected_aircraft_are_read_back(window, workspace, dialog, qtbot, tmp_path):
    """By icalendar, which has nothing to do with the writer."""
    workspace.select("QX-1")
    target = tmp_path / "calls.ics"
    chosen(window, dialog, "file.calls", -1, target)
    qtbot.waitUntil(target.exists)
    events = icalendar.Calendar.from_ical(target.read_bytes()).walk("VEVENT")
    assert len(events) == 1
    assert "QX-1" in events[0]["SUMMARY"]
    assert [alarm["ACTION"] for alarm in events[0].walk("VALARM")] == ["DISPLAY"]


def test_all_calls(window, workspace, dialog, qtbot, tmp_path):
    target = tmp_path / "calls.ics"
    chosen(window, dialog, "file.calls", 0, target)
    qtbot.waitUntil(target.exists)
    assert len(icalendar.Calendar.from_ical(target.read_bytes()).walk("VEVENT")) == 3


def test_a_file_that_cannot_be_written_is_said(window, dialog, tmp_path):
    chosen(window, dialog, "file.calls", 0, tmp_path / "none" / "calls.ics")
    assert "calls.ics" in dialog("question").text()
