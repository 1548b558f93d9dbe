"""`legtide messages` as a user types it."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from legtide.cli.main import main
from legtide.files.day_file import load, save
from support.days import rotation_day

TEXT = b"MVT\nZZ0100/14.QX0.ABLE\nAD0412/0420 EA0541 BAKE\n\nhello \xff \x1b[31m\n"


class Piped(io.TextIOWrapper):
    def __init__(self, data: bytes) -> None:
        super().__init__(io.BytesIO(data), encoding="utf-8")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "one.day.json"
    save(rotation_day(0.5, 2), made)
    return made


def run(monkeypatch: pytest.MonkeyPatch, data: bytes, *arguments: str) -> int:
    monkeypatch.setattr(sys, "stdin", Piped(data))
    return main(["messages", *arguments])


def test_without_an_output_it_is_a_preview(
    path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = path.read_bytes()
    assert run(monkeypatch, TEXT, str(path)) == 0
    page = capsys.readouterr().out
    assert "line 2: ZZ100 ABLE-BAKE: ATD none -> 04:12" in page
    assert "not taken: 1" in page
    assert "\\x1b[31m" in page
    assert "a preview: nothing is written" in page
    assert path.read_bytes() == before


def test_with_an_output_the_day_is_written(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out.day.json"
    assert run(monkeypatch, TEXT, str(path), "-o", str(out)) == 0
    assert load(out).day.legs[0].atd is not None
    assert f"written to {out}" in capsys.readouterr().out


def test_a_day_in_breach_ends_with_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "dry.day.json"
    save(rotation_day(3.0, 6), path)
    assert run(monkeypatch, TEXT, str(path)) == 1


@pytest.mark.parametrize(("data", "words"), [(b"", "it is empty"), (b"hello\n", "line 1: begins no message")])
def test_nothing_to_take_is_said_and_nothing_is_written(
    path: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    data: bytes,
    words: str,
) -> None:
    out = tmp_path / "out.day.json"
    assert run(monkeypatch, data, str(path), "-o", str(out)) == 3
    assert words in capsys.readouterr().err
    assert not out.exists()


def test_an_output_that_cannot_be_written_is_said(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert run(monkeypatch, TEXT, str(path), "-o", str(path.parent / "no" / "where.day.json")) == 4
