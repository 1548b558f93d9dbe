"""The recovery journal: on disk within a second, gone after a clean close, offered after a crash and only then."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time

import pytest

from legtide.day import edits
from legtide.workspace.autosave import SUFFIX, Autosave, leftovers
from legtide.workspace.changes import described

FIRST = "s-QX-AAA"

# A window's worth of edits, one every few milliseconds; each is told on standard output once it is committed.
SESSION = """
import sys
from pathlib import Path
from PySide6.QtCore import QCoreApplication, QTimer
from legtide.day import edits
from legtide.engine.types import Projection
from legtide.files import day_file
from legtide.workspace.autosave import Autosave
from legtide.workspace.workspace import Workspace

application = QCoreApplication([])
workspace = Workspace(day_file.load(Path(sys.argv[1])).day, project=lambda day, before: Projection(day, {}, ()))
workspace.open(Path(sys.argv[1]))
autosave = Autosave(workspace, Path(sys.argv[2]))
number = 0
def edit():
    global number
    number += 1
    workspace.apply(edits.change_service(workspace.day, "s-QX-AAA", remark=str(number)), "Remark")
    print(number, flush=True)
timer = QTimer()
timer.setInterval(int(sys.argv[3]))
timer.timeout.connect(edit)
timer.start()
application.exec()
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("LEGTIDE_STATE_DIR", str(tmp_path / "state"))
    made = tmp_path / "journals"
    made.mkdir()
    return made


def nobody(pid: int, start: str) -> bool:
    return False


def edited(workspace, remark="typed"):
    workspace.apply(edits.change_service(workspace.day, FIRST, remark=remark), "Remark")


def test_an_edit_is_on_disk_within_a_second(workspace, folder, qtbot):
    autosave = Autosave(workspace, folder)
    edited(workspace)
    qtbot.waitUntil(lambda: bool(leftovers(folder, nobody)), timeout=1000)
    found = leftovers(folder, nobody)[0]
    assert found.day == workspace.day
    assert found.path is None
    autosave.end()


def test_a_running_window_is_no_leftover(workspace, folder):
    autosave = Autosave(workspace, folder)
    edited(workspace)
    autosave.flush()
    assert leftovers(folder) == []
    autosave.end()


def test_of_many_edits_the_last_is_kept(workspace, folder):
    autosave = Autosave(workspace, folder)
    for number in range(50):
        edited(workspace, str(number))
    autosave.flush()
    assert leftovers(folder, nobody)[0].day.services[0].remark == "49"
    autosave.end()


def test_saving_and_a_clean_close_leave_nothing(workspace, folder, tmp_path):
    autosave = Autosave(workspace, folder)
    edited(workspace)
    autosave.flush()
    assert list(folder.glob(f"*{SUFFIX}"))
    workspace.save_as(tmp_path / "one.day.json")
    autosave.flush()
    assert not list(folder.glob(f"*{SUFFIX}"))
    edited(workspace, "again")
    autosave.flush()
    autosave.end()
    assert not list(folder.iterdir())


def test_undo_back_to_what_is_saved_leaves_nothing(workspace, folder, tmp_path):
    workspace.save_as(tmp_path / "one.day.json")
    autosave = Autosave(workspace, folder)
    edited(workspace)
    autosave.flush()
    workspace.undo()
    autosave.flush()
    assert not list(folder.glob(f"*{SUFFIX}"))
    autosave.end()


@pytest.mark.parametrize(
    "content", [b"", b"{}", b"[1]\n{}", b"\xff\n", b"[" * 100_000, b'{"format": "legtide-journal"}\n{}']
)
def test_a_broken_journal_is_passed_over(folder, content):
    from legtide.files.processes import host_token

    (folder / f"{host_token()}-1-0{SUFFIX}").write_bytes(content)
    assert leftovers(folder, nobody) == []


def killed_session(path, folder, moment: float, pause_ms: int = 5) -> tuple[int, int]:
    """Edits in a child process, killed after some seconds; the last edit told and the last one recovered."""
    child = subprocess.Popen(
        [sys.executable, "-c", SESSION, str(path), str(folder), str(pause_ms)],
        stdout=subprocess.PIPE,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        text=True,
    )
    first = child.stdout.readline()
    time.sleep(moment)
    child.send_signal(signal.SIGKILL)
    told = [int(line) for line in (first + child.stdout.read()).split()]
    child.wait()
    child.stdout.close()
    found = leftovers(folder)
    recovered = int(found[0].day.services[0].remark) if found else 0
    for one in found:
        assert one.path == path
        one.journal.unlink()
    return told[-1], recovered


def check_kills(workspace, tmp_path, folder, count: int) -> None:
    path = tmp_path / "one.day.json"
    workspace.save_as(path)
    workspace.close()
    before = path.read_bytes()
    stream = random.Random("kills")
    for _ in range(count):
        told, recovered = killed_session(path, folder, stream.uniform(0.3, 1.4))
        # One edit every 5 ms: what is lost is less than the last second's.
        assert 0 <= told - recovered <= 200
        assert path.read_bytes() == before


def test_a_killed_window_loses_at_most_the_last_second(workspace, tmp_path, folder):
    check_kills(workspace, tmp_path, folder, 4)


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_two_hundred_killed_windows_lose_at_most_the_last_second(workspace, tmp_path, folder):
    check_kills(workspace, tmp_path, folder, 200)


def test_what_a_journal_would_change_is_said_in_words(day):
    changed = edits.change_service(day, FIRST, state="skipped")
    changed = edits.set_figure(changed, "policy", "risk_limit", 0.2)
    changed = edits.change_leg(changed, "QX-AAA-1", passengers=99)
    changed, _ = edits.add_service(changed, "QX-BAA", 1, "fresh")
    lines = described(day, edits.delete_service(changed, "s-QX-BAA"))
    assert lines == [
        "Waste service of QX-AAA, turn 2: state planned → skipped",
        "Water service of QX-BAA, turn 1 added",
        "Waste service of QX-BAA, turn 2 removed",
        "QX101 OSTR–HOLN of QX-AAA: passengers 150 → 99",
        "Policy: risk limit 0.1 → 0.2",
    ]
    assert described(day, day) == []
