"""Saving a day: whose version is replaced, and days that no file can hold."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from legtide.day.document import Day, Service
from legtide.day.edits import retitled
from legtide.files.atomic import SaveError
from legtide.files.day_file import ChangedOnDiskError, load, save, sha256_on_disk
from support.full_day import full_day


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "a.day.json"
    save(full_day(), made)
    return made


def test_saving_goes_on_while_nobody_else_writes(path: Path) -> None:
    opened = load(path).sha256
    for title in ("one", "two", "three"):
        opened = save(retitled(full_day(), title), path, opened=opened).sha256
    assert load(path).day.title == "three"


def test_a_version_of_somebody_else_is_never_overwritten_unseen(path: Path) -> None:
    opened = load(path).sha256
    save(retitled(full_day(), "theirs"), path)
    with pytest.raises(ChangedOnDiskError) as caught:
        save(retitled(full_day(), "mine"), path, opened=opened)
    assert str(caught.value) == f"{path} could not be written: somebody else has changed it since it was opened"
    assert load(path).day.title == "theirs"
    copy = path.with_name("copy.day.json")
    save(retitled(full_day(), "mine"), copy)
    assert (load(copy).day.title, load(path).day.title) == ("mine", "theirs"), "both are kept"


def test_what_somebody_else_wrote_is_in_the_backups_after_an_overwrite(path: Path) -> None:
    from legtide.files.backups import versions

    save(retitled(full_day(), "theirs"), path)
    save(retitled(full_day(), "mine"), path)
    assert b"theirs" in versions(path)[-1].path.read_bytes()


def test_a_file_that_is_gone_is_written_again(path: Path) -> None:
    opened = load(path).sha256
    path.unlink()
    save(full_day(), path, opened=opened)
    assert load(path).day == full_day()


def test_a_day_with_a_problem_is_not_written(path: Path) -> None:
    """It could not be opened again; the message says what to mend, and the file stays as it was."""
    lost = Service(id="lost", aircraft="QX-AAA", turn=9, tank="fresh")
    day = full_day().model_copy(update={"services": (lost,)})
    before = path.read_bytes()
    with pytest.raises(SaveError) as caught:
        save(day, path)
    assert caught.value.reason == (
        'the day could not be opened again: services[0].turn: turn 9 does not exist: "QX-AAA" flies 3 legs, so that '
        "its last turn is 3"
    )
    assert path.read_bytes() == before


def test_services_without_a_name_get_one_in_the_file(path: Path) -> None:
    services = tuple(row.model_copy(update={"id": ""}) for row in full_day().services)
    save(full_day().model_copy(update={"services": services}), path)
    assert [f'"id": "s{number}"'.encode() in path.read_bytes() for number in range(1, 6)] == [True] * 5


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"title": 5}, "the day holds something that a file cannot hold"),
        ({"title": "a\x00b"}, "the day could not be opened again: title: must not hold control characters"),
        ({"title": "\ud800"}, "the day holds something that a file cannot hold"),
        ({"legs": (full_day().legs[0].model_copy(update={"crew": float("nan")}),)}, "the day holds something"),
        ({"legs": (full_day().legs[0].model_copy(update={"crew": 10**30}),)}, "the day could not be opened again"),
        ({"title": "x" * 401}, "the day could not be opened again: title: must have at most 400 characters"),
    ],
)
def test_a_day_that_was_never_validated_is_not_written(path: Path, changes: dict[str, Any], reason: str) -> None:
    before = path.read_bytes()
    with pytest.raises(SaveError) as caught:
        save(full_day().model_copy(update=changes), path)
    assert caught.value.reason.startswith(reason)
    assert path.read_bytes() == before


def test_a_day_that_would_read_differently_is_not_written(path: Path) -> None:
    half = full_day().aircraft[0].model_copy(update={"inoperative": []})
    day = full_day().model_copy(update={"aircraft": (half, full_day().aircraft[1])})
    with pytest.raises(SaveError, match=r"the day (would read differently|holds something)"):
        save(day, path)
    assert load(path).day == full_day()


def test_what_is_no_regular_file_is_not_written(tmp_path: Path) -> None:
    with pytest.raises(SaveError, match="it is not a regular file"):
        save(full_day(), tmp_path)
    with pytest.raises(SaveError, match="it is not a regular file"):
        save(full_day(), Path("/dev/null"))
    with pytest.raises(SaveError, match="No such file or directory"):
        save(full_day(), tmp_path / "none" / "a.day.json")
    with pytest.raises(SaveError, match="File name too long"):
        save(full_day(), tmp_path / ("x" * 300))
    assert list(tmp_path.iterdir()) == []


WRITER = """
import sys
from pathlib import Path
from legtide.day.edits import retitled
from legtide.files.day_file import ChangedOnDiskError, load, save
path, name = Path(sys.argv[1]), sys.argv[2]
print("ready", flush=True)
sys.stdin.readline()
saved = refused = 0
while saved < 15:
    loaded = load(path)
    try:
        save(retitled(loaded.day, f"{name} {saved}"), path, opened=loaded.sha256)
    except ChangedOnDiskError:
        refused += 1
    else:
        saved += 1
print(saved)
"""


def test_two_processes_on_one_file_leave_it_whole(path: Path) -> None:
    """Without a lock: each load finds a whole version, and each save replaces one or says that it was changed."""
    command = [sys.executable, "-c", WRITER, str(path)]
    writers = [
        subprocess.Popen([*command, name], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        for name in ("ann", "bob")
    ]
    for writer in writers:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
    for writer in writers:
        assert writer.stdin is not None
        writer.stdin.write("go\n")
        writer.stdin.flush()
    for writer in writers:
        out, _ = writer.communicate()
        assert (writer.returncode, out) == (0, "15\n")
    loaded = load(path)
    assert loaded.cautions == ()
    assert loaded.day.title in ("ann 14", "bob 14")
    assert loaded.sha256 == sha256_on_disk(path)
    assert isinstance(loaded.day, Day)
