"""The stretches that are hatched: exactly where the band's edge is beyond the limit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from legtide.day.edits import delete_service
from legtide.day.rotations import off_blocks, on_blocks
from legtide.draw.content import board_content
from legtide.draw.stretches import beyond, crossings, stretches
from legtide.engine.projection import project
from legtide.engine.types import Caution, TankCurve, to_minutes
from support.boards import board_day


def curve(tank: str, edge: list[float], minutes: list[float], limit: float) -> TankCurve:
    """A curve whose 5-95 % edge on the limit's side runs through the given points."""
    levels = np.full((5, len(edge)), 50.0)
    levels[0 if tank == "fresh" else 4] = edge
    over = np.linspace(0.0, 0.4, len(edge))
    return TankCurve(tank, 100.0, limit, np.array(minutes), levels, levels[2], over, over)  # type: ignore[arg-type]


def test_a_stretch_begins_and_ends_where_the_line_between_two_points_crosses() -> None:
    assert crossings(np.array([0.0, 10.0, 20.0]), np.array([-1.0, 1.0, -3.0])) == [(5.0, 12.5)]


def test_a_jump_at_a_service_ends_a_stretch_at_its_time() -> None:
    assert crossings(np.array([0.0, 10.0, 10.0, 20.0]), np.array([-1.0, 1.0, -5.0, -5.0])) == [(5.0, 10.0)]


def test_a_course_that_stays_beyond_runs_to_its_end() -> None:
    assert crossings(np.array([3.0, 9.0]), np.array([1.0, 1.0])) == [(3.0, 9.0)]
    assert crossings(np.array([3.0, 9.0]), np.array([-1.0, 0.0])) == []


@given(st.lists(st.integers(-9, 9), min_size=2, max_size=40))
def test_the_course_is_above_zero_inside_every_stretch_and_nowhere_else(values: list[int]) -> None:
    minutes, excess = np.arange(len(values), dtype=float), np.array(values, dtype=float)
    found = crossings(minutes, excess)
    for at in np.linspace(0.0, len(values) - 1.0, 200):
        inside = any(start < at < end for start, end in found)
        height = float(np.interp(at, minutes, excess))
        if abs(height) > 1e-9 and not any(abs(at - edge) < 1e-9 for pair in found for edge in pair):
            assert inside == (height > 0.0)


def test_fresh_is_beyond_below_its_reserve_and_waste_above_its_limit() -> None:
    assert beyond(curve("fresh", [20.0, 3.0], [0.0, 1.0], 5.0)).tolist() == [-15.0, 2.0]
    assert beyond(curve("waste", [80.0, 95.0], [0.0, 1.0], 90.0)).tolist() == [-10.0, 5.0]


def test_a_stretch_is_as_urgent_as_the_caution_on_its_leg_and_else_as_its_own_risk() -> None:
    day = board_day(1)
    rotation = project(day).aircraft["QX-AAA"].rotation
    leg = rotation.legs[2]
    start, end = to_minutes(off_blocks(leg)), to_minutes(on_blocks(leg))
    course = curve("waste", [80.0, 100.0], [start, end], 90.0)
    breach = Caution("waste-over-limit", "breach", "", leg=leg.id, tank="waste")
    watch = Caution("waste-near-limit", "caution", "", leg=leg.id, tank="waste")
    other = Caution("fresh-below-reserve", "breach", "", leg=leg.id, tank="fresh")
    urgency = {
        name: stretches(course, rotation, rows, limit)[0].urgency
        for name, rows, limit in (
            ("breach", [watch, breach], 0.9),
            ("watch", [watch], 0.1),
            ("own risk, high", [other], 0.1),
            ("own risk, low", [], 0.9),
        )
    }
    assert urgency == {"breach": "act", "watch": "watch", "own risk, high": "act", "own risk, low": "watch"}
    assert stretches(course, rotation, [], 0.9)[0].peak == pytest.approx(0.4)


def test_rows_whose_aircraft_did_not_change_stay_the_same_objects() -> None:
    day = board_day(4)
    projection = project(day)
    before = board_content(day, projection)
    changed = delete_service(day, before.rows[1].markers[0].service.id)
    after = board_content(changed, project(changed, projection), before)
    assert [one is other for one, other in zip(before.rows, after.rows, strict=True)] == [True, False, True, True]
