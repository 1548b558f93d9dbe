"""The entry in the desktop's menu: written for one user, taken away whole, understood by readers of the standards."""

from __future__ import annotations

import configparser
import os
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PySide6.QtGui import QImage

from legtide.cli.main import main
from legtide.files.desktop_entry import MIME_TYPE, data_home, quoted


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's data folder, whose name has a blank in it."""
    made = tmp_path / "my data"
    monkeypatch.setenv("XDG_DATA_HOME", str(made))
    return made


@pytest.fixture
def written(home: Path, capsys: pytest.CaptureFixture[str]) -> list[Path]:
    assert main(["desktop-entry"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert all(line.startswith("wrote ") for line in lines)
    return [Path(line.removeprefix("wrote ")) for line in lines]


def test_it_prints_every_file_that_it_wrote_and_no_other(home: Path, written: list[Path]) -> None:
    assert sorted(written) == sorted(path for path in home.rglob("*") if path.is_file())


def test_removing_leaves_no_file_and_touches_nobody_elses(home: Path, written: list[Path], capsys) -> None:
    other = home / "applications" / "other.desktop"
    other.write_text("[Desktop Entry]\n")
    assert main(["desktop-entry", "--remove"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == len(written)
    assert [path for path in home.rglob("*") if path.is_file()] == [other]
    assert main(["desktop-entry", "--remove"]) == 0
    assert "nothing to remove" in capsys.readouterr().err


def test_the_entry_starts_this_program_with_the_file(home: Path) -> None:
    assert main(["desktop-entry"]) == 0
    reader = configparser.ConfigParser(interpolation=None, delimiters=("=",))
    reader.optionxform = str  # type: ignore[assignment,method-assign]
    reader.read(home / "applications" / "legtide.desktop", "utf-8")
    entry = reader["Desktop Entry"]
    # Keys that the Desktop Entry Specification 1.5 requires of an application.
    assert entry["Type"] == "Application"
    assert entry["Name"] == "Legtide"
    *command, last = shlex.split(entry["Exec"])
    assert last == "%f"
    done = subprocess.run([*command, "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("legtide ")
    assert entry["MimeType"].split(";") == [MIME_TYPE, ""]


def test_the_toolkit_knows_a_day_file_by_the_type(home: Path, written: list[Path]) -> None:
    # An outside reader of the Shared MIME-info Specification.
    if shutil.which("update-mime-database"):
        subprocess.run(["update-mime-database", str(home / "mime")], check=True, capture_output=True)
    script = (
        "from PySide6.QtCore import QMimeDatabase as M\n"
        "kind = M().mimeTypeForFile('x/a.day.json', M.MatchMode.MatchExtension)\n"
        "print(kind.name(), kind.comment(), kind.inherits('application/json'))"
    )
    env = {**os.environ, "XDG_DATA_HOME": str(home)}
    done = subprocess.run([sys.executable, "-c", script], env=env, capture_output=True, text=True, check=True)
    assert done.stdout.split() == [MIME_TYPE, "Legtide", "day", "True"]
    tree = ElementTree.parse(home / "mime" / "packages" / "legtide.xml")  # noqa: S314  (our own file)
    assert tree.getroot().tag.endswith("mime-info")


def test_the_icons_have_the_size_of_their_folder(home: Path, written: list[Path]) -> None:
    pictures = [path for path in written if path.suffix == ".png"]
    assert len(pictures) == 7
    for path in pictures:
        image = QImage(str(path))
        side = int(path.parts[-3].partition("x")[0])
        assert (image.width(), image.height()) == (side, side)
        assert len({image.pixel(x, y) for x in range(side) for y in range(side)}) >= 3


@pytest.mark.parametrize(
    ("argument", "line"),
    [
        ("/opt/legtide", "/opt/legtide"),
        ("/my data/legtide", '"/my data/legtide"'),
        ("/100%/legtide", "/100%%/legtide"),
        ("/a$b/legtide", '"/a\\\\$b/legtide"'),
    ],
)
def test_arguments_are_quoted_as_the_standard_says(argument: str, line: str) -> None:
    # Desktop Entry Specification 1.5, "The Exec key"; a backslash is escaped once more as part of a string value.
    assert quoted(argument) == line


def test_a_data_folder_that_is_not_absolute_is_ignored() -> None:
    # XDG Base Directory Specification 0.8.
    assert data_home({"XDG_DATA_HOME": "data"}) == Path.home() / ".local" / "share"
    assert data_home({"XDG_DATA_HOME": "/data"}) == Path("/data")


def test_a_folder_that_cannot_be_written_ends_with_its_name(tmp_path: Path, monkeypatch, capsys) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "file" / "below"))
    assert main(["desktop-entry"]) == 4
    assert str(tmp_path / "file") in capsys.readouterr().err
