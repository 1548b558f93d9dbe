"""A process that saves in a loop is killed at random moments: the file is whole each time.

A naive saver, which writes over the file, is the control: the same kills must leave it with a damaged file, else the
test would prove nothing.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from legtide.files.atomic import sweep
from legtide.files.day_file import DayFileError, parse

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system with fork and SIGKILL")

# For each line on its input the nursery forks a process that saves without end, names it, and waits for its death.
NURSERY = """
import os, sys
from datetime import date
from pathlib import Path
from legtide.day.document import Day, Station
from legtide.files.atomic import replace_file
from legtide.files.day_file import to_bytes

def version(number):
    stations = tuple(Station(code=f"S{n}", remark="x" * 300) for n in range(40 + 30 * (number % 5)))
    return to_bytes(Day(date=date(2031, 3, 5), title=f"version {number}", stations=stations))

def naive(path, data):
    with path.open("wb") as file:
        file.write(data)

path, save = Path(sys.argv[1]), {"naive": naive, "atomic": replace_file}[sys.argv[2]]
versions = [version(number) for number in range(10)]
save(path, versions[0])
for _ in sys.stdin:
    child = os.fork()
    if child == 0:
        while True:
            for data in versions:
                save(path, data)
    print(child, flush=True)
    os.waitpid(child, 0)
    print("dead", flush=True)
"""


@contextmanager
def nursery(path: Path, saver: str) -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, "-c", NURSERY, str(path), saver]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        yield process
        assert process.stdin is not None
        process.stdin.close()


def kill_once(process: subprocess.Popen[str], after_s: float) -> None:
    """Lets a process save for a while and kills it."""
    assert process.stdin is not None
    assert process.stdout is not None
    print("go", file=process.stdin, flush=True)
    victim = int(process.stdout.readline())
    time.sleep(after_s)
    os.kill(victim, signal.SIGKILL)
    assert process.stdout.readline() == "dead\n"


def is_whole(path: Path) -> bool:
    """Whether the file is a version that was written whole (the checksum sees to that)."""
    try:
        loaded = parse(path.read_bytes())
    except DayFileError:
        return False
    return not loaded.cautions and loaded.day.title.startswith("version ")


def kill_many(folder: Path, kills: int, seed: int) -> int:
    """Kills the saver many times and looks at the file each time; returns how many left a temporary file behind."""
    path, rng, leftovers = folder / "a.day.json", random.Random(seed), 0
    with nursery(path, "atomic") as process:
        for _ in range(kills):
            kill_once(process, rng.uniform(0.0, 0.02))
            assert is_whole(path)
            leftovers += sweep(folder)
            assert [entry.name for entry in folder.iterdir()] == [path.name]
    return leftovers


def test_two_hundred_kills_leave_a_whole_file_each(tmp_path: Path) -> None:
    leftovers = kill_many(tmp_path, 200, seed=1)
    assert leftovers > 10, "many of the kills fell into a save"


def test_the_same_kills_damage_the_file_of_a_naive_saver(tmp_path: Path) -> None:
    path, rng = tmp_path / "a.day.json", random.Random(1)
    with nursery(path, "naive") as process:
        for _ in range(200):
            kill_once(process, rng.uniform(0.0, 0.02))
            if not is_whole(path):
                return
    pytest.fail("200 kills did not hit a naive save")


@pytest.mark.long
def test_five_thousand_kills(tmp_path: Path) -> None:
    kill_many(tmp_path, 5_000, seed=2)
