"""Time and pixels: round trips, labels, and the two nights on which clocks change."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from dateutil import tz
from hypothesis import given
from hypothesis import strategies as st

from legtide.draw.scale import LABEL_ROOM_PX, TimeScale, fitted, label_step, minor_ticks, offset_text, ticks
from legtide.engine.types import to_datetime, to_minutes

MIDNIGHT = to_minutes(datetime(2026, 5, 14, tzinfo=UTC))
BERLIN = ZoneInfo("Europe/Berlin")


@given(st.floats(0.02, 24.0), st.floats(-1e4, 1e4))
def test_a_time_and_its_pixel_are_the_same_place(px_per_min: float, minutes: float) -> None:
    scale = TimeScale(MIDNIGHT, px_per_min)
    assert scale.minutes(scale.x(MIDNIGHT + minutes)) == pytest.approx(MIDNIGHT + minutes, abs=1e-6)


def test_an_array_of_times_goes_the_same_way_as_one_time() -> None:
    scale = TimeScale(MIDNIGHT, 1.5)
    assert scale.x(np.array([MIDNIGHT, MIDNIGHT + 60.0])).tolist() == [scale.x(MIDNIGHT), scale.x(MIDNIGHT + 60.0)]


def test_a_fitted_scale_fills_the_width() -> None:
    scale = fitted(MIDNIGHT, MIDNIGHT + 720.0, 1440.0)
    assert scale.x(MIDNIGHT + 720.0) == pytest.approx(1440.0)


@given(st.floats(0.02, 24.0))
def test_labels_have_room(px_per_min: float) -> None:
    step = label_step(px_per_min)
    assert step * px_per_min >= LABEL_ROOM_PX or step == 1440
    assert 1440 % step == 0


def test_labels_stand_at_whole_hours_with_the_local_time_beside() -> None:
    scale = TimeScale(MIDNIGHT, 1.0)
    found = ticks(scale, 350.0, 490.0, BERLIN)
    assert [(tick.x, tick.utc, tick.local) for tick in found] == [
        (360.0, "06:00", "08:00"),
        (420.0, "07:00", "09:00"),
        (480.0, "08:00", "10:00"),
    ]


def test_midnight_shows_the_date_in_its_own_row() -> None:
    scale = TimeScale(MIDNIGHT, 1.0)
    by_utc = {tick.minutes: tick for tick in ticks(scale, 1300.0, 1450.0, BERLIN)}
    assert by_utc[MIDNIGHT + 1320.0].local == "Fri 15 May"
    assert by_utc[MIDNIGHT + 1440.0].utc == "Fri 15 May"
    assert by_utc[MIDNIGHT + 1440.0].local == "02:00"


@pytest.mark.parametrize(
    ("night", "zone"),
    [
        (datetime(2026, 3, 29, tzinfo=UTC), "Europe/Berlin"),
        (datetime(2026, 10, 25, tzinfo=UTC), "Europe/Berlin"),
        (datetime(2026, 4, 4, tzinfo=UTC), "Australia/Lord_Howe"),
        (datetime(2026, 10, 3, tzinfo=UTC), "Australia/Lord_Howe"),
        (datetime(2026, 5, 14, tzinfo=UTC), "Asia/Kathmandu"),
    ],
)
def test_local_labels_agree_with_an_independent_time_zone_library(night: datetime, zone: str) -> None:
    """dateutil reads the same zones with code of its own; an hour that comes twice is labelled twice."""
    other = tz.gettz(zone)
    for tick in ticks(TimeScale(to_minutes(night), 1.0), 0.0, 1440.0, ZoneInfo(zone)):
        expected = to_datetime(tick.minutes).astimezone(other)
        if not tick.local_midnight:
            assert tick.local == expected.strftime("%H:%M")


def test_the_offset_names_both_sides_of_a_change_of_clocks() -> None:
    night = to_minutes(datetime(2026, 10, 24, 20, tzinfo=UTC))
    assert offset_text(BERLIN, night, night + 720.0) == "UTC+2, +1"
    assert offset_text(BERLIN, MIDNIGHT, MIDNIGHT + 600.0) == "UTC+2"
    assert offset_text(ZoneInfo("Asia/Kathmandu"), MIDNIGHT, MIDNIGHT + 60.0) == "UTC+5:45"
    assert offset_text(ZoneInfo("America/St_Johns"), MIDNIGHT, MIDNIGHT + 60.0) == "UTC-2:30"


def test_small_ticks_divide_the_distance_between_labels() -> None:
    scale = TimeScale(MIDNIGHT, 1.0)
    assert minor_ticks(scale, 0.0, 90.0) == [0.0, 30.0, 60.0, 90.0]


def test_zooming_stays_within_sensible_bounds() -> None:
    scale = TimeScale(MIDNIGHT, 1.0)
    assert scale.zoomed(1e9).px_per_min == 24.0
    assert scale.zoomed(1e-9).px_per_min == 0.02
