"""Versions that a save replaces are kept, thinned out with age, and never stand in the way of a save."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from legtide.day.edits import retitled
from legtide.files import backups
from legtide.files.backups import DAILY, HOURLY, LATEST, keep, thinned, versions
from legtide.files.day_file import parse, save
from support.full_day import full_day

NOW = datetime(2031, 3, 5, 12, tzinfo=UTC)


def test_the_version_before_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "a.day.json"
    for title in ("one", "two", "three"):
        assert save(retitled(full_day(), title), path).backup_note == ""
    assert [parse(row.path.read_bytes()).day.title for row in versions(path)] == ["one", "two"]


def test_the_same_version_is_kept_once(tmp_path: Path) -> None:
    path = tmp_path / "a.day.json"
    for minutes in range(4):
        assert keep(path, b"same", NOW + timedelta(minutes=minutes)) == ""
    assert len(versions(path)) == 1


def test_files_of_the_same_name_do_not_mix(tmp_path: Path) -> None:
    keep(tmp_path / "one" / "a.day.json", b"1", NOW)
    keep(tmp_path / "two" / "a.day.json", b"2", NOW)
    assert [row.path.read_bytes() for row in versions(tmp_path / "one" / "a.day.json")] == [b"1"]


def test_a_month_of_saves_leaves_few(tmp_path: Path) -> None:
    path = tmp_path / "a.day.json"
    for number in range(200):
        keep(path, str(number).encode(), NOW + timedelta(minutes=150 * number))
    kept = versions(path)
    last = NOW + timedelta(minutes=150 * 199)
    assert len(kept) <= LATEST + HOURLY + DAILY
    assert [row.kept for row in kept[-LATEST:]] == [last - timedelta(minutes=150 * back) for back in range(4, -1, -1)]
    assert {row.kept.date() for row in kept} == {(last - timedelta(days=back)).date() for back in range(DAILY)}


@given(st.lists(st.integers(0, 60 * 24 * 40), max_size=80))
def test_thinning_keeps_the_latest_one_an_hour_and_one_a_day(minutes: list[int]) -> None:
    times = {NOW - timedelta(minutes=back) for back in minutes}
    kept = thinned(times)
    assert kept <= times
    assert set(sorted(times)[-LATEST:]) <= kept
    assert len(kept) <= LATEST + HOURLY + DAILY
    days = sorted({moment.date() for moment in times})[-DAILY:]
    assert {max(t for t in times if t.date() == day) for day in days} <= kept
    hours = sorted({(moment.date(), moment.hour) for moment in times})[-HOURLY:]
    assert {max(t for t in times if (t.date(), t.hour) == hour) for hour in hours} <= kept
    assert thinned(kept) == kept


def test_backups_that_cannot_be_kept_do_not_stop_a_save(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "blocked"
    blocked.write_bytes(b"")
    monkeypatch.setenv("LEGTIDE_STATE_DIR", str(blocked))
    path = tmp_path / "a.day.json"
    save(full_day(), path)
    saved = save(retitled(full_day(), "Two"), path)
    assert saved.backup_note.startswith("no backup of the version before was kept: ")
    assert parse(path.read_bytes()).day.title == "Two"


def test_other_files_in_the_folder_are_left_alone(tmp_path: Path, own_state: Path) -> None:
    path = tmp_path / "a.day.json"
    keep(path, b"1", NOW)
    other = versions(path)[0].path.with_name("notes.txt")
    other.write_bytes(b"mine")
    keep(path, b"2", NOW + timedelta(days=100))
    assert other.exists()
    assert len(versions(path)) == 2
    assert other.is_relative_to(own_state)


def test_times_are_told_apart_to_the_microsecond(tmp_path: Path) -> None:
    path = tmp_path / "a.day.json"
    for number in range(3):
        keep(path, str(number).encode(), NOW + timedelta(microseconds=number))
    assert [row.path.read_bytes() for row in versions(path)] == [b"0", b"1", b"2"]
    assert backups.LATEST == 5
