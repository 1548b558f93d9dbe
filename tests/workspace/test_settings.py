"""Settings: kept as they were, and never a reason not to start."""

from __future__ import annotations

from pathlib import Path

import pytest

from legtide.workspace.settings import (
    MOST_RECENT,
    Settings,
    load_settings,
    save_settings,
    with_recent,
    without_recent,
)


def test_what_was_saved_comes_back(tmp_path):
    path = tmp_path / "config" / "settings.json"
    wanted = Settings(theme="dark", unit="US gal", local_station="HOLN", recent=("/a/b.day.json",), panel_px=400)
    assert save_settings(path, wanted)
    assert load_settings(path) == (wanted, "")
    assert [row.name for row in path.parent.iterdir()] == ["settings.json"]


def test_no_file_gives_the_defaults_without_a_word(tmp_path):
    assert load_settings(tmp_path / "none.json") == (Settings(), "")


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"\xff\xfe\x00",
        b"[]",
        b'{"theme": "purple"}',
        b'{"panel_px": 1e400}',
        b'{"recent": ["' + b"x" * 5000 + b'"]}',
        b'{"geometry": "<img src=x>"}',
        b"[" * 100_000,
        b" " * 300_000,
    ],
)
def test_a_broken_file_gives_the_defaults_a_note_and_is_kept(tmp_path, content):
    path = tmp_path / "settings.json"
    path.write_bytes(content)
    settings, note = load_settings(path)
    assert settings == Settings()
    assert "defaults" in note
    assert (tmp_path / "settings-unreadable.json").read_bytes() == content
    assert not path.exists()


def test_a_key_of_a_newer_program_is_passed_over(tmp_path):
    path = tmp_path / "settings.json"
    path.write_text('{"theme": "light", "something_new": 1}')
    assert load_settings(path) == (Settings(theme="light"), "")


def test_a_folder_that_cannot_be_written_is_told(tmp_path, caplog):
    (tmp_path / "file").write_text("")
    assert not save_settings(tmp_path / "file" / "settings.json", Settings())
    assert "settings not saved" in caplog.text


def test_recent_files_are_unique_newest_first_and_few():
    settings = Settings()
    for number in range(20):
        settings = with_recent(settings, Path(f"/days/{number}.day.json"))
    settings = with_recent(settings, Path("/days/15.day.json"))
    assert settings.recent[0] == "/days/15.day.json"
    assert len(settings.recent) == len(set(settings.recent)) == MOST_RECENT
    assert "/days/15.day.json" not in without_recent(settings, Path("/days/15.day.json")).recent
