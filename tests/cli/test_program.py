"""The program as a process: imports, streams, pipes, encodings and limits."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from legtide.files.day_file import save
from support.days import rotation_day


def legtide(
    *words: str | Path, env: Mapping[str, str] | None = None, **options: Any
) -> subprocess.CompletedProcess[bytes]:
    """Runs the program as a process; a traceback fails the test."""
    options = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **options}
    command = [sys.executable, "-m", "legtide", *map(str, words)]
    done = subprocess.run(command, env={**os.environ, **(env or {})}, **options)
    assert b"Traceback" not in (done.stderr or b"")
    assert b"Exception ignored" not in (done.stderr or b"")
    return done


@pytest.fixture
def day(tmp_path: Path) -> Path:
    path = tmp_path / "a.day.json"
    save(rotation_day(1.5, 8, 0.9, title="Zürich 東京"), path)
    return path


def test_help_imports_neither_toolkit_nor_numbers_nor_validators() -> None:
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "legtide", "--help"], capture_output=True, text=True, check=True
    )
    imported = {line.rpartition("|")[2].strip() for line in done.stderr.splitlines()}
    assert "legtide.cli.main" in imported
    heavy = {"PySide6", "numpy", "scipy", "pydantic", "pyqtgraph", "pint", "airportsdata", "platformdirs"}
    assert not {name for name in imported if name.partition(".")[0] in heavy}


@pytest.mark.parametrize("command", ["project", "check", "schema"])
def test_no_command_without_pictures_imports_the_toolkit(day: Path, command: str) -> None:
    script = (
        "import sys\nfrom legtide.cli.main import main\n"
        "code = main(sys.argv[1:])\nassert 'PySide6' not in sys.modules\nsys.exit(code)"
    )
    words = [command] if command == "schema" else [command, str(day)]
    done = subprocess.run([sys.executable, "-c", script, *words], capture_output=True)
    assert done.returncode == (0 if command == "schema" else 1), done.stderr


def test_output_is_utf_8_whatever_the_locale(day: Path) -> None:
    done = legtide("project", day, "--json", env={"LC_ALL": "C", "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert done.returncode == 1
    assert json.loads(done.stdout.decode("utf-8"))["title"] == "Zürich 東京"


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")  # noqa: PTH110
@pytest.mark.parametrize("words", [["project"], ["project", "--json"], ["check"]])
def test_a_full_disk_behind_the_output(day: Path, words: list[str]) -> None:
    with open("/dev/full", "wb") as full:  # noqa: PTH123
        done = legtide(words[0], day, *words[1:], stdout=full)
    assert done.returncode == 4
    assert done.stderr == b"legtide: standard output could not be written: No space left on device\n"


def test_a_reader_that_goes_away(day: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = legtide("project", day, stdout=writing)
    os.close(writing)
    assert (done.returncode, done.stderr) == (4, b"")


def test_closed_streams(day: Path) -> None:
    for redirect, code in ((">&-", 4), ("2>&-", 1), ("<&-", 1)):
        done = subprocess.run(
            ["sh", "-c", f'"$0" -m legtide project "$1" {redirect}', sys.executable, str(day)], capture_output=True
        )
        assert done.returncode == code
        assert b"Traceback" not in done.stderr


def test_a_file_name_that_is_no_text(tmp_path: Path) -> None:
    name = os.fsdecode(b"\xff\x1b[31m.day.json")
    done = legtide("check", tmp_path / name)
    assert done.returncode == 3
    assert done.stderr.endswith(b"\\udcff\\x1b[31m.day.json does not exist\n")
    done = legtide("import", tmp_path / name, "-o", tmp_path / "none" / name)
    assert b"\x1b" not in done.stderr


def test_without_a_display_the_picture_command_is_named(day: Path) -> None:
    if sys.platform != "linux":
        pytest.skip("other systems always have a display")
    clean = {key: value for key, value in os.environ.items() if key not in ("DISPLAY", "WAYLAND_DISPLAY")}
    clean.pop("QT_QPA_PLATFORM", None)
    done = subprocess.run([sys.executable, "-m", "legtide", str(day)], capture_output=True, env=clean)
    assert done.returncode == 2
    assert done.stderr.startswith(
        b"legtide: there is no display to open a window on. `legtide picture DAY -o FILE.png`"
    )


LIMITED = """
import resource, sys
from legtide.cli import command
from legtide.cli.main import main
from legtide.day import fits
from legtide.engine import projection
from legtide.files import day_file, reports
fits.shipped_fits()
used = int(open("/proc/self/statm").read().split()[0]) * resource.getpagesize()
limit = used + int(sys.argv[2]) * 2**18
resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
sys.exit(main(["check", sys.argv[1]]))
"""


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="needs Linux")
def test_too_little_memory_ends_with_a_sentence(tmp_path: Path) -> None:
    """Allocations fail at many places of a load: each ends with an exit code, and none with a traceback."""
    path = tmp_path / "large.day.json"
    save(rotation_day(1.0, 8, 0.5, aircraft=150), path)
    codes = set()
    for quarters in (0, 3, 9, 20, 400):
        done = subprocess.run([sys.executable, "-c", LIMITED, str(path), str(quarters)], capture_output=True)
        assert b"Traceback" not in done.stderr, done.stderr
        codes.add(done.returncode)
        if done.returncode == 70:
            assert b"legtide: " in done.stderr
    assert codes <= {0, 1, 70}
    assert 70 in codes
    assert codes & {0, 1}, "with enough memory it works"
