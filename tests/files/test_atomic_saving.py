"""A save at every kind of failure: the file is the old one or the new one, whole, and nothing is left over."""

from __future__ import annotations

import contextlib
import errno
import itertools
import os
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from legtide.day.edits import retitled
from legtide.files import atomic
from legtide.files.atomic import SaveError, replace_file, sweep
from legtide.files.day_file import load, save
from legtide.files.processes import host_token
from support.full_day import full_day

OLD, NEW = b"old " * 500, b"new " * 700
STEPS = ("stat", "access", "open", "write", "fchmod", "fsync", "close", "replace")
"""Every system call of a save up to the moment at which the new file is in place."""


class FaultyOs(SimpleNamespace):
    """The operating system as the saver sees it, in which the n-th call of a name goes wrong."""

    def __init__(
        self, name: str = "", nth: int = 1, error: int = 0, short: Callable[[int], int] | None = None
    ) -> None:
        super().__init__()
        self._name, self._nth, self._error, self._short = name, nth, error, short
        self.calls: list[str] = []

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)
        if not callable(real) or name in ("getpid", "scandir"):
            return real

        def call(*args: Any, **options: Any) -> Any:
            self.calls.append(name)
            if name == self._name and self.calls.count(name) == self._nth:
                raise OSError(self._error, os.strerror(self._error))
            if name == "write" and self._short is not None:
                return real(args[0], args[1][: self._short(len(args[1]))])
            return real(*args, **options)

        return call


@pytest.fixture
def target(tmp_path: Path) -> Path:
    path = tmp_path / "a.day.json"
    path.write_bytes(OLD)
    return path


def left_over(path: Path) -> list[str]:
    return [entry.name for entry in path.parent.iterdir() if entry.name != path.name]


@pytest.mark.parametrize("code", ["ENOSPC", "EIO", "EACCES", "EROFS", "EDQUOT", "ENAMETOOLONG", "EMFILE"])
@pytest.mark.parametrize("step", STEPS)
def test_an_error_at_any_step_keeps_the_old_file(
    target: Path, monkeypatch: pytest.MonkeyPatch, step: str, code: str
) -> None:
    number = getattr(errno, code)
    faulty = FaultyOs(step, 1, number)
    monkeypatch.setattr(atomic, "os", faulty)
    with pytest.raises(SaveError) as caught:
        replace_file(target, NEW)
    assert str(caught.value) == f"{target} could not be written: {os.strerror(number)}"
    assert target.read_bytes() == OLD
    assert left_over(target) == []
    assert step in faulty.calls


def test_the_steps_are_all_that_a_save_does(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Should the saver learn a new call, this list and the faults above have to learn it too."""
    seen = FaultyOs()
    monkeypatch.setattr(atomic, "os", seen)
    assert replace_file(target, NEW)
    assert [call for call in seen.calls if call not in ("fspath",)] == [*STEPS, "open", "fsync", "close"]


@pytest.mark.parametrize("size", [1, 7, 4096])
def test_short_writes_are_continued(target: Path, monkeypatch: pytest.MonkeyPatch, size: int) -> None:
    monkeypatch.setattr(atomic, "os", FaultyOs(short=lambda wanted: min(size, wanted)))
    replace_file(target, NEW)
    assert target.read_bytes() == NEW


def test_a_write_that_writes_nothing_is_an_error(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(atomic, "os", FaultyOs(short=lambda wanted: 0))
    with pytest.raises(SaveError, match="the system wrote nothing"):
        replace_file(target, NEW)
    assert target.read_bytes() == OLD
    assert left_over(target) == []


@pytest.mark.parametrize("room", range(0, len(NEW), 37))
def test_a_disk_that_fills_up_anywhere_keeps_the_old_file(
    target: Path, monkeypatch: pytest.MonkeyPatch, room: int
) -> None:
    """76 sizes: the write stops short, and the next one says that the disk is full."""
    faulty = FaultyOs("write", 2, errno.ENOSPC, lambda wanted: min(room, wanted) or 1)
    monkeypatch.setattr(atomic, "os", faulty)
    with pytest.raises(SaveError, match="No space left on device"):
        replace_file(target, NEW)
    assert target.read_bytes() == OLD
    assert left_over(target) == []


@pytest.mark.parametrize("step", ["open", "fsync", "close"])
def test_a_folder_that_cannot_be_flushed_is_reported_not_hidden(
    target: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    monkeypatch.setattr(atomic, "os", FaultyOs(step, 2, errno.EIO))
    assert replace_file(target, NEW) is (step == "close")
    assert target.read_bytes() == NEW
    assert left_over(target) == []


@pytest.mark.parametrize("interruption", [KeyboardInterrupt, MemoryError, SystemExit])
def test_an_interruption_leaves_nothing_behind(
    target: Path, monkeypatch: pytest.MonkeyPatch, interruption: type[BaseException]
) -> None:
    def interrupted(handle: int) -> None:
        raise interruption

    faulty = FaultyOs()
    faulty.fsync = interrupted
    monkeypatch.setattr(atomic, "os", faulty)
    with pytest.raises(interruption):
        replace_file(target, NEW)
    assert target.read_bytes() == OLD
    assert left_over(target) == []


def test_a_day_is_whole_after_every_failure(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.day.json"
    save(full_day(), path)
    for step, number in itertools.product(STEPS, [errno.ENOSPC, errno.EIO, errno.EACCES]):
        with monkeypatch.context() as patch:
            patch.setattr(atomic, "os", FaultyOs(step, 1, number))
            patch.setattr("legtide.files.backups.keep", lambda *_: "")
            with pytest.raises(SaveError):
                save(retitled(full_day(), "Another"), path)
        loaded = load(path)
        assert loaded.day == full_day()
        assert loaded.cautions == ()
    assert left_over(path) == []


# kinds of files and folders -------------------------------------------------------------------------------


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_mode_bits_stay(target: Path, mode: int) -> None:
    target.chmod(mode)
    replace_file(target, NEW)
    assert stat.S_IMODE(target.stat().st_mode) == mode


def test_a_new_file_gets_the_usual_mode(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        replace_file(tmp_path / "new", NEW)
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "new").stat().st_mode) == 0o640


def test_a_symbolic_link_stays_one(target: Path) -> None:
    link = target.with_name("link")
    link.symlink_to(target.name)
    replace_file(link, NEW)
    assert link.is_symlink()
    assert target.read_bytes() == NEW


def test_a_link_that_leads_nowhere_makes_the_file_it_names(tmp_path: Path) -> None:
    link = tmp_path / "link"
    link.symlink_to("missing")
    replace_file(link, NEW)
    assert (tmp_path / "missing").read_bytes() == NEW


def words(path: Path) -> str:
    with pytest.raises(SaveError) as caught:
        replace_file(path, NEW)
    return caught.value.reason


def test_what_is_no_regular_file_is_never_replaced(tmp_path: Path) -> None:
    assert words(tmp_path) == "it is a folder"
    assert words(Path(os.devnull)) == "it is not a regular file"
    os.mkfifo(tmp_path / "pipe")
    assert words(tmp_path / "pipe") == "it is not a regular file"
    assert words(tmp_path / "none" / "a") == "No such file or directory"
    assert words(tmp_path / "pipe" / "a") == "Not a directory"
    assert words(Path("a\0b")) == "embedded null byte"
    (tmp_path / "one").symlink_to("two")
    (tmp_path / "two").symlink_to("one")
    assert words(tmp_path / "one") == "Too many levels of symbolic links"


def test_the_longest_name_can_be_saved_and_a_longer_one_is_refused(tmp_path: Path) -> None:
    replace_file(tmp_path / ("x" * 255), NEW)
    assert words(tmp_path / ("x" * 256)) == "File name too long"
    assert [entry.name for entry in tmp_path.iterdir()] == ["x" * 255]


@contextlib.contextmanager
def not_root() -> Iterator[None]:
    """Nothing is read-only to root: for a while this process is user 65534 (nobody)."""
    if os.geteuid() != 0:
        yield
        return
    os.setresgid(65534, 65534, 0)
    os.setresuid(65534, 65534, 0)
    try:
        yield
    finally:
        os.setresuid(0, 0, 0)
        os.setresgid(0, 0, 0)


@pytest.mark.skipif(not hasattr(os, "setresuid"), reason="needs a system on which root can step down")
@pytest.mark.parametrize("what", ["folder", "file"])
def test_what_is_read_only_is_left_alone(what: str) -> None:
    # The test runner's own folders are closed to other users.
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = folder / "a.day.json"
        path.write_bytes(OLD)
        path.chmod(0o444 if what == "file" else 0o666)
        folder.chmod(0o555 if what == "folder" else 0o777)
        with not_root():
            assert words(path) == ("Permission denied" if what == "folder" else "the file is read-only")
        assert path.read_bytes() == OLD
        assert left_over(path) == []
        folder.chmod(0o777)


# leftovers ------------------------------------------------------------------------------------------------


def leftover(folder: Path, host: str, pid: int) -> Path:
    path = folder / f".legtide-{host}-{pid}-0123abcd.tmp"
    path.write_bytes(b"half")
    return path


def test_leftovers_of_dead_processes_are_swept_on_load(tmp_path: Path) -> None:
    path = tmp_path / "a.day.json"
    save(full_day(), path)
    dead = leftover(tmp_path, host_token(), 2**22 + 5)
    alive = leftover(tmp_path, host_token(), os.getpid())
    elsewhere = leftover(tmp_path, "00000000", 2**22 + 5)
    other = tmp_path / ".legtide-notes.tmp"
    other.write_bytes(b"mine")
    load(path)
    assert not dead.exists()
    assert alive.exists()
    assert elsewhere.exists()
    assert other.exists()


def test_a_leftover_a_day_old_is_swept_whoever_has_its_number_now(tmp_path: Path) -> None:
    alive = leftover(tmp_path, host_token(), os.getpid())
    os.utime(alive, (0, 0))
    assert sweep(tmp_path) == 1
    assert not alive.exists()
    assert sweep(tmp_path / "none") == 0


def test_the_temporary_file_has_the_name_that_is_swept(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Stop(BaseException):
        pass

    def stop(*_: object) -> None:
        raise Stop

    faulty = FaultyOs()
    faulty.replace = stop
    faulty.unlink = lambda path: None
    with monkeypatch.context() as patch:
        patch.setattr(atomic, "os", faulty)
        with pytest.raises(Stop):
            replace_file(target, NEW)
    (name,) = left_over(target)
    assert name.startswith(f".legtide-{host_token()}-{os.getpid()}-")
    os.utime(target.with_name(name), (0, 0))
    assert sweep(target.parent) == 1


def test_windows_waits_for_whoever_looks_at_the_old_file(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "win32")
    pauses: list[float] = []
    monkeypatch.setattr(atomic.time, "sleep", pauses.append)
    monkeypatch.setattr(atomic, "os", FaultyOs("replace", 1, errno.EACCES))
    assert replace_file(target, NEW)
    assert target.read_bytes() == NEW
    assert pauses == [0.05]
