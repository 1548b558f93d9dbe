"""The calls as a calendar, read back by an independent library."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from legtide.day import edits
from legtide.day.document import Day, Service
from legtide.engine.projection import project
from legtide.files.calls_calendar import calls_calendar, escaped, folded
from support.days import rotation_day

STAMP = datetime(2026, 5, 13, 20, 15, 30, tzinfo=UTC)
REMARK = "semi; comma, back\\slash " + "é→𝄞" * 40


@pytest.fixture
def day() -> Day:
    services = (
        Service(id="f", aircraft="QX-0", turn=2, tank="fresh", truck="W1", remark=REMARK),
        Service(id="w", aircraft="QX-0", turn=3, tank="waste"),
        Service(id="d", aircraft="QX-1", turn=2, tank="waste", state="done"),
        Service(id="s", aircraft="QX-1", turn=4, tank="waste", state="skipped"),
        Service(id="x", aircraft="QX-1", turn=5, tank="fresh"),
    )
    return rotation_day(1.2, 8, aircraft=2, services=services)


def events(data: bytes) -> list[object]:
    return list(Calendar.from_ical(data).walk("VEVENT"))


def test_a_calendar_has_an_entry_with_an_alarm_for_each_planned_service(day: Day) -> None:
    projection = project(day)
    found = events(calls_calendar(projection, STAMP))
    planned = [row for one in projection.aircraft.values() for row in one.services if row.service.state == "planned"]
    assert len(found) == len(planned) == 3
    for event, row in zip(found, planned, strict=True):
        assert row.start is not None
        assert row.end is not None
        assert event.decoded("DTSTART") == row.start
        assert event.decoded("DTEND") == row.end.replace(microsecond=0)
        assert event.decoded("DTSTAMP") == STAMP
        assert row.service.aircraft in str(event["SUMMARY"])
        (alarm,) = event.walk("VALARM")
        assert alarm.decoded("TRIGGER") == -timedelta(minutes=day.policy.call_lead_min.value)
        assert str(alarm["ACTION"]) == "DISPLAY"
    assert len({str(event["UID"]) for event in found}) == 3


def test_text_comes_back_as_typed(day: Day) -> None:
    description = str(events(calls_calendar(project(day), STAMP))[0]["DESCRIPTION"])
    assert REMARK in description
    assert "Truck W1" in description


def test_content_lines_are_those_of_the_standard(day: Day) -> None:
    """RFC 5545, 3.1: CRLF, at most 75 octets a line; cutting must not split a character."""
    data = calls_calendar(project(day), STAMP)
    assert data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    lines = data.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert any(line.startswith(b" ") for line in lines)
    for line in lines:
        line.decode("utf-8")
    # 3.3.5: form 2, UTC.
    assert b"DTSTAMP:20260513T201530Z" in lines


def test_a_service_that_moves_keeps_its_name(day: Day) -> None:
    moved = edits.move_service(day, "f", 2, day.legs[1].sta + timedelta(minutes=20))
    before, after = (events(calls_calendar(project(one), STAMP))[0] for one in (day, moved))
    assert before["UID"] == after["UID"]
    assert before["DTSTART"] != after["DTSTART"]


def test_only_what_is_asked_for_is_in_it(day: Day) -> None:
    projection = project(day)
    assert len(events(calls_calendar(projection, STAMP, aircraft="QX-1"))) == 1
    assert len(events(calls_calendar(projection, STAMP, station="ABLE"))) == 1
    assert len(events(calls_calendar(projection, STAMP, station="BAKE"))) == 2


@given(st.text(st.characters(exclude_categories=("Cc", "Cs")), max_size=300))
def test_any_text_is_folded_and_unfolded_without_loss(text: str) -> None:
    data = folded(f"SUMMARY:{escaped(text)}")
    parts = data.removesuffix(b"\r\n").split(b"\r\n")
    assert all(len(part) <= 75 for part in parts)
    assert all(part.decode("utf-8").startswith(" ") for part in parts[1:])
    event = b"BEGIN:VEVENT\r\nUID:x\r\nDTSTAMP:20260513T201530Z\r\n" + data + b"END:VEVENT\r\n"
    found = Calendar.from_ical(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\n" + event + b"END:VCALENDAR\r\n")
    assert str(found.walk("VEVENT")[0]["SUMMARY"]) == text
