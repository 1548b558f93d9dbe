"""The table of services: the plan as text, in step with the board, for the keyboard."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from legtide.day import edits
from legtide.view.panels.services_table import COLUMNS


@pytest.fixture
def table(window):
    window.toggle_table()
    return window.table


def cells(table, row=0):
    model = table.table.model()
    return [model.index(row, column).data() for column in range(model.columnCount())]


def column(table, name):
    model = table.table.model()
    return [model.index(row, COLUMNS.index(name)).data() for row in range(model.rowCount())]


def test_a_row_says_when_where_what_and_how_much(table, workspace):
    result = workspace.projection.aircraft["QX-0"].services[0]
    row = cells(table, column(table, "Aircraft").index("QX-0"))
    assert row[0] == f"{result.start:%H:%M}"
    assert row[1:5] == ["QX-0", "BAKE", "3", "Waste service"]
    assert row[5] == f"{result.before.p50:.0f}\u00a0L"
    assert row[6] == "10\u00a0L"
    assert row[8] == "planned"


def test_the_table_and_the_board_select_together(table, workspace):
    workspace.select(service="s1")
    assert cells(table, table.table.currentIndex().row())[1] == "QX-1"
    table.table.selectRow(column(table, "Aircraft").index("QX-2"))
    assert workspace.selection.service == "s2"
    workspace.select("QX-0")
    assert not table.table.currentIndex().isValid()


def test_the_keys_of_actions_work_in_the_table(table, workspace, qtbot):
    table.table.setFocus()
    table.table.selectRow(0)
    chosen = workspace.selection.service
    qtbot.keyClick(table.table, Qt.Key.Key_K)
    assert next(row for row in workspace.day.services if row.id == chosen).state == "skipped"
    assert "skipped" in column(table, "State")
    assert workspace.selection.service == chosen
    qtbot.keyClick(table.table, Qt.Key.Key_Return)
    menu = QApplication.activePopupWidget()
    assert menu.objectName() == "context"
    menu.close()


def test_rows_follow_edits_and_strokes(table, workspace):
    day, _ = edits.add_service(workspace.day, "QX-1", 5, "fresh")
    workspace.apply(day, "Add")
    assert table.table.model().rowCount() == 4
    workspace.begin_stroke("Move")
    workspace.preview(edits.move_service(workspace.day, "s1", 6, None))
    workspace._pace.flush()
    assert "6" in column(table, "Turn")
    workspace.cancel_stroke()
    assert "6" not in column(table, "Turn")
    workspace.undo()
    assert table.table.model().rowCount() == 3


def test_a_filter_says_how_many_rows_it_hides(table):
    table.field.setText("qx-1")
    assert column(table, "Aircraft") == ["QX-1"]
    assert table._count.text() == "1 shown, 2 hidden by the filter, and with them 4 open warnings"
    table.field.setText("")
    assert table._count.text() == "3 in all"


def test_columns_are_sorted_by_value_and_not_by_their_words(table, workspace):
    day, _ = edits.add_service(workspace.day, "QX-0", 9, "fresh")
    day, _ = edits.add_service(day, "QX-0", 1, "fresh")
    workspace.apply(day, "Add")
    start = workspace.projection.aircraft
    table.table.sortByColumn(COLUMNS.index("Litres"), Qt.SortOrder.AscendingOrder)
    volumes = [float(text.split("\u00a0")[0]) for text in column(table, "Litres")]
    assert volumes == sorted(volumes)
    table.table.sortByColumn(0, Qt.SortOrder.AscendingOrder)
    starts = [row.start for one in start.values() for row in one.services]
    assert column(table, "Start") == [f"{moment:%H:%M}" for moment in sorted(starts)]


def test_a_hidden_table_does_not_follow_and_catches_up(window, workspace):
    workspace.apply(edits.delete_service(workspace.day, "s0"), "Delete")
    assert window.table.model.rowCount() == 3
    window.toggle_table()
    assert window.table.model.rowCount() == 2
