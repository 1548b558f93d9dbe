"""The lock beside an open file: who has it, stale ones recognised, and one holder at a time."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from legtide.files import locks
from legtide.files.locks import HeldError, Holder, acquire, holder_of, lock_file
from legtide.files.processes import alive, host_token, started


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "a.day.json"
    made.write_bytes(b"{}")
    return made


def write_lock(path: Path, **changes: object) -> None:
    row = {"user": "ann", "host": "desk", "machine": host_token(), "pid": os.getpid()}
    row |= {"started": started(os.getpid()), "since": "2031-03-05 06:00Z", "token": "t"}
    lock_file(path).write_text(json.dumps({**row, **changes}))


def test_a_lock_is_taken_and_given_back(path: Path) -> None:
    lock = acquire(path)
    assert lock.is_ours()
    holder = holder_of(path)
    assert holder is not None
    assert holder.pid == os.getpid()
    lock.release()
    assert holder_of(path) is None
    assert [entry.name for entry in path.parent.iterdir()] == [path.name]


def test_a_second_one_is_told_who_has_it(path: Path) -> None:
    write_lock(path)
    with pytest.raises(HeldError) as caught:
        acquire(path)
    assert str(caught.value) == (f"a.day.json is open: ann on desk since 2031-03-05 06:00Z (process {os.getpid()})")


def test_names_in_a_lock_are_only_text(path: Path) -> None:
    write_lock(path, user="\x1b[31m<b>")
    with pytest.raises(HeldError, match=r"\\x1b\[31m<b> on desk"):
        acquire(path)


@pytest.mark.parametrize(
    "changes",
    [{"pid": 2**22 + 5}, {"pid": -1}, {"pid": 0}, {"started": "1"}],
    ids=["process gone", "no process", "process zero", "number used again"],
)
def test_a_stale_lock_is_taken_over(path: Path, changes: dict[str, object]) -> None:
    if "started" in changes and not started(os.getpid()):
        pytest.skip("this system does not say when a process started")
    write_lock(path, **changes)
    assert holder_of(path) is None
    assert acquire(path).is_ours()


def test_a_lock_of_another_machine_is_never_taken_for_stale(path: Path) -> None:
    write_lock(path, machine="00000000", pid=2**22 + 5)
    with pytest.raises(HeldError):
        acquire(path)
    lock = acquire(path, by_force=True)
    assert lock.is_ours()


@pytest.mark.parametrize("text", ["", "{}", "[]", "\x00\xff", '{"pid": "x"}', "[" * 3000, '{"pid": 1e999}'])
def test_a_lock_that_cannot_be_read_is_held_by_somebody(path: Path, text: str) -> None:
    lock_file(path).write_text(text, encoding="latin-1")
    with pytest.raises(HeldError, match="somebody whose lock file cannot be read"):
        acquire(path)
    assert acquire(path, by_force=True).is_ours()


def test_a_lock_that_was_taken_by_force_is_not_given_back_by_the_first(path: Path) -> None:
    first = acquire(path)
    second = acquire(path, by_force=True)
    assert not first.is_ours()
    first.release()
    assert second.is_ours()


def test_the_longest_name_has_a_lock(tmp_path: Path) -> None:
    lock = acquire(tmp_path / ("x" * 255))
    assert lock.is_ours()


def test_a_link_and_its_file_have_one_lock(path: Path) -> None:
    link = path.with_name("link")
    link.symlink_to(path)
    lock = acquire(link)
    with pytest.raises(HeldError):
        acquire(path)
    lock.release()


def test_without_hard_links_it_works_too(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object) -> None:
        raise PermissionError

    monkeypatch.setattr(locks.os, "link", refused)
    lock = acquire(path)
    assert lock.is_ours()
    with pytest.raises(HeldError):
        acquire(path)
    lock.release()


def test_a_fresh_lock_is_not_taken_away_with_a_stale_one(path: Path) -> None:
    """Two see the same stale lock: the slower one finds the fresh lock of the faster one and puts it back."""
    write_lock(path, pid=2**22 + 5)
    stale = lock_file(path).read_bytes()
    faster = acquire(path)
    locks._take_away(lock_file(path), stale)
    assert faster.is_ours()


def test_a_folder_that_takes_no_file_is_an_error_of_the_system(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="No such file"):
        acquire(tmp_path / "none" / "a.day.json")


RACE = """
import sys
from pathlib import Path
from legtide.files.locks import HeldError, acquire
path, counter, turns = Path(sys.argv[1]), Path(sys.argv[2]), 0
print("ready", flush=True)
sys.stdin.readline()
while turns < 60:
    try:
        lock = acquire(path)
    except HeldError:
        continue
    value = int(counter.read_text())
    counter.write_text(str(value + 1))
    lock.release()
    turns += 1
"""


def test_two_processes_never_hold_one_lock(path: Path, tmp_path: Path) -> None:
    """Each adds 60 to a counter, reading and writing it under the lock; a lost update would show."""
    counter = tmp_path / "counter"
    counter.write_text("0")
    command = [sys.executable, "-c", RACE, str(path), str(counter)]
    racers = [subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    for racer in racers:
        assert racer.stdout is not None
        assert racer.stdout.readline() == "ready\n"
    for racer in racers:
        racer.communicate("go\n")
        assert racer.returncode == 0
    assert counter.read_text() == "120"


def test_a_process_that_waits_to_be_collected_is_gone() -> None:
    child = subprocess.Popen([sys.executable, "-c", ""], stdout=subprocess.PIPE)
    assert child.stdout is not None
    child.stdout.read()
    while alive(child.pid):
        pass
    child.wait()
    child.stdout.close()
    assert not alive(child.pid)
    assert alive(os.getpid())
    assert not Holder("a", "b", host_token(), os.getpid(), started(os.getpid()), "", "").gone
