"""Opening, saving, dropping, importing and recovering in the window: nothing is lost, nothing written over unseen."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QFileDialog, QMessageBox, QPushButton

from legtide.app import offer_recovery, open_first
from legtide.day import edits
from legtide.files import day_file
from legtide.view.main_window import build_window
from legtide.view.preferences import Preferences
from legtide.workspace.autosave import SUFFIX, Autosave, Entry, packed
from legtide.workspace.faults import Faults
from legtide.workspace.workspace import Workspace

CSV = """registration,flight,from,to,std,sta,pax
QX-ONE,QX1,ABLE,BAKE,2026-05-14T06:00Z,2026-05-14T07:30Z,120
QX-ONE,QX2,BAKE,ABLE,2026-05-14T08:30Z,2026-05-14T10:00Z,130
QX-TWO,QX3,ABLE,BAKE,2026-05-14T06:00Z,2026-05-14T05:00Z,120
QX-TWO,<img src=/etc/hostname>,ABLE,BAKE,never,2026-05-14T09:00Z,120
"""


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "days"
    made.mkdir()
    return made


@pytest.fixture
def saved(workspace, folder):
    path = folder / "one.day.json"
    workspace.save_as(path)
    return path


def skip(workspace, key="s0"):
    workspace.apply(edits.set_service_state(workspace.day, key, "skipped"), "Skip")


def drop(window, path: Path):
    """Drops a file on the window; whether it was welcome."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    place = QPointF(400, 300)
    left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(place.toPoint(), Qt.DropAction.CopyAction, data, left, none)
    enter.ignore()
    window.dragEnterEvent(enter)
    if enter.isAccepted():
        window.dropEvent(QDropEvent(place, Qt.DropAction.CopyAction, data, left, none))
    return enter.isAccepted()


# open and save --------------------------------------------------------------------------------------------


def test_saving_a_new_day_asks_for_a_name_and_remembers_it(window, workspace, preferences, folder, qtbot, dialog):
    skip(workspace)
    window.registry["file.save"].trigger()
    files = dialog("saveFile")
    assert isinstance(files, QFileDialog)
    files.fileSelected.emit(str(folder / "mine"))
    files.close()
    assert workspace.path == folder / "mine.day.json"
    assert not workspace.dirty
    assert preferences.settings.recent == (str(folder / "mine.day.json"),)
    assert window.footer.message == "Saved mine.day.json"
    assert day_file.load(folder / "mine.day.json").day == workspace.day


def test_the_window_says_whether_the_day_is_saved(window, workspace, saved):
    assert not window.isWindowModified()
    assert window.top_bar.state_text() == "saved"
    skip(workspace)
    assert window.isWindowModified()
    assert window.top_bar._state.text() == "unsaved changes"
    window.registry["file.save"].trigger()
    assert not window.isWindowModified()


def test_opening_shows_the_day(window, workspace, saved, dialog):
    workspace.new(workspace.day.model_copy(update={"title": "Another"}))
    assert window.windowTitle().startswith("Another")
    window.registry["file.open"].trigger()
    files = dialog("openFile")
    files.fileSelected.emit(str(saved))
    files.close()
    assert window.windowTitle().startswith("Practice")
    assert window.top_bar._title.text() == "Practice"


@pytest.mark.parametrize(
    ("words", "opened", "kept"), [("Discard", True, False), ("Cancel", False, True), ("Save", True, False)]
)
def test_unsaved_changes_are_asked_about_before_another_day_is_opened(
    window, workspace, saved, answer, words, opened, kept
):
    other = saved.with_name("two.day.json")
    other.write_bytes(saved.read_bytes())
    before = saved.read_bytes()
    skip(workspace)
    window.opening.open(other)
    answer(words)
    assert (workspace.path == other) is opened
    assert workspace.dirty is kept
    assert (saved.read_bytes() != before) is (words == "Save")


@pytest.mark.parametrize(("words", "closed"), [("Discard", True), ("Cancel", False), ("Save", True)])
def test_unsaved_changes_are_asked_about_before_the_window_closes(window, workspace, saved, answer, words, closed):
    skip(workspace)
    window.close()
    assert window.isVisible()
    answer(words)
    assert window.isVisible() is not closed
    if words == "Save":
        assert day_file.load(saved).day.services[0].state == "skipped"


def test_closing_remembers_the_window_and_gives_the_file_free(window, workspace, preferences, saved):
    window.close()
    assert preferences.settings.geometry
    assert not [row for row in saved.parent.iterdir() if row.suffix == ".lock"]
    again = Preferences(preferences._path)
    assert again.settings == preferences.settings


def test_a_file_that_cannot_be_opened_is_explained_and_forgotten(window, workspace, preferences, folder, dialog):
    bad = folder / "bad.day.json"
    bad.write_text('{"format": "legtide-day", "version": 1, "date": "2026-05-14", "legs": [{}]}')
    preferences.put(recent=(str(bad),))
    day = workspace.day
    window.opening.open(bad)
    box = dialog("question")
    assert "bad.day.json" in box.text()
    assert "legs[0]" in box.informativeText()
    assert workspace.day is day
    assert preferences.settings.recent == ()


def test_the_recent_days_are_offered(window, workspace, saved, preferences, qtbot, dialog):
    window.opening.open_now(saved)
    workspace.new(workspace.day.model_copy(update={"title": "Another"}))
    window.registry["file.recent"].trigger()
    chooser = dialog("chooser")
    qtbot.keyClick(chooser.field, Qt.Key.Key_Return)
    assert workspace.path == saved


def test_a_save_that_fails_says_so_and_offers_another_place(window, workspace, saved, dialog, monkeypatch):
    from legtide.files import atomic

    def full(*_args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic.os, "fsync", full)
    skip(workspace)
    window.registry["file.save"].trigger()
    box = dialog("question")
    assert "No space left on device" in box.informativeText()
    assert {button.text() for button in box.findChildren(QPushButton)} >= {"Save a copy elsewhere…", "Cancel"}
    assert workspace.dirty
    monkeypatch.undo()
    assert day_file.load(saved).day.services[0].state == "planned"


def test_a_file_saved_by_somebody_else_is_not_written_over(window, workspace, saved, answer, qtbot):
    theirs = saved.read_bytes().replace(b"Practice", b"Theirs!!")
    saved.write_bytes(theirs)
    skip(workspace)
    window.registry["file.save"].trigger()
    answer("Cancel")
    assert saved.read_bytes() == theirs
    assert workspace.dirty
    window.registry["file.save"].trigger()
    answer("Reload theirs")
    assert workspace.day.title == "Theirs!!"
    assert not workspace.dirty


def test_a_save_by_somebody_else_is_told_at_once(window, workspace, saved, qtbot):
    saved.write_bytes(saved.read_bytes() + b"\n")
    qtbot.waitUntil(lambda: "saved by somebody else" in window.banner.text)


def test_a_second_window_reads_only_follows_and_can_work_on_a_copy(window, workspace, saved, qtbot, click):
    second = build_window(Workspace(workspace.day), Preferences())
    qtbot.addWidget(second)
    second.show()
    second.workspace.open(saved)
    assert "one.day.json is open" in second.banner.text
    assert second.top_bar.state_text() == "read only"
    assert not second.registry["file.save"].isEnabled()
    second.workspace.select(service="s0")
    assert not second.registry["service.skip"].isEnabled()
    assert not any(card.fix.isEnabled() for card in second.panel.what_to_do.act.cards)
    skip(workspace)
    workspace.save()
    qtbot.waitUntil(lambda: second.workspace.day.services[0].state == "skipped")
    button = next(one for one in second.banner.findChildren(QPushButton) if one.text() == "Work on a copy")
    click(button)
    assert not second.workspace.read_only
    assert second.banner.isHidden()
    second.registry["service.planned"].trigger()
    assert second.workspace.day.services[0].state == "planned"
    assert workspace.day.services[0].state == "skipped"
    second.forget_changes()


def test_a_file_changed_outside_opens_with_a_caution(window, workspace, saved):
    saved.write_bytes(saved.read_bytes().replace(b"Practice", b"practice"))
    window.opening.open_now(saved)
    assert "checksum" in window.banner.text


def test_demo_days_open_as_a_copy(window, workspace, saved, monkeypatch, qtbot, dialog):
    monkeypatch.setattr("legtide.view.opening.demo_days", lambda: saved.parent)
    workspace.new(workspace.day.model_copy(update={"title": "Another"}))
    window.registry["file.demo"].trigger()
    qtbot.keyClick(dialog("chooser").field, Qt.Key.Key_Return)
    assert workspace.day.title == "Practice"
    assert workspace.path is None
    assert not workspace.dirty


def test_the_first_day_is_the_one_asked_for_or_a_demo(workspace, saved, monkeypatch):
    other = Workspace(workspace.day.model_copy(update={"title": "Another"}))
    monkeypatch.setattr("legtide.app.demo_days", lambda: saved.parent)
    open_first(other, None)
    assert (other.day.title, other.path) == ("Practice", None)
    workspace.close()
    open_first(other, saved)
    assert other.path == saved
    other.close()


# dropping and importing -----------------------------------------------------------------------------------


def test_a_dropped_day_is_opened(window, workspace, saved):
    workspace.new(workspace.day.model_copy(update={"title": "Another"}))
    assert drop(window, saved)
    assert workspace.path == saved


def test_other_files_are_not_welcome(window, folder):
    assert not drop(window, folder / "picture.png")


@pytest.fixture
def schedule(folder):
    path = folder / "tomorrow.csv"
    path.write_text(CSV)
    return path


def test_a_dropped_schedule_is_shown_before_it_is_taken(window, workspace, schedule, qtbot, dialog, click):
    day = workspace.day
    assert drop(window, schedule)
    page = dialog("import")
    qtbot.waitUntil(lambda: page.imported is not None)
    assert workspace.day is day
    assert page.summary.text() == "2 legs of 1 aircraft on Thu 14 May 2026, 2 stations"
    lines = {row[0] for row in page.refused.rows}
    assert lines == {"4", "5"}
    assert page.tabs.tabText(0) == f"Rows not taken ({len(page.refused.rows)})"
    assert page.take.isEnabled()


def test_taking_a_schedule_is_one_step_and_never_writes_the_open_file(
    window, workspace, saved, schedule, qtbot, dialog, click
):
    before = saved.read_bytes()
    window.import_schedule(schedule)
    page = dialog("import")
    qtbot.waitUntil(lambda: page.imported is not None)
    click(page.take)
    assert [row.registration for row in workspace.day.aircraft] == ["QX-ONE"]
    assert workspace.path is None
    assert workspace.dirty
    assert workspace.undo_stack.count() == 1
    workspace.undo()
    assert workspace.day.title == "Practice"
    assert saved.read_bytes() == before


def test_a_schedule_that_is_left_changes_nothing(window, workspace, schedule, qtbot, dialog):
    day = workspace.day
    window.import_schedule(schedule)
    page = dialog("import")
    page.reject()
    qtbot.wait(150)
    assert workspace.day is day


def test_other_options_read_the_schedule_again(window, workspace, schedule, qtbot, dialog):
    window.import_schedule(schedule)
    page = dialog("import")
    qtbot.waitUntil(lambda: page.imported is not None)
    page.fit.setCurrentText("jet-70")
    qtbot.waitUntil(lambda: page.imported is not None and page.imported.day.fits[0].id == "jet-70")


@pytest.mark.parametrize("content", ["", "a,b\n1,2\n", "registration,flight,from,to,std,sta\n", '"'])
def test_a_schedule_that_cannot_be_taken_says_why(window, folder, qtbot, dialog, content):
    path = folder / "bad.csv"
    path.write_text(content)
    window.import_schedule(path)
    page = dialog("import")
    qtbot.waitUntil(lambda: page.summary.text() == "The schedule cannot be taken")
    assert not page.take.isEnabled()
    assert page.refused.rows or page.reason.text()


def test_a_schedule_that_is_gone_says_so(window, folder, qtbot, dialog):
    window.import_schedule(folder / "gone.csv")
    page = dialog("import")
    qtbot.waitUntil(lambda: "No such file" in page.reason.text())


# recovery and faults --------------------------------------------------------------------------------------


@pytest.fixture
def left_behind(workspace, saved, tmp_path, monkeypatch):
    """A journal of a process that is gone, with one skipped service."""
    journals = tmp_path / "journals"
    journals.mkdir()
    from legtide.files.processes import host_token
    from legtide.workspace import autosave

    monkeypatch.setattr(autosave, "still_running", lambda pid, start: False)
    changed = edits.set_service_state(workspace.day, "s0", "skipped")
    file = journals / f"{host_token()}-1-0{SUFFIX}"
    file.write_bytes(packed(Entry(changed, saved, day_file.sha256_on_disk(saved))))
    workspace.close()
    return file


@pytest.fixture
def keeper(window, workspace, left_behind):
    made = Autosave(workspace, left_behind.parent)
    yield made
    made.end()


def test_unsaved_work_is_offered_with_what_it_would_change(
    window, workspace, keeper, left_behind, saved, dialog, click
):
    before = saved.read_bytes()
    offer_recovery(window, keeper, left_behind.parent)
    page = dialog("recovery")
    assert [page.changes.item(n).text() for n in range(page.changes.count())] == [
        "Waste service of QX-0, turn 3: state planned → skipped"
    ]
    click(page.restore)
    assert workspace.path == saved
    assert workspace.dirty
    assert workspace.day.services[0].state == "skipped"
    assert saved.read_bytes() == before
    assert not left_behind.exists()
    assert len(list(left_behind.parent.glob(f"*{SUFFIX}"))) == 1
    workspace.undo()
    assert workspace.day.services[0].state == "planned"


def test_work_on_a_file_saved_since_is_restored_apart_from_it(
    window, workspace, keeper, left_behind, saved, dialog, click
):
    saved.write_bytes(saved.read_bytes() + b"\n")
    offer_recovery(window, keeper, left_behind.parent)
    page = dialog("recovery")
    assert "saved since" in page._where.text()
    click(page.restore)
    assert workspace.path is None
    assert workspace.dirty
    assert workspace.day.services[0].state == "skipped"


def test_unsaved_work_can_be_discarded_or_left_for_later(window, workspace, keeper, left_behind, dialog, click):
    offer_recovery(window, keeper, left_behind.parent)
    click(dialog("recovery").later)
    assert left_behind.exists()
    offer_recovery(window, keeper, left_behind.parent)
    click(dialog("recovery").discard)
    assert not left_behind.exists()
    offer_recovery(window, keeper, left_behind.parent)
    assert not workspace.dirty


def test_a_fault_is_told_once_in_a_sentence_and_logged(window, qtbot, caplog):
    faults = Faults(Path("/somewhere/legtide.log"))
    faults.reported.connect(window.show_fault)
    for _ in range(3):
        try:
            raise ZeroDivisionError("by nothing")
        except ZeroDivisionError as error:
            faults.handle(type(error), error, error.__traceback__)
    assert "by nothing" in window.banner.text
    assert "Traceback" not in window.banner.text
    assert caplog.text.count("Traceback") == 3
    caplog.clear()


def test_broken_settings_give_a_note_and_the_window_opens(workspace, tmp_path, qtbot, dialog):
    path = tmp_path / "settings.json"
    path.write_text("{broken")
    window = build_window(workspace, Preferences(path))
    qtbot.addWidget(window)
    window.show()
    box = dialog("question")
    assert isinstance(box, QMessageBox)
    assert "defaults" in box.informativeText()
    box.close()


def test_a_geometry_that_makes_no_sense_is_passed_over(workspace, tmp_path, qtbot):
    preferences = Preferences()
    preferences.put(geometry="AAAA")
    window = build_window(workspace, preferences)
    qtbot.addWidget(window)
    assert window.width() >= 1000
