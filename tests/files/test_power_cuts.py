"""Every state in which a power cut can leave the disk during a save: the file is the old or the new version.

The saver's calls are recorded and played against a model of a disk that promises no more than POSIX does: data is on
the disk for sure after fsync of its file, a changed name after fsync of its folder; before that any part of the data
and any of the changes may or may not have arrived. Without fsync, as a control, the model must find it wanting.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from legtide.files import atomic
from legtide.files.atomic import replace_file

OLD, NEW = b"the old version", b"the new and longer version"


@dataclass(frozen=True)
class Call:
    """One call that changes what is on the disk."""

    name: str
    data: bytes = b""
    on_folder: bool = False


class Recorder(SimpleNamespace):
    """The operating system as the saver sees it; calls that matter to a disk are kept."""

    def __init__(self) -> None:
        super().__init__()
        self.calls: list[Call] = []
        self._folders: set[int] = set()

    def __getattr__(self, name: str) -> Any:
        return getattr(os, name)

    def open(self, path: Any, flags: int, mode: int = 0o777) -> int:
        handle = os.open(path, flags, mode)
        if Path(path).is_dir():
            self._folders.add(handle)
        else:
            self.calls.append(Call("create"))
        return handle

    def write(self, handle: int, data: Any) -> int:
        # In pieces, so that cuts between two writes are seen too.
        count = os.write(handle, data[:10])
        self.calls.append(Call("write", bytes(data[:count])))
        return count

    def fsync(self, handle: int) -> None:
        os.fsync(handle)
        self.calls.append(Call("fsync", on_folder=handle in self._folders))

    def replace(self, source: Any, target: Any) -> None:
        os.replace(source, target)  # noqa: PTH105 - stands in for the module
        self.calls.append(Call("replace"))


@dataclass(frozen=True)
class Disk:
    """What is sure to be on the disk, and what may be."""

    data: bytes = b""
    """All data given to the temporary file."""
    sure: int = 0
    """Bytes of it that are on the disk for sure."""
    replaced: bool = False
    replaced_for_sure: bool = False
    history: tuple[str, ...] = field(default=())

    def after(self, call: Call) -> Disk:
        disk = replace(self, history=(*self.history, call.name))
        if call.name == "write":
            return replace(disk, data=disk.data + call.data)
        if call.name == "replace":
            return replace(disk, replaced=True)
        if call.name == "fsync" and call.on_folder:
            return replace(disk, replaced_for_sure=disk.replaced)
        if call.name == "fsync":
            return replace(disk, sure=len(disk.data))
        return disk

    def targets(self) -> Iterator[bytes]:
        """Every content that the target may have after a power cut now."""
        if not self.replaced_for_sure:
            yield OLD
        if self.replaced:
            for arrived in range(self.sure, len(self.data) + 1):
                yield self.data[:arrived]
                # Room was given to the file, but its data has not arrived.
                yield self.data[:arrived] + bytes(len(self.data) - arrived)


def states(calls: list[Call]) -> set[bytes]:
    disk = Disk()
    found = set(disk.targets())
    for call in calls:
        disk = disk.after(call)
        found |= set(disk.targets())
    return found


@pytest.fixture
def recorded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[Call]:
    """The calls of one save."""
    target = tmp_path / "a.day.json"
    target.write_bytes(OLD)
    recorder = Recorder()
    monkeypatch.setattr(atomic, "os", recorder)
    replace_file(target, NEW)
    assert target.read_bytes() == NEW
    return recorder.calls


def test_a_power_cut_at_any_moment_leaves_the_old_or_the_new_version(recorded: list[Call]) -> None:
    assert [call.name for call in recorded] == ["create", "write", "write", "write", "fsync", "replace", "fsync"]
    assert states(recorded) == {OLD, NEW}


def test_a_save_that_has_ended_is_on_the_disk(recorded: list[Call]) -> None:
    disk = Disk()
    for call in recorded:
        disk = disk.after(call)
    assert set(disk.targets()) == {NEW}


@pytest.mark.parametrize("left_out", [4, 6])
def test_without_either_flush_the_promise_would_not_hold(recorded: list[Call], left_out: int) -> None:
    """The control: without the first the file may be half there, without the second the save may be lost."""
    assert recorded[left_out].name == "fsync"
    calls = recorded[:left_out] + recorded[left_out + 1 :]
    if left_out == 4:
        assert not states(calls) <= {OLD, NEW}
        return
    disk = Disk()
    for call in calls:
        disk = disk.after(call)
    assert set(disk.targets()) == {OLD, NEW}
