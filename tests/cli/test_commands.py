"""The commands as they are typed: what they print, where, and with which exit code."""

from __future__ import annotations

import errno
import json
import os
from pathlib import Path
from typing import Any

import pytest

from legtide import __version__
from legtide.cli.main import main
from legtide.day.edits import change_leg
from legtide.files import atomic
from legtide.files.day_file import load, save
from legtide.files.reports import projection_document
from support.days import rotation_day
from support.full_day import full_day


class Ended:
    """How a command ended."""

    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err
        assert "Traceback" not in out + err


@pytest.fixture
def legtide(capsys: pytest.CaptureFixture[str]) -> Any:
    """Runs the program inside this process."""

    def run(*words: str | Path) -> Ended:
        code = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return Ended(code, out, err)

    return run


@pytest.fixture
def calm(tmp_path: Path) -> Path:
    """A day without a breach."""
    path = tmp_path / "calm.day.json"
    save(rotation_day(1.0, 2, 0.5, title="Calm <b>day</b>"), path)
    return path


@pytest.fixture
def dry(tmp_path: Path) -> Path:
    """A day on which the water does not last."""
    path = tmp_path / "dry.day.json"
    save(rotation_day(1.5, 8, 0.9), path)
    return path


@pytest.fixture
def bad(tmp_path: Path) -> Path:
    path = tmp_path / "bad.day.json"
    path.write_text('{"format": "legtide-day", "version": 1, "date": "2031-03-05", "legs": [{"id": 5}], "x": 1}')
    return path


SCHEDULE = """registration,flight,from,to,std,sta
QX-A,ZZ1,ABLE,BAKE,2031-03-05T06:00Z,2031-03-05T07:00Z
QX-A,ZZ2,BAKE,ABLE,2031-03-05T08:00Z,2031-03-05T07:00Z
QX-A,ZZ3,CAKE,ABLE,2031-03-05T10:00Z,2031-03-05T11:00Z
"""


@pytest.fixture
def schedule(tmp_path: Path) -> Path:
    path = tmp_path / "week 10.csv"
    path.write_text(SCHEDULE)
    return path


# project and check ----------------------------------------------------------------------------------------


def test_project_prints_a_table_and_the_warnings(legtide: Any, calm: Path, dry: Path) -> None:
    ended = legtide("project", calm)
    assert (ended.code, ended.err) == (0, "")
    lines = ended.out.split("\n")
    assert lines[0] == "Calm <b>day</b>, 2026-05-14, times in UTC, levels in L: median (5-95 %)"
    assert lines[2] == "QX-0  f"
    assert lines[3].split("  ")[1] == "flight"
    assert lines[4].startswith("  ZZ100   ABLE  BAKE  04:00  05:00   90  200 (200-200)")
    assert lines[-2] == "no warnings"
    ended = legtide("project", dry)
    assert ended.code == 1
    assert "breach: QX-0: Fresh water is " in ended.out


def test_project_json_is_one_document_and_nothing_else(legtide: Any, dry: Path) -> None:
    from legtide.engine.projection import project

    ended = legtide("project", dry, "--json")
    assert (ended.code, ended.err) == (1, "")
    assert json.loads(ended.out) == json.loads(json.dumps(projection_document(project(load(dry).day))))


def test_cautions_of_a_file_do_not_disturb_the_document(legtide: Any, calm: Path) -> None:
    calm.write_bytes(calm.read_bytes().replace(b'"passengers": 90', b'"passengers": 91', 1))
    ended = legtide("project", calm, "--json")
    assert json.loads(ended.out)["aircraft"][0]["legs"][0]["passengers"] == 91
    assert ended.err.startswith("caution: The file was changed outside of Legtide, or it is damaged")


def test_services_are_printed_with_their_trucks(legtide: Any, tmp_path: Path) -> None:
    save(full_day(), tmp_path / "a.day.json")
    out = legtide("project", tmp_path / "a.day.json").out
    assert "  fill to 75 % at ABLE 10:12, turn 2, planned: " in out
    assert ", truck W1\n" in out
    assert "  drain to 0 % at BAKE 08:24, turn 1, done: " in out


def test_check_says_that_a_day_is_acceptable_or_why_not(legtide: Any, calm: Path, dry: Path, bad: Path) -> None:
    ended = legtide("check", calm)
    assert (ended.code, ended.out) == (0, f"{calm} is acceptable: 1 aircraft, 2 legs, 0 services\nno warnings\n")
    ended = legtide("check", dry)
    assert ended.code == 1
    assert "breach: " in ended.out
    ended = legtide("check", bad)
    assert (ended.code, ended.out) == (3, "")
    lines = ended.err.splitlines()
    assert lines[0] == f"legtide: {bad} is not an acceptable day file:"
    assert lines[1:4] == [
        "  x: is not a known key",
        "  legs[0].id: must be text in quotation marks (it is 5)",
        "  legs[0].aircraft: is missing",
    ]


@pytest.mark.parametrize("command", ["project", "check"])
def test_a_day_that_is_not_there(legtide: Any, tmp_path: Path, command: str) -> None:
    ended = legtide(command, tmp_path / "none.day.json")
    assert (ended.code, ended.out, ended.err) == (3, "", f"legtide: {tmp_path / 'none.day.json'} does not exist\n")


def test_a_newer_file_is_refused_by_every_command_that_reads(legtide: Any, tmp_path: Path) -> None:
    path = tmp_path / "new.day.json"
    path.write_text('{"format": "legtide-day", "version": 2}')
    for words in (["project", path], ["check", path], ["picture", path, "-o", tmp_path / "a.png"]):
        ended = legtide(*words)
        assert ended.code == 3
        assert "is version 2 of the day file; this program reads up to version 1" in ended.err


def test_names_from_a_file_cannot_steer_the_terminal(legtide: Any, tmp_path: Path) -> None:
    path = tmp_path / "a.day.json"
    day = change_leg(rotation_day(1.0, 1, 0.5), "0-0", flight="ZZ\u202e1")
    save(day.model_copy(update={"title": "\u2066x"}), path)
    out = legtide("project", path).out
    assert "ZZ\\u202e1" in out
    assert all(c.isprintable() or c == "\n" for c in out)


# import ---------------------------------------------------------------------------------------------------


def test_import_writes_a_day_and_lists_every_rejected_row(legtide: Any, schedule: Path, tmp_path: Path) -> None:
    target = tmp_path / "out.day.json"
    ended = legtide("import", schedule, "-o", target)
    assert (ended.code, ended.out) == (0, f"{target}: 2 legs of 1 aircraft; rows rejected: 1\n")
    lines = ended.err.splitlines()
    assert lines[0] == (
        'rejected: line 3, sta: the leg ends before it starts: std is "2031-03-05T08:00Z" (it is "2031-03-05T07:00Z")'
    )
    assert [line.partition(":")[0] for line in lines[1:]] == ["note", "note", "note", "caution"]
    assert "QX-A arrives at BAKE with ZZ1, but ZZ3 leaves from CAKE" in lines[-1]
    assert load(target).day.title == "week 10"
    assert legtide("check", target).code == 0


def test_strict_import_writes_nothing(legtide: Any, schedule: Path, tmp_path: Path) -> None:
    target = tmp_path / "out.day.json"
    ended = legtide("import", schedule, "-o", target, "--strict")
    assert (ended.code, ended.out) == (3, "")
    assert ended.err.startswith(f"legtide: {schedule} cannot be taken:\n  line 3, sta: ")
    assert not target.exists()


def test_import_with_local_times_zones_and_fit(legtide: Any, tmp_path: Path) -> None:
    schedule, zones, target = tmp_path / "s.csv", tmp_path / "z.csv", tmp_path / "out.day.json"
    schedule.write_text("registration;flight;from;to;std;sta\nQX-A;ZZ1;ABLE;BAKE;2031-10-26T02:30;2031-10-26T12:00\n")
    zones.write_text("code,zone\nABLE,Europe/Berlin\nBAKE,Asia/Kolkata\n")
    words = ["import", schedule, "-o", target, "--times", "local", "--zones", zones, "--fit", "jet-70"]
    ended = legtide(*words)
    assert ended.code == 0
    assert "comes twice there as the clocks are put back; the first is taken (00:30Z)" in ended.err
    day = load(target).day
    assert f"{day.legs[0].std:%H:%M} {day.legs[0].sta:%H:%M}" == "00:30 06:30"
    assert day.aircraft[0].fit == "jet-70"
    zones.write_text("ABLE,Mars/Base\n")
    ended = legtide(*words)
    assert ended.code == 3
    assert ended.err == (
        f'legtide: {zones} cannot be taken:\n  line 1, zone: is not a known time zone (it is "Mars/Base")\n'
    )


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (["--fit", "jumbo"], 2, "legtide: --fit: 'jumbo' is not a shipped fit; there are turboprop-70, "),
        (["--times", "lokal"], 2, "argument --times: invalid choice: 'lokal'"),
        (["--zones", "none.csv"], 3, "legtide: none.csv does not exist"),
        (["--colour"], 2, "unrecognized arguments: --colour"),
    ],
)
def test_wrong_options_of_import(
    legtide: Any, schedule: Path, tmp_path: Path, words: list[str], code: int, says: str
) -> None:
    ended = legtide("import", schedule, "-o", tmp_path / "out.day.json", *words)
    assert (ended.code, ended.out) == (code, "")
    assert says in ended.err


def test_import_never_writes_over_its_own_schedule(legtide: Any, schedule: Path) -> None:
    ended = legtide("import", schedule, "-o", schedule)
    assert ended.code == 2
    assert schedule.read_text() == SCHEDULE


@pytest.mark.parametrize(
    "data", [b"", b"\xff\xfe\x00", b"a,b\n1,2\n", b"\x00" * 100, b"registration,flight,from,to,std,sta\n"]
)
def test_a_schedule_that_cannot_be_taken(legtide: Any, tmp_path: Path, data: bytes) -> None:
    path, target = tmp_path / "s.csv", tmp_path / "out.day.json"
    path.write_bytes(data)
    ended = legtide("import", path, "-o", target)
    assert (ended.code, ended.out) == (3, "")
    assert ended.err.startswith(f"legtide: {path} cannot be taken:\n  ")
    assert not target.exists()


# what cannot be written -----------------------------------------------------------------------------------


def test_an_output_that_cannot_be_written(legtide: Any, schedule: Path, calm: Path, tmp_path: Path) -> None:
    for words in (["import", schedule, "-o"], ["picture", calm, "-o"]):
        for place in (tmp_path / "none" / "a.png", Path("/dev/null/a.png")):
            ended = legtide(*words, place)
            assert ended.code == 4
            assert f"{place} could not be written: " in ended.err


def test_a_full_disk_keeps_the_old_file(
    legtide: Any, schedule: Path, calm: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = calm.read_bytes()

    def full(handle: int, data: bytes) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(atomic.os, "write", full)
        ended = legtide("import", schedule, "-o", calm)
    assert ended.code == 4
    assert ended.err.endswith(f"legtide: {calm} could not be written: No space left on device\n")
    assert calm.read_bytes() == before


def test_a_newer_file_is_never_the_output(legtide: Any, schedule: Path, tmp_path: Path) -> None:
    target = tmp_path / "new.day.json"
    target.write_text('{"format": "legtide-day", "version": 2}')
    ended = legtide("import", schedule, "-o", target)
    assert ended.code == 4
    assert "it is never overwritten" in ended.err


# picture --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("suffix", ["png", "svg"])
def test_a_picture_is_written_without_a_window(legtide: Any, calm: Path, tmp_path: Path, suffix: str) -> None:
    target = tmp_path / f"a.{suffix}"
    ended = legtide("picture", calm, "-o", target, "--dark", "--size", "1280x800")
    assert (ended.code, ended.out, ended.err) == (0, "", "")
    data = target.read_bytes()
    if suffix == "png":
        # PNG specification (ISO/IEC 15948): signature, then width and height in the IHDR chunk.
        assert data.startswith(b"\x89PNG\r\n\x1a\n")
        assert (int.from_bytes(data[16:20]), int.from_bytes(data[20:24])) == (1280, 800)
    else:
        assert b"<svg" in data[:1000]


@pytest.mark.parametrize(
    "words", [["-o", "a.gif"], ["-o", "a"], ["-o", "a.png", "--size", "1x1"], ["-o", "a.png", "--size", "big"], []]
)
def test_wrong_options_of_picture(legtide: Any, calm: Path, words: list[str]) -> None:
    assert legtide("picture", calm, *words).code == 2


def test_a_picture_without_the_systems_libraries_names_the_packages(
    legtide: Any, calm: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("legtide.cli.picture.why_no_picture", lambda: "libraries are missing. Install: libegl1")
    ended = legtide("picture", calm, "-o", tmp_path / "a.png")
    assert (ended.code, ended.err) == (4, "legtide: libraries are missing. Install: libegl1\n")


# schema, help, version, window ----------------------------------------------------------------------------


def test_schema_prints_the_schema(legtide: Any) -> None:
    ended = legtide("schema")
    assert (ended.code, ended.err) == (0, "")
    assert json.loads(ended.out)["title"] == "legtide-day version 1"


def test_help_lists_every_command(legtide: Any) -> None:
    from legtide.cli.registry import COMMANDS

    ended = legtide("--help")
    assert ended.code == 0
    for command in COMMANDS:
        assert f"\n  {command.name} " in ended.out
        assert legtide(command.name, "--help").code == 0
    assert "the operator's manuals, local rules and licensed staff decide" in ended.out


def test_version(legtide: Any) -> None:
    assert legtide("--version").out == f"legtide {__version__}\n"


@pytest.mark.parametrize("words", [["--nonsense"], ["project"], ["a", "b"], ["check", "a", "b"], ["schema", "x"]])
def test_wrong_usage(legtide: Any, words: list[str]) -> None:
    ended = legtide(*words)
    assert (ended.code, ended.out) == (2, "")
    assert "usage: legtide" in ended.err


def test_a_word_that_is_no_command_and_no_file(legtide: Any) -> None:
    ended = legtide("projct")
    assert ended.code == 2
    assert ended.err.startswith("legtide: projct is neither a file nor a command; the commands are project, check, ")


def test_the_window_is_opened_on_the_day_or_on_none(
    legtide: Any, calm: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[Path | None] = []
    monkeypatch.setattr("legtide.app.run", lambda path: opened.append(path) or 3)
    monkeypatch.setattr("legtide.cli.window.why_no_window", lambda: "")
    assert legtide(calm).code == 3
    assert legtide().code == 3
    assert opened == [calm, None]


def test_without_a_window_there_is_a_sentence(legtide: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("legtide.cli.window.why_no_window", lambda: "there is no display")
    ended = legtide()
    assert (ended.code, ended.err) == (2, "legtide: there is no display\n")


# errors of the program ------------------------------------------------------------------------------------


class Panic(BaseException):
    """Like the panics of pydantic's core, which are no Exceptions."""


@pytest.mark.parametrize("error", [ValueError("boom"), Panic("boom"), RecursionError("boom"), OSError(5, "boom")])
def test_an_error_of_the_program_is_a_sentence_and_a_log_file(
    legtide: Any, calm: Path, own_state: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException
) -> None:
    def broken(*_: object) -> None:
        raise error

    monkeypatch.setattr("legtide.engine.projection.project", broken)
    ended = legtide("project", calm)
    assert (ended.code, ended.out) == (70, "")
    (log,) = (own_state / "log").glob("fault-*.txt")
    name = type(error).__name__
    assert ended.err == (
        f"legtide: an error of the program ({name}); your files are as they were. The details are in {log}\n"
    )
    assert "boom" in log.read_text()
    assert "Traceback" in log.read_text()


def test_only_the_last_logs_are_kept(
    legtide: Any, calm: Path, own_state: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("legtide.engine.projection.project", lambda day: 1 / 0)
    for _ in range(25):
        legtide("project", calm)
    assert len(list((own_state / "log").glob("fault-*.txt"))) == 20


def test_an_error_whose_details_cannot_be_kept(
    legtide: Any, calm: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("legtide.engine.projection.project", lambda day: 1 / 0)
    monkeypatch.setenv("LEGTIDE_STATE_DIR", str(calm))
    ended = legtide("project", calm)
    assert ended.code == 70
    assert ended.err.startswith("legtide: an error of the program (ZeroDivisionError: division by zero)")


@pytest.mark.parametrize(
    ("error", "code", "says"),
    [
        (MemoryError(), 70, "there is not enough memory"),
        (KeyboardInterrupt(), 130, "stopped"),
        (SystemExit(3), 3, ""),
    ],
)
def test_other_ways_to_end(
    legtide: Any, calm: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException, code: int, says: str
) -> None:
    def broken(*_: object) -> None:
        raise error

    monkeypatch.setattr("legtide.engine.projection.project", broken)
    ended = legtide("project", calm)
    assert ended.code == code
    assert says in ended.err
