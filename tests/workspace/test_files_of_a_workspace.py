"""The file of a workspace: opened, saved, held, and never written over unseen."""

from __future__ import annotations

import pytest

from legtide.day import edits
from legtide.files import locks
from legtide.workspace.storage import ChangedOutsideError, NoPathError, ReadOnlyError, StorageError
from legtide.workspace.watch import FileWatch
from legtide.workspace.workspace import Workspace

FIRST = "s-QX-AAA"


@pytest.fixture
def path(tmp_path, monkeypatch):
    monkeypatch.setenv("LEGTIDE_STATE_DIR", str(tmp_path / "state"))
    folder = tmp_path / "days"
    folder.mkdir()
    return folder / "one.day.json"


@pytest.fixture
def second(qapp, day, projector):
    """Another window's workspace, as of another process."""
    return Workspace(day, project=projector)


def skip(workspace):
    return workspace.apply(edits.set_service_state(workspace.day, FIRST, "skipped"), "Skip")


def test_a_day_without_a_file_asks_for_a_name(workspace):
    with pytest.raises(NoPathError):
        workspace.save()


def test_saved_and_opened_again_it_is_the_same_day(workspace, path, heard):
    told = heard(workspace.document_changed)
    skip(workspace)
    assert workspace.dirty
    workspace.save_as(path)
    assert not workspace.dirty
    assert workspace.path == path
    assert told
    day = workspace.day
    workspace.new(day.model_copy(update={"title": "other"}))
    workspace.open(path)
    assert workspace.day == day
    assert not workspace.dirty


def test_undo_back_to_what_was_saved_is_clean(workspace, path):
    workspace.save_as(path)
    skip(workspace)
    assert workspace.dirty
    workspace.undo()
    assert not workspace.dirty


def test_opening_forgets_the_steps_and_the_baseline_of_the_day_before(workspace, path):
    workspace.save_as(path)
    skip(workspace)
    workspace.keep_baseline()
    workspace.open(path)
    assert not workspace.undo_stack.canUndo()
    assert workspace.baseline is None


def test_a_file_that_cannot_be_opened_leaves_the_day_as_it_was(workspace, path):
    workspace.save_as(path)
    skip(workspace)
    day = workspace.day
    bad = path.with_name("bad.day.json")
    bad.write_text('{"format": "legtide-day", "version": 1}')
    with pytest.raises(StorageError, match="date"):
        workspace.open(bad)
    assert workspace.day is day
    assert workspace.path == path
    assert workspace.dirty


def test_a_second_window_reads_only_and_says_who_has_it(workspace, second, path):
    workspace.save_as(path)
    second.open(path)
    assert second.read_only
    assert "one.day.json is open" in second.read_only_because
    assert not skip(second)
    second.begin_stroke("Move")
    assert not second.in_stroke
    with pytest.raises(ReadOnlyError):
        second.save()
    workspace.close()
    second.reload()
    assert not second.read_only


def test_a_copy_of_a_read_only_day_can_be_edited(workspace, second, path):
    workspace.save_as(path)
    second.open(path)
    second.work_on_copy()
    assert skip(second)
    assert second.path is None
    assert second.dirty
    second.save_as(path.with_name("mine.day.json"))
    assert not second.dirty
    assert locks.holder_of(path) is not None


def test_a_window_gives_its_lock_back(workspace, path):
    workspace.save_as(path)
    assert locks.holder_of(path) is not None
    workspace.save_as(path.with_name("two.day.json"))
    assert locks.holder_of(path) is None
    workspace.close()
    assert [row.name for row in path.parent.iterdir() if row.suffix == ".lock"] == []


def test_a_file_written_by_somebody_else_is_not_written_over(workspace, path):
    workspace.save_as(path)
    theirs = path.read_bytes().replace(b"Two rows", b"Theirs!!")
    path.write_bytes(theirs)
    skip(workspace)
    assert workspace.changed_outside()
    with pytest.raises(ChangedOutsideError):
        workspace.save()
    assert path.read_bytes() == theirs
    assert workspace.dirty


def test_a_folder_that_is_gone_is_told_and_the_day_stays_unsaved(workspace, path):
    skip(workspace)
    with pytest.raises(StorageError, match="could not be written"):
        workspace.save_as(path.parent / "nowhere" / "x.day.json")
    assert workspace.path is None
    assert workspace.dirty


def test_a_checksum_that_does_not_match_is_noted(workspace, path):
    workspace.save_as(path)
    path.write_bytes(
        path.read_bytes()
        .replace(b'"passengers": 150', b'"passengers": 151', 1)
        .replace(b'"passengers":150', b'"passengers":151', 1)
    )
    workspace.open(path)
    assert "checksum" in workspace.note
    workspace.save()
    workspace.open(path)
    assert workspace.note == ""


def test_the_watch_tells_of_another_version_once_and_not_of_our_own(workspace, path, qtbot, heard):
    workspace.save_as(path)
    watch = FileWatch(workspace)
    told = heard(watch.changed_outside)
    skip(workspace)
    workspace.save()
    qtbot.wait(400)
    assert told == []
    with qtbot.waitSignal(watch.changed_outside, timeout=5000):
        path.write_bytes(path.read_bytes() + b"\n")
    watch.look()
    assert len(told) == 1
