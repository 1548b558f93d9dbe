"""Times of a schedule: written forms, and every change of the clocks of every zone against an independent library."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import available_timezones

import pytest
from dateutil import tz

from legtide.files.times import TimeError, moments, read_time

ZONES = sorted(name for name in available_timezones() if name != "localtime")


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        ("2031-03-05T06:10Z", "2031-03-05 06:10:00"),
        ("2031-03-05t06:10z", "2031-03-05 06:10:00"),
        ("2031-03-05 06:10Z", "2031-03-05 06:10:00"),
        ("2031-03-05T06:10:30Z", "2031-03-05 06:10:30"),
        ("2031-03-05T06:10:30.25Z", "2031-03-05 06:10:30.250000"),
        ("2031-03-05T06:10:30,5Z", "2031-03-05 06:10:30.500000"),
        ("2031-03-05T06:10+01:00", "2031-03-05 05:10:00"),
        ("2031-03-05T06:10+0545", "2031-03-05 00:25:00"),
        ("2031-03-05T06:10-03:30", "2031-03-05 09:40:00"),
        ("2031-03-05T06:10-08", "2031-03-05 14:10:00"),
        ("20310305T0610Z", "2031-03-05 06:10:00"),
        ("2031-12-31T23:30-01:00", "2032-01-01 00:30:00"),
        ("2032-02-29T12:00Z", "2032-02-29 12:00:00"),
    ],
)
def test_forms_of_iso_8601_with_a_zone(text: str, utc: str) -> None:
    """ISO 8601-1:2019, 5.4: calendar date and time of day, basic and extended format."""
    assert read_time(text) == datetime.fromisoformat(utc).replace(tzinfo=UTC)


def test_a_time_without_a_zone_is_left_to_its_station() -> None:
    assert read_time("2031-03-05T06:10") == datetime(2031, 3, 5, 6, 10)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "is not a date and time written like"),
        ("06:10", "is not a date and time written like"),
        ("2031-03-05", "is not a date and time written like"),
        ("05.03.2031 06:10", "is not a date and time written like"),
        ("3/5/2031 6:10 AM", "is not a date and time written like"),
        ("1930000000", "is not a date and time written like"),
        ("2031-03-05T06Z", "is not a date and time written like"),
        ("2031-03-05T06:10Z Z", "is not a date and time written like"),
        ("2031-03-05T06:10 Europe/Berlin", "is not a date and time written like"),
        ("２０３１-03-05T06:10Z", "is not a date and time written like"),
        ("2031-02-29T06:10Z", "is no date and time of the calendar"),
        ("2031-13-01T06:10Z", "is no date and time of the calendar"),
        ("2031-03-05T24:00Z", "is no date and time of the calendar"),
        ("2031-03-05T06:60Z", "is no date and time of the calendar"),
        ("2031-03-05T06:10:60Z", "is no date and time of the calendar"),
        ("2031-03-05T06:10+24:00", "is no date and time of the calendar"),
        ("2031-03-05T06:10+05:60", "is no date and time of the calendar"),
        ("0001-01-01T00:00Z", "does not lie in the years 1970 to 2199"),
        ("9999-12-31T23:59Z", "does not lie in the years 1970 to 2199"),
    ],
)
def test_what_is_no_time_is_refused_with_the_reason(text: str, reason: str) -> None:
    with pytest.raises(TimeError, match=reason):
        read_time(text)


# clock changes --------------------------------------------------------------------------------------------


def wall(moment: datetime, zone: tz.tzfile) -> datetime:
    """What clocks show at a moment, by the independent library."""
    return moment.astimezone(zone).replace(tzinfo=None)


def changes(zone: tz.tzfile, year: int) -> list[datetime]:
    """The moments (to the minute) in a year at which the offset of a zone changes."""
    found = []
    days = [datetime(year, 1, 1, tzinfo=UTC) + timedelta(days=n) for n in range(367)]
    offsets = [day.astimezone(zone).utcoffset() for day in days]
    for day, before, after in zip(days, offsets, offsets[1:], strict=False):
        if before == after:
            continue
        low, high = day, day + timedelta(days=1)
        while high - low > timedelta(minutes=1):
            middle = low + (high - low) / 2
            low, high = (middle, high) if middle.astimezone(zone).utcoffset() == before else (low, middle)
        found.append(high.replace(second=0, microsecond=0))
    return found


def check_around(name: str, change: datetime) -> tuple[int, int]:
    """Compares every quarter of an hour around a change; returns how many local times were missing and doubled."""
    zone = tz.gettz(name)
    quarters = [change + timedelta(minutes=15 * n) for n in range(-120, 121)]
    by_wall: dict[datetime, list[datetime]] = {}
    for moment in quarters:
        by_wall.setdefault(wall(moment, zone), []).append(moment)
    missing = doubled = 0
    first, last = wall(change - timedelta(hours=3), zone), wall(change + timedelta(hours=3), zone)
    local = min(first, last)
    while local <= max(first, last):
        expected = tuple(sorted(by_wall.get(local, [])))
        assert moments(local, name) == expected, f"{name} {local}"
        missing += not expected
        doubled += len(expected) == 2
        local += timedelta(minutes=15)
    return missing, doubled


def test_every_clock_change_of_a_year_in_every_zone_agrees_with_dateutil() -> None:
    """python-dateutil reads the same public data (IANA tz database) with a reader of its own."""
    missing = doubled = zones = 0
    for name in ZONES:
        found = changes(tz.gettz(name), 2026)
        zones += bool(found)
        for change in found:
            gaps, repeats = check_around(name, change)
            assert gaps or repeats
            missing, doubled = missing + gaps, doubled + repeats
    assert zones > 100
    assert missing > 300
    assert doubled > 300


@pytest.mark.long
@pytest.mark.parametrize("year", [*range(1975, 2036, 5), 2011])
def test_clock_changes_of_other_years(year: int) -> None:
    for name in ZONES:
        for change in changes(tz.gettz(name), year):
            check_around(name, change)


def test_ordinary_times_agree_with_dateutil_in_every_zone() -> None:
    for name in ZONES:
        zone = tz.gettz(name)
        for local in (datetime(2026, 12, 31, 23, 45), datetime(2028, 2, 29, 12, 0), datetime(2026, 7, 1, 0, 0)):
            (moment,) = moments(local, name)
            assert wall(moment, zone) == local


@pytest.mark.parametrize(
    ("zone", "local", "utc"),
    [
        # IANA tz database, files europe, asia, australasia, northamerica
        ("Europe/Berlin", "2026-03-29T02:30", []),
        ("Europe/Berlin", "2026-10-25T02:30", ["2026-10-25T00:30", "2026-10-25T01:30"]),
        ("Europe/Berlin", "2026-10-25T03:00", ["2026-10-25T02:00"]),
        ("America/New_York", "2013-03-10T02:00", []),
        ("America/New_York", "2013-03-10T03:00", ["2013-03-10T07:00"]),
        ("America/New_York", "2013-11-03T01:59", ["2013-11-03T05:59", "2013-11-03T06:59"]),
        ("Australia/Lord_Howe", "2026-10-04T02:15", []),
        ("Australia/Lord_Howe", "2026-04-05T01:45", ["2026-04-04T14:45", "2026-04-04T15:15"]),
        ("Asia/Kathmandu", "2026-06-01T00:00", ["2026-05-31T18:15"]),
        ("Asia/Kolkata", "2026-01-01T00:00", ["2025-12-31T18:30"]),
        ("Pacific/Apia", "2011-12-30T12:00", []),
        ("Pacific/Kiritimati", "2026-01-01T00:00", ["2025-12-31T10:00"]),
        ("UTC", "2026-03-29T02:30", ["2026-03-29T02:30"]),
    ],
)
def test_known_nights(zone: str, local: str, utc: list[str]) -> None:
    found = moments(datetime.fromisoformat(local), zone)
    assert [f"{moment:%Y-%m-%dT%H:%M}" for moment in found] == utc
