"""The board as a picture: two formats, no display, text as text, and a file that is whole or untouched."""

from __future__ import annotations

import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from PySide6.QtGui import QImage

from legtide.day.document import Day
from legtide.draw.fonts import text_width
from legtide.draw.picture import write_picture
from support.boards import board_day

SVG = "{http://www.w3.org/2000/svg}"
TRICKY = '<img src="/etc/hostname"><b>QX</b> &amp; "1 < 2"'


@pytest.fixture(scope="module")
def day() -> Day:
    return board_day(6)


def words(path: Path) -> list[str]:
    return ["".join(node.itertext()) for node in ET.parse(path).getroot().iter(f"{SVG}text")]  # noqa: S314 (own file)


@pytest.mark.parametrize("dark", [False, True])
def test_a_png_has_the_size_asked_for_and_the_palettes_ground(
    qapp: object, day: Day, tmp_path: Path, dark: bool
) -> None:
    write_picture(day, tmp_path / "board.png", dark=dark, size=(900, 600))
    image = QImage(str(tmp_path / "board.png"))
    assert (image.width(), image.height()) == (900, 600)
    assert (image.pixelColor(895, 3).lightness() < 60) is dark


def test_an_svg_names_every_aircraft_and_flight_as_text(qapp: object, day: Day, tmp_path: Path) -> None:
    write_picture(day, tmp_path / "board.svg")
    found = words(tmp_path / "board.svg")
    for aircraft in day.aircraft:
        assert aircraft.registration in found
    for leg in day.legs:
        assert leg.flight in found
    assert "UTC" in found
    assert "09:00" in found


def test_every_text_of_an_svg_keeps_its_width_where_the_font_is_missing(
    qapp: object, day: Day, tmp_path: Path
) -> None:
    write_picture(day, tmp_path / "board.svg")
    root = ET.parse(tmp_path / "board.svg").getroot()  # noqa: S314 (own file)
    nodes = list(root.iter(f"{SVG}text"))
    assert len(nodes) > 50
    for node in nodes:
        words = "".join(node.itertext())
        expected = text_width(words, int(node.attrib["font-size"]), int(node.attrib["font-weight"]) == 700)
        assert float(node.attrib["textLength"]) == pytest.approx(expected, abs=0.06), words


@pytest.mark.parametrize("size", [(1600, 1000), (700, 420)])
def test_nothing_is_cut_short(qapp: object, day: Day, tmp_path: Path, size: tuple[int, int]) -> None:
    write_picture(day, tmp_path / "board.svg", size=size)
    assert not [text for text in words(tmp_path / "board.svg") if "…" in text or "..." in text]


def test_markup_in_names_is_painted_as_typed_and_loads_nothing(qapp: object, day: Day, tmp_path: Path) -> None:
    station = day.stations[0].model_copy(update={"name": TRICKY})
    tricky = day.model_copy(update={"title": TRICKY, "stations": (station, *day.stations[1:])})
    write_picture(tricky, tmp_path / "board.svg")
    found = words(tmp_path / "board.svg")
    assert TRICKY in found
    assert f"Trucks at {TRICKY}" in found
    root = ET.parse(tmp_path / "board.svg").getroot()  # noqa: S314 (own file)
    assert list(root.iter(f"{SVG}image")) == []
    write_picture(tricky, tmp_path / "board.png")
    assert not QImage(str(tmp_path / "board.png")).isNull()


def test_aircraft_that_do_not_fit_are_counted_on_the_picture(qapp: object, tmp_path: Path) -> None:
    write_picture(board_day(40, legs=2), tmp_path / "board.svg", size=(900, 400))
    found = words(tmp_path / "board.svg")
    shown = sum(text.startswith("QX-") for text in found)
    assert 0 < shown < 40
    assert f"{40 - shown} more aircraft: make the picture taller" in found


def test_an_empty_day_is_drawn(qapp: object, day: Day, tmp_path: Path) -> None:
    empty = day.model_copy(update={"legs": (), "services": (), "aircraft": ()})
    write_picture(empty, tmp_path / "board.png")
    write_picture(day.model_copy(update={"legs": (), "services": ()}), tmp_path / "aircraft.svg")
    assert words(tmp_path / "aircraft.svg").count("no legs") == len(day.aircraft)


@pytest.mark.parametrize("name", ["board.jpg", "board", "board.png.txt"])
def test_another_suffix_is_refused(qapp: object, day: Day, tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match=r"ends in .png, .svg or .pdf"):
        write_picture(day, tmp_path / name)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("size", [(0, 0), (100, 1000), (1600, 30_000)])
def test_a_size_that_makes_no_sense_is_refused(qapp: object, day: Day, tmp_path: Path, size: tuple[int, int]) -> None:
    with pytest.raises(ValueError, match="is not between"):
        write_picture(day, tmp_path / "board.png", size=size)


def test_a_path_that_cannot_be_written_is_an_error_of_the_system(qapp: object, day: Day, tmp_path: Path) -> None:
    with pytest.raises(OSError, match="No such file"):
        write_picture(day, tmp_path / "missing" / "board.png")
    (tmp_path / "folder.png").mkdir()
    with pytest.raises(OSError, match="directory"):
        write_picture(day, tmp_path / "folder.png")
    assert [path.name for path in tmp_path.iterdir()] == ["folder.png"]


def test_a_failing_write_leaves_the_old_picture(
    qapp: object, day: Day, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "board.png"
    target.write_bytes(b"the old one")

    def full(self: Path, data: bytes) -> int:
        with self.open("wb") as file:
            file.write(data[:100])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OSError, match="No space left"):
        write_picture(day, target)
    assert target.read_bytes() == b"the old one"
    assert [path.name for path in tmp_path.iterdir()] == ["board.png"]


def test_a_picture_is_put_in_place_in_one_step(
    qapp: object, day: Day, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "board.svg"
    target.write_bytes(b"the old one")

    def refused(self: Path, other: Path) -> Path:
        assert self.read_bytes().startswith(b"<?xml")
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(Path, "replace", refused)
    with pytest.raises(OSError, match="Input/output"):
        write_picture(day, target)
    assert target.read_bytes() == b"the old one"
    assert [path.name for path in tmp_path.iterdir()] == ["board.svg"]


def test_a_picture_needs_no_display_and_no_application(tmp_path: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from support.boards import board_day;"
        "from legtide.draw.picture import write_picture;"
        "folder, day = Path(sys.argv[1]), board_day(3);"
        "write_picture(day, folder / 'a.png'); write_picture(day, folder / 'a.svg');"
        "assert 'PySide6.QtWidgets' not in sys.modules and 'pyqtgraph' not in sys.modules"
    )
    kept = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    kept.pop("QT_QPA_PLATFORM", None)
    tests = str(Path(__file__).parents[1])
    done = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path)],
        env={**kept, "PYTHONPATH": tests},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.png", "a.svg"]
