"""Ten mistakes of a hurried duty manager, played through the window's own widgets and keys.

Each script ends with what makes the mistake impossible or shows it in time. That these are the mistakes to expect is
common practice, no source; that a program should show them before they matter is ISO 9241-110:2020, 5.6 (use error
robustness), cited from memory.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QDialog, QLineEdit, QMenu, QPushButton

from legtide.day.edits import change_leg, retitled
from legtide.files.day_content import content_checksum
from legtide.view.main_window import build_window
from legtide.view.printed import age_of_page
from legtide.workspace.workspace import Workspace
from support.windows import forget_changes


@pytest.fixture
def press(qtbot, window):
    """Presses a key sequence as a user at the board does."""

    def send(keys: str) -> None:
        # A dialog that has just closed gives the keyboard back to its window.
        window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow)
        sequence = QKeySequence(keys)[0]
        qtbot.keyClick(window.board, sequence.key(), sequence.keyboardModifiers())

    return send


@pytest.fixture
def type_in(qtbot):
    """Replaces the text of a field by typing."""

    def write(field: QLineEdit, text: str) -> None:
        field.setFocus()
        field.selectAll()
        qtbot.keyClicks(field, text)

    return write


def form_field(form: QDialog, name: str) -> QLineEdit:
    found = form.findChild(QLineEdit, f"{name}Field")
    assert found is not None
    return found


def said_of(form: QDialog, name: str) -> str:
    """How a form says that it read a field, or what is wrong with it."""
    return form_field(form, name).accessibleDescription()


# 1 -------------------------------------------------------------------------------------------------------


def test_the_wrong_day_opened(window, workspace, tmp_path, qtbot):
    today = datetime.now(UTC).date()
    for name, shift in (("today", 0), ("old", -7)):
        day = retitled(workspace.day, f"Shift {name}")
        other = Workspace(day.model_copy(update={"date": today + timedelta(days=shift)}))
        other.save_as(tmp_path / f"{name}.day.json")
        other.close()
    window.opening.open(tmp_path / "old.day.json")
    # The day says its title and date, and that it is not today's.
    assert window.windowTitle().startswith("Shift old")
    assert window.top_bar.apart.isVisible()
    assert window.top_bar.apart.text() == "7 days ago"
    window.opening.open(tmp_path / "today.day.json")
    assert window.windowTitle().startswith("Shift today")
    assert not window.top_bar.apart.isVisible()


# 2 -------------------------------------------------------------------------------------------------------


def test_a_stale_projection(window, workspace, press):
    start = workspace.computed.replace(microsecond=0)
    workspace.set_now(start)
    before = window.board.model.now
    fresh = window.panel.what_to_do.fresh
    assert fresh.text() == f"Levels computed {start:%H:%M} UTC"
    # The clock goes on, nobody enters anything: the line has moved, and the panel says for how long nothing came.
    workspace.set_now(start + timedelta(minutes=45))
    assert window.board.model.now == before + 45.0
    assert fresh.text().endswith(("nothing entered for 0 h 44 min", "nothing entered for 0 h 45 min"))
    workspace.select(service="s0")
    press("D")
    assert workspace.computed > start
    assert "nothing entered" not in fresh.text() or workspace.now - workspace.computed >= timedelta(minutes=30)
    # What needs an answer by a moment that has passed says so.
    workspace.set_now(max(row.act_by for row in workspace.projection.warnings if row.act_by) + timedelta(minutes=1))
    dues = [card._when.text() for card in window.panel.what_to_do.act.cards]
    assert dues
    assert all(text.startswith("was due") for text in dues if text)


def test_a_plan_that_was_made_for_an_earlier_day_cannot_be_taken(window, workspace, qtbot, press):
    window.registry.run("plan.all")
    qtbot.waitUntil(lambda: window.planning.review is not None)
    workspace.select(service="s0")
    press("K")
    assert window.planning.stale
    assert not window.registry["plan.take"].isEnabled()


# 3 -------------------------------------------------------------------------------------------------------


def test_the_wrong_unit(window, workspace, dialog, type_in, press, qtbot):
    workspace.select("QX-0", turn=4)
    press("W")
    press("L")
    form = dialog("form")
    # Gallons meant, litres shown: what was read stands below the field while it is typed.
    type_in(form_field(form, "level"), "50 US gal")
    assert "189" in said_of(form, "level")
    assert "L" in said_of(form, "level")
    before = workspace.day
    # Fifteen hundred kilograms meant: the comma is a decimal mark here, and the field says one and a half.
    type_in(form_field(form, "level"), "1,500 kg")
    assert "1.5 L" in said_of(form, "level").replace("\u00a0", " ")
    for text in ("500 US gal", "50 gal of it", "1 500 kg"):
        type_in(form_field(form, "level"), text)
        said = said_of(form, "level")
        qtbot.mouseClick(form.button, Qt.MouseButton.LeftButton)
        # What does not go into the tank, or could be read in two ways, is neither taken nor passed over.
        assert form.isVisible(), said
        assert workspace.day is before
        assert said
    form.close()


def test_a_figure_in_the_wrong_unit_is_called_unusual(window, workspace, press):
    from legtide.day.assumptions import CATALOGUE
    from legtide.view.readers import ReadError, figure_reader

    known = CATALOGUE["policy.call_lead_min"]
    # Half an hour is understood in either unit; the bare number of the other unit is called unusual.
    assert figure_reader(known)("0.5 h").value == figure_reader(known)("30").value == 30.0
    assert "Unusual" in figure_reader(known)("1800").read_as
    with pytest.raises(ReadError, match="outside"):
        figure_reader(known)("18000")
    assert "Unusual" in figure_reader(known)(f"{known.high + 1:g}").read_as
    assert "Unusual" not in figure_reader(known)(f"{known.low:g}").read_as


# 4 -------------------------------------------------------------------------------------------------------


def test_a_slip_into_the_next_day(window, workspace, dialog, type_in, press):
    leg = max(workspace.day.legs, key=lambda row: row.std)
    assert leg.std.hour >= 18
    workspace.select(leg=leg.id)
    press("E")
    form = dialog("form")
    type_in(form_field(form, "etd"), "0020")
    # Twenty past midnight is taken for the night to come, and the form says which date that is.
    assert "Fri 15 May 00:20" in said_of(form, "etd")
    assert said_of(form, "etd").endswith("the next day")
    type_in(form_field(form, "etd"), f"{leg.std:%H%M}")
    assert "next day" not in said_of(form, "etd")
    form.close()


def test_a_bar_that_is_dragged_past_midnight_says_the_date(window, workspace):
    leg = max(workspace.day.legs, key=lambda row: row.std)
    stroke = window.board.mover.begin_slip(leg.id)
    stroke.move_to(stroke.start + 30.0)
    assert "May" not in stroke.title()
    minutes = 24 * 60 - (leg.std.hour * 60 + leg.std.minute) + 5
    stroke.move_to(stroke.origin + minutes)
    assert "Fri 15 May 00:05" in stroke.title()
    window.board.mover.cancel()


# 5 -------------------------------------------------------------------------------------------------------


def test_an_edit_on_the_wrong_row(window, workspace, press, qtbot):
    box = window.board.model.box("QX-1")
    scene, layout = window.board.model.scene(box), window.board.model.layout
    spot = scene.spot("s1")
    where = QPointF(layout.view_x(spot.x), layout.view_top(box) + spot.y).toPoint()
    qtbot.mouseClick(window.board.viewport(), Qt.MouseButton.LeftButton, pos=where)
    # The row is opened, and the card beside the board names aircraft and turn before anything is pressed.
    assert window.board.model.focus == 1
    assert window.panel.selected._where.text().startswith("QX-1 · BAKE")
    press("K")
    step = "Skip waste service of QX-1, turn 3 at BAKE"
    assert window.footer.message == step
    assert workspace.undo_stack.undoText() == step
    assert {row.id: row.state for row in workspace.day.services} == {
        "s0": "planned",
        "s1": "skipped",
        "s2": "planned",
    }


def test_a_menu_acts_on_the_row_that_it_was_opened_on(window, workspace, qtbot):
    workspace.select(service="s0")
    window.board.serviceActivated.emit("s2", window.board.mapToGlobal(window.board.rect().center()))
    assert workspace.selection.aircraft == "QX-2"
    assert window.board.model.focus == 2
    menu = window.findChild(QMenu, "context")
    menu.close()


# 6 -------------------------------------------------------------------------------------------------------


def test_surprise_at_undo(window, workspace, press):
    workspace.select(service="s2")
    press("D")
    # The user goes elsewhere, far from what was done, and undoes.
    window.board.navigate.reveal("QX-0")
    window.board.navigate.show_between(window.board.model.content.end - 60.0, window.board.model.content.end)
    press("Ctrl+Z")
    assert window.footer.message == "Undone: Mark waste service of QX-2 done, turn 3 at BAKE"
    assert workspace.selection.service == "s2"
    marker, layout = window.board.model.marker("s2"), window.board.model.layout
    assert layout.window.left <= layout.scale.x(marker.start) <= layout.window.right
    box = window.board.model.box("QX-2")
    assert layout.row_rect(box).intersects(layout.rows)


def test_undo_of_a_deletion_and_of_a_leg_are_shown_as_well(window, workspace, press):
    workspace.select("QX-1", turn=5)
    press("W")
    window.board.navigate.reveal("QX-0")
    press("Ctrl+Z")
    # What was added is gone again: its turn is shown.
    assert (workspace.selection.aircraft, workspace.selection.turn) == ("QX-1", 5)
    leg = workspace.day.legs[12]
    late = timedelta(minutes=10)
    moved = change_leg(workspace.day, leg.id, etd=leg.std + late, eta=leg.sta + late)
    workspace.apply(moved, "Slip")
    workspace.select("QX-0")
    press("Ctrl+Z")
    assert workspace.selection.leg == leg.id


def test_undo_of_a_step_in_several_rows_names_them(window, workspace, qtbot, press):
    window.registry.run("plan.all")
    qtbot.waitUntil(lambda: window.planning.review is not None)
    window.registry.run("plan.take")
    press("Ctrl+Z")
    assert window.footer.message.endswith("QX-0, QX-1, QX-2")


# 7 -------------------------------------------------------------------------------------------------------


def test_an_old_print(window, workspace, dialog, qtbot, tmp_path, press, type_in):
    workspace.select("QX-1")
    window.registry["file.briefing"].trigger()
    page = dialog("pages")
    qtbot.waitUntil(lambda: bool(page.pages))
    printed = content_checksum(workspace.day)
    page.save_to(tmp_path / "page.pdf")
    assert not window.banner.isVisible()
    # Another row changes: the page is still true.
    workspace.select(service="s2")
    press("K")
    assert not window.banner.isVisible()
    workspace.select(service="s1")
    press("K")
    assert "no longer equals the day: Briefing page QX-1" in window.banner.text
    press("Ctrl+Z")
    assert not window.banner.isVisible()
    press("Ctrl+Shift+Z")
    # Hours later somebody comes with the sheet: its checksum is typed in.
    window.registry["file.check_page"].trigger()
    form = dialog("form")
    type_in(form_field(form, "digits"), printed[:8])
    qtbot.mouseClick(form.button, Qt.MouseButton.LeftButton)
    assert form.isVisible()
    assert form._problem.text().startswith("The page is 2 steps old. Since then: Skip waste service of QX-1")
    form.close()
    assert age_of_page(workspace, content_checksum(workspace.day)[:8]) == "The page shows the day as it stands now."
    assert "do not work by it" in age_of_page(workspace, "0" * 64)


# 8 -------------------------------------------------------------------------------------------------------


def test_half_a_message_pasted(window, workspace, dialog, qtbot):
    window.registry["file.messages"].trigger()
    page = dialog("messages")
    before = workspace.day
    # The last line was not marked when it was copied, and one is damaged.
    page.text.insertPlainText("MVT\nZZ0100/14.QX0.ABLE\nAD0412/0420 EA0520 BAKE\nPX15\nMVT\nZZ0101/14.QX")
    qtbot.waitUntil(lambda: page.outcome is not None)
    lines = page.text.toPlainText().splitlines()
    taken = {row[0] for row in page.changes.rows}
    refused = {row[0]: row[1] for row in page.refused.rows}
    assert refused
    assert "6" in refused
    assert all(refused[number] == lines[int(number) - 1] for number in refused)
    assert page.summary.text().endswith(f"{len(refused)} lines are not taken")
    assert not taken & set(refused)
    assert workspace.day is before
    page.close()


# 9 -------------------------------------------------------------------------------------------------------


def test_two_windows_on_one_file(window, workspace, preferences, tmp_path, qtbot, press):
    path = tmp_path / "shared.day.json"
    workspace.save_as(path)
    other = Workspace(workspace.day)
    second = build_window(other, preferences)
    qtbot.addWidget(second, before_close_func=forget_changes)
    second.show()
    second.opening.open(path)
    assert other.read_only
    assert second.banner.text.startswith("Read only: ")
    assert second.top_bar.state_text() == "read only"
    other.select(service="s0")
    before = other.day
    qtbot.keyClick(second.board, Qt.Key.Key_D)
    qtbot.keyClick(second.board, Qt.Key.Key_Delete)
    assert other.day is before
    assert not second.registry["file.save"].isEnabled()
    # A copy is one click away, and the file stays the first window's.
    assert any(one.text() == "Work on a copy" for one in second.banner.findChildren(QPushButton))
    workspace.select(service="s0")
    press("D")
    workspace.save()
    assert Path(path).exists()
    qtbot.waitUntil(lambda: any(row.state == "done" for row in other.day.services))
    other.close()


# 10 ------------------------------------------------------------------------------------------------------


def test_a_filter_that_hides_a_warning(window, workspace, type_in):
    window.toggle_table()
    count = window.table._count
    assert "hidden" not in count.text()
    hidden = [row for row in workspace.projection.warnings if row.severity != "note" and row.aircraft != "QX-1"]
    assert hidden
    type_in(window.table.field, "qx-1")
    assert count.text() == f"1 shown, 2 hidden by the filter, and with them {len(hidden)} open warnings"
    # The sentences are not filtered: their count stands as before.
    open_ones = sum(row.severity != "note" for row in workspace.projection.warnings)
    assert window.panel.what_to_do._count.text() == f"{open_ones} open"


def test_cards_that_are_not_shown_are_counted(window, workspace):
    from legtide.view.panels.what_to_do import AT_ONCE

    section = window.panel.what_to_do.watch
    rows = tuple(workspace.projection.warnings) * (AT_ONCE + 1)
    section.fill(rows, first=False, editable=True)
    assert section._heading.text().endswith(str(len(rows)))
    assert section._more.isVisible()
    assert section._more.text() == f"Show all {len(rows)}"
