"""The wall view: it shows the file, cannot change it, and follows it."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton
from shiboken6 import isValid

from legtide.day.edits import retitled
from legtide.files.locks import holder_of
from legtide.view.calls import calls
from legtide.view.wall import WallView
from support.boards import board_day


@pytest.fixture
def path(workspace, tmp_path):
    made = tmp_path / "wall.day.json"
    workspace.save_as(made)
    return made


@pytest.fixture
def wall(window, path, qtbot):
    window.registry.run("view.wall")
    found = window.findChild(WallView)
    assert found is not None
    yield found
    if isValid(found):
        found.close()


def test_a_day_without_a_file_has_no_wall_view(window):
    assert not window.registry["view.wall"].isEnabled()


def test_it_fills_the_screen_and_shows_the_day(wall):
    assert wall.isFullScreen()
    assert wall.title.text() == "Practice"
    assert wall.clock.text().endswith(" UTC")
    assert [row.registration for row in wall.board.model.content.rows] == ["QX-0", "QX-1", "QX-2"]


def test_the_next_calls_leave_out_what_should_have_begun(wall):
    wall._tick.stop()
    every = calls(wall.workspace.day, wall.workspace.projection)
    wall.workspace.set_now(every[0].by - timedelta(minutes=5))
    wall.refresh()
    assert wall.call_texts()[0].endswith(every[0].text)
    wall.workspace.set_now(max(row.start or row.by for row in every) + timedelta(minutes=1))
    wall.refresh()
    assert wall.call_texts() == ["Nobody is to be called."]


@pytest.mark.parametrize(("height", "style"), [(1080, "normal"), (700, "dense")])
def test_all_rows_fit_since_nobody_scrolls_on_a_wall(wall, qtbot, height, style):
    wall.showNormal()
    wall.workspace.new(board_day(10))
    wall.resize(1400, height)
    model = wall.board.model
    qtbot.waitUntil(lambda: wall.height() == height and model.layout.stack.boxes[0].frame.style == style)
    assert model.layout.stack.height <= model.layout.rows_px


def test_there_is_nothing_to_edit(wall, qtbot):
    assert wall.workspace.read_only
    assert [one for one in wall.findChildren(QAbstractButton) if one.isVisible()] == []
    day = wall.workspace.day
    marker = wall.board.model.content.rows[0].markers[0]
    wall.workspace.select(service=marker.service.id)
    qtbot.keyClick(wall.board, Qt.Key.Key_Delete)
    assert wall.board.mover.begin(marker.service.id) is None
    assert wall.workspace.day is day


def test_it_follows_the_file_and_does_not_hold_it(wall, workspace, path, qtbot):
    workspace.apply(retitled(workspace.day, "Practice, second edition"), "retitle")
    assert wall.title.text() == "Practice"
    workspace.save()
    wall.watch.look()
    assert wall.title.text() == "Practice, second edition"
    assert not workspace.read_only
    assert holder_of(path) is not None


def test_a_save_is_noticed_without_being_asked(wall, workspace, qtbot):
    workspace.apply(retitled(workspace.day, "Noticed"), "retitle")
    workspace.save()
    qtbot.waitUntil(lambda: wall.title.text() == "Noticed", timeout=10_000)


def test_a_file_that_cannot_be_read_leaves_the_old_day_standing(wall, path):
    whole = path.read_bytes()
    path.write_bytes(b"{")
    wall.watch.look()
    assert wall.title.text() == "Practice"
    assert wall.banner.text.startswith("The file cannot be read now: ")
    path.write_bytes(whole)
    wall.watch.look()
    wall.tick()
    assert wall.banner.text == ""


def test_closed_it_leaves_the_file_with_its_editor(wall, workspace, path, qtbot):
    qtbot.keyClick(wall, Qt.Key.Key_Escape)
    assert not wall.isVisible()
    workspace.apply(retitled(workspace.day, "Later"), "retitle")
    workspace.save()


def test_a_file_that_is_gone_is_a_sentence(window, path, answer):
    path.unlink()
    window.registry.run("view.wall")
    assert window.findChild(WallView) is None
    answer("Close")


def test_saved_under_another_name_the_wall_shows_that_file(wall, window, workspace, tmp_path):
    other = tmp_path / "other.day.json"
    workspace.save_as(other)
    window.registry.run("view.wall")
    shown = [one for one in window.findChildren(WallView) if one.isVisible()]
    assert [one.workspace.path for one in shown] == [other]
    shown[0].close()
