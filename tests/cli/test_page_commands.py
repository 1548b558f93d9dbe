"""`legtide brief`, `runs` on paper, `tables`, `calls` and the board as PDF, as a user types them."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from icalendar import Calendar
from openpyxl import load_workbook

from legtide.cli.main import main
from legtide.day import edits
from legtide.day.document import Place, Service, Truck
from legtide.files.day_file import save
from support.days import rotation_day
from support.pdf_text import pdf_reader, pdf_text


@pytest.fixture
def day_path(tmp_path: Path) -> Path:
    """Two aircraft, one service each, at a station with a truck; nothing is in breach."""
    day = rotation_day(1.0, 4, 0.5, aircraft=2, ground_min=60.0)
    times = {"turn": 2, "tank": "waste", "truck": "T1"}
    services = tuple(
        Service(id=f"s{number}", aircraft=f"QX-{number}", start=day.legs[1].sta + timedelta(minutes=after), **times)
        for number, after in enumerate((10, 30))
    )
    day = day.model_copy(update={"services": services})
    trucks = (Truck(id="T1", tank="waste", start_place="P"), Truck(id="W1", tank="fresh", start_place="P"))
    places = (Place(id="P", kind="base"), Place(id="D", kind="dump_point"))
    path = tmp_path / "two.day.json"
    save(edits.change_station(day, "ABLE", trucks=trucks, places=places), path)
    return path


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_briefing_page_is_written(day_path: Path, tmp_path: Path, paper: str) -> None:
    out = tmp_path / "b.pdf"
    assert main(["brief", str(day_path), "--aircraft", "QX-1", "-o", str(out), "--paper", paper]) == 0
    assert "QX-1" in pdf_text(out.read_bytes())
    assert "two.day.json" in pdf_text(out.read_bytes())


def test_a_breach_is_told_by_the_exit_code(tmp_path: Path) -> None:
    path = tmp_path / "bad.day.json"
    save(rotation_day(1.5, 8), path)
    assert main(["brief", str(path), "--aircraft", "QX-0", "-o", str(tmp_path / "b.pdf")]) == 1
    assert "To settle before departure" in pdf_text((tmp_path / "b.pdf").read_bytes())


def test_run_sheets_are_written(day_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "r.pdf"
    assert main(["runs", str(day_path), "--station", "ABLE", "-o", str(out)]) == 0
    text = pdf_text(out.read_bytes())
    assert "Toilet truck T1" in text
    assert "W1" not in text
    table = tmp_path / "r.csv"
    assert main(["runs", str(day_path), "--station", "ABLE", "-o", str(table)]) == 0
    rows = list(csv.DictReader(table.read_text("utf-8").splitlines()))
    assert [row["window_start"] != "" for row in rows] == [row["what"] == "service" for row in rows]


def test_tables_are_written(day_path: Path, tmp_path: Path) -> None:
    book, table = tmp_path / "t.xlsx", tmp_path / "t.csv"
    assert main(["tables", str(day_path), "-o", str(book)]) == 0
    assert load_workbook(book).sheetnames == ["plan", "levels", "warnings"]
    assert main(["tables", str(day_path), "--table", "plan", "-o", str(table)]) == 0
    assert len(list(csv.DictReader(table.read_text("utf-8").splitlines()))) == 2


def test_calls_are_written(day_path: Path, tmp_path: Path) -> None:
    out = tmp_path / "c.ics"
    assert main(["calls", str(day_path), "--aircraft", "QX-0", "-o", str(out)]) == 0
    assert len(Calendar.from_ical(out.read_bytes()).walk("VEVENT")) == 1


def test_the_board_is_a_page_of_its_own_size(day_path: Path, tmp_path: Path) -> None:
    out = tmp_path / "board.pdf"
    assert main(["picture", str(day_path), "-o", str(out), "--size", "1200x600"]) == 0
    reader = pdf_reader(out.read_bytes())
    # A pixel is 1/96 inch, a point 1/72.
    assert (float(reader.pages[0].mediabox.width), float(reader.pages[0].mediabox.height)) == (900.0, 450.0)
    assert "QX-1" in pdf_text(out.read_bytes())


@pytest.mark.parametrize(
    ("words", "code", "named"),
    [
        (["brief", "DAY", "--aircraft", "QX-7", "-o", "x.pdf"], 3, "QX-7"),
        (["brief", "DAY", "--aircraft", "QX-0", "-o", "x.doc"], 2, "x.doc"),
        (["brief", "nowhere.day.json", "--aircraft", "QX-0", "-o", "x.pdf"], 3, "nowhere.day.json"),
        (["runs", "DAY", "--station", "BAKE", "-o", "x.pdf"], 3, "BAKE"),
        (["tables", "DAY", "-o", "x.csv"], 2, "--table"),
        (["tables", "DAY", "-o", "x.ods"], 2, "x.ods"),
        (["calls", "DAY", "-o", "x.txt"], 2, "x.txt"),
        (["calls", "DAY", "--station", "NONE", "-o", "x.ics"], 3, "NONE"),
        (["calls", "DAY", "--aircraft", "QX-7", "-o", "x.ics"], 3, "QX-7"),
    ],
)
def test_what_cannot_be_done_is_said_with_its_code(
    day_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], code: int, named: str
) -> None:
    assert main([str(day_path) if word == "DAY" else word for word in words]) == code
    said = capsys.readouterr()
    assert named in said.err
    assert "Traceback" not in said.err


@pytest.mark.parametrize(
    "words",
    [["brief", "--aircraft", "QX-0"], ["runs", "--station", "ABLE"], ["tables"], ["calls"]],
    ids=lambda words: words[0],
)
def test_a_place_that_cannot_be_written_is_named_and_an_old_file_stays(
    day_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str]
) -> None:
    suffix = {"tables": "xlsx", "calls": "ics"}.get(words[0], "pdf")
    target = tmp_path / "none" / f"a.{suffix}"
    assert main([words[0], str(day_path), *words[1:], "-o", str(target)]) == 4
    assert f"{target} could not be written: " in capsys.readouterr().err
    old = tmp_path / f"old.{suffix}"
    old.mkdir()
    assert main([words[0], str(day_path), *words[1:], "-o", str(old)]) == 4
    assert old.is_dir()
    assert not list(tmp_path.glob(".legtide*"))


def test_a_page_needs_no_display(day_path: Path, tmp_path: Path) -> None:
    gone = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    environment = {name: value for name, value in os.environ.items() if name not in gone}
    out = tmp_path / "b.pdf"
    command = [sys.executable, "-m", "legtide", "brief", str(day_path), "--aircraft", "QX-0", "-o", str(out)]
    ended = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=120)
    assert (ended.returncode, ended.stderr) == (0, "")
    assert "QX-0" in pdf_text(out.read_bytes())


def test_a_page_without_the_systems_libraries_names_the_packages(
    day_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("legtide.cli.pages.why_no_picture", lambda: "libraries are missing. Install: libegl1")
    assert main(["brief", str(day_path), "--aircraft", "QX-0", "-o", str(tmp_path / "b.pdf")]) == 4
    assert "Install: libegl1" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("command", "words", "english"),
    [
        (("brief", "--aircraft", "QX-1"), ("Sicherheitshinweise", "Abwasser", "Toilettenservice"), "Cautions"),
        (("runs", "--station", "ABLE"), ("Toilettenfahrzeug T1", "Erledigt, Unterschrift"), "Toilet truck"),
        (("picture",), ("Fahrzeuge in ABLE", "Frischwasser"), "Trucks at"),
    ],
)
def test_pages_are_painted_in_a_language_and_nothing_else_is(
    day_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], command, words, english
) -> None:
    out = tmp_path / "page.pdf"
    name, *options = command
    assert main([name, str(day_path), *options, "-o", str(out), "--language", "de"]) == 0
    said = capsys.readouterr()
    text = pdf_text(out.read_bytes())
    for word in words:
        assert word in text
    assert english not in text
    assert "Fahrzeug" not in said.out + said.err
    assert main([name, str(day_path), *options, "-o", str(out)]) == 0
    assert english in pdf_text(out.read_bytes())
    assert main([name, str(day_path), *options, "-o", str(out), "--language", "xx"]) == 2
