"""Pasting messages in the window: the preview follows the text, and applying is one step."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QLabel, QTableView

DEPARTURE = "MVT\nZZ0100/14.QX0.ABLE\nAD0412/0420 EA0520 BAKE\nDL34/0012\nPX150+3\n"


@pytest.fixture
def page(window, dialog):
    window.registry["file.messages"].trigger()
    return dialog("messages")


@pytest.fixture
def paste(page, qtbot):
    """Puts text in as a user does, and waits until the preview belongs to it."""

    def put(text: str):
        page.text.selectAll()
        page.text.insertPlainText(text)
        assert page.outcome is None
        assert not page.take.isEnabled()
        qtbot.waitUntil(lambda: page.outcome is not None)
        return page.outcome

    return put


def test_the_preview_says_what_changes_and_what_is_not_taken(page, paste, workspace):
    before = workspace.day
    paste(DEPARTURE + "\nhello\n")
    assert page.changes.rows == [
        ("2", "ZZ100 ABLE-BAKE", "ATD", "none", "04:12"),
        ("2", "ZZ100 ABLE-BAKE", "ETA", "none", "05:20"),
        ("2", "ZZ100 ABLE-BAKE", "passengers", "144", "153"),
    ]
    assert [row[:2] for row in page.refused.rows] == [("7", "hello")]
    assert "delay code 34 (servicing equipment) 12 min" in page.notes.rows[0][1]
    assert page.summary.text() == "3 changes; 1 line is not taken"
    assert [page.tabs.tabText(n) for n in range(3)] == ["Changes (3)", "Not taken (1)", "Said besides (1)"]
    assert workspace.day is before


def test_applying_is_one_step_that_can_be_undone(page, paste, workspace, window, click):
    before = workspace.day
    paste(DEPARTURE)
    click(page.take)
    leg = workspace.day.legs[0]
    assert (f"{leg.atd:%H:%M}", f"{leg.eta:%H:%M}", leg.passengers) == ("04:12", "05:20", 153)
    assert workspace.undo_stack.count() == 1
    window.undo()
    assert workspace.day is before


def test_text_that_says_nothing_cannot_be_applied(page, paste):
    paste("hello\n")
    assert not page.take.isEnabled()
    assert page.summary.text() == "Nothing changes; 1 line is not taken"
    assert page.tabs.currentIndex() == 1
    paste(DEPARTURE)
    assert page.take.isEnabled()
    assert page.tabs.currentIndex() == 0


def test_a_day_that_moved_on_meanwhile_is_read_anew_before_anything_is_applied(page, paste, workspace, click, qtbot):
    from legtide.day import edits

    paste(DEPARTURE)
    workspace.apply(edits.retitled(workspace.day, "Later"), "x")
    click(page.take)
    qtbot.waitUntil(lambda: page.outcome is not None and page.outcome.day.title == "Later")
    assert page.isVisible()
    click(page.take)
    assert (workspace.day.title, workspace.day.legs[0].passengers) == ("Later", 153)


def test_before_anything_is_pasted_it_says_so(page):
    assert page.summary.text() == "Nothing is pasted yet"
    assert not page.take.isEnabled()


def test_escape_leaves_the_day_alone(page, paste, workspace, qtbot):
    before = workspace.day
    paste(DEPARTURE)
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    assert not page.isVisible()
    assert workspace.day is before


def test_markup_is_shown_as_typed(page, paste):
    paste("<img src='/dev/zero'>\n<b>x</b>\n\nMVT\nZZ0100/14.QX0.ABLE\nAD0412\nSI <i>late</i>\n")
    assert page.refused.rows[0][1] == "<img src='/dev/zero'>"
    assert page.notes.rows[0][1] == "free text: <i>late</i>"
    assert "<img" not in page.text.document().toHtml()
    assert all(one.textFormat() == Qt.TextFormat.PlainText for one in page.findChildren(QLabel) if one.text())
    tips = [
        model.index(row, column).data(Qt.ItemDataRole.ToolTipRole)
        for model in (table.model() for table in page.findChildren(QTableView))
        for row in range(model.rowCount())
        for column in range(model.columnCount())
    ]
    assert any("&lt;img" in tip for tip in tips)
    assert not any("<img" in tip or "<b>" in tip or "<i>" in tip for tip in tips)


def test_a_day_that_may_only_be_read_takes_no_messages(window, workspace, monkeypatch):
    monkeypatch.setattr(type(workspace), "read_only", property(lambda _self: True))
    window.registry.refresh()
    assert not window.registry["file.messages"].isEnabled()


def test_its_key_opens_it(window, dialog, qtbot):
    keys = QKeySequence("Ctrl+Shift+V")[0]
    qtbot.keyClick(window.board, keys.key(), keys.keyboardModifiers())
    assert dialog("messages").isVisible()
