"""Layout and hit testing: what is painted at a place is what is found there."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from legtide.draw.axis import HEADER_PX
from legtide.draw.board import BoardLayout
from legtide.draw.content import BoardContent, board_content
from legtide.draw.flags import flags
from legtide.draw.gutter import GUTTER_PX
from legtide.draw.hits import Hit, hit
from legtide.draw.lanes import lane_groups, lane_tops
from legtide.draw.rows import (
    DENSE_PX,
    FOCUS_PX,
    NORMAL_PX,
    TALL_PX,
    TIGHT_PX,
    RowBox,
    frame,
    normal_height,
    opened_height,
    stacked,
    style_for,
    style_to_fit,
)
from legtide.draw.scale import fitted
from legtide.draw.scene import RowScene, spread
from legtide.engine.projection import project
from support.boards import board_day


@pytest.fixture(scope="module")
def content() -> BoardContent:
    day = board_day(12)
    return board_content(day, project(day))


def laid_out(content: BoardContent, focus: int | None = 4, scroll_y: int = 0, width: int = 1800) -> BoardLayout:
    scale = fitted(content.start - 20.0, content.end + 20.0, width - GUTTER_PX)
    stack = stacked(len(content.rows), focus, "normal", NORMAL_PX)
    return BoardLayout(width, 1000, scale, stack, lane_groups(content), scroll_y=scroll_y)


def scene_of(content: BoardContent, layout: BoardLayout, box: RowBox) -> RowScene:
    return RowScene(content.rows[box.index], layout.scale, box.frame)


def found_at(content: BoardContent, layout: BoardLayout, x: float, y: float) -> Hit:
    return hit(layout, lambda box: scene_of(content, layout, box), x, y)


@pytest.mark.parametrize("scroll_y", [0, 120])
def test_every_marker_in_view_is_found_where_it_is_painted(content: BoardContent, scroll_y: int) -> None:
    layout = laid_out(content, scroll_y=scroll_y)
    seen = 0
    for box in layout.stack.boxes:
        for spot in scene_of(content, layout, box).spots:
            x, y = layout.view_x(spot.x), layout.view_top(box) + spot.y
            if layout.plot.contains(x, y):
                seen += 1
                assert found_at(content, layout, x, y).service == spot.marker.service.id
    assert seen > 20


def test_every_leg_and_turn_is_found_in_its_row(content: BoardContent) -> None:
    layout = laid_out(content)
    for box in layout.stack.boxes[:6]:
        scene = scene_of(content, layout, box)
        y = layout.view_top(box) + box.frame.height - 3.0
        for leg in scene.legs:
            at = found_at(content, layout, layout.view_x((leg.left + leg.right) / 2.0), y)
            assert (at.kind, at.leg.leg.id if at.leg else None) in [("leg", leg.leg.id), ("flag", leg.leg.id)]
        for turn in scene.turns[1:-1]:
            at = found_at(content, layout, layout.view_x((turn.left + turn.right) / 2.0), y)
            assert at.turn is not None
            assert at.turn.turn.number == turn.turn.number


def test_a_flag_is_found_at_the_start_of_its_stretch(content: BoardContent) -> None:
    layout = laid_out(content)
    seen = 0
    for box in layout.stack.boxes:
        scene = scene_of(content, layout, box)
        for stretch in scene.content.stretches:
            x = layout.view_x(scene.scale.x((stretch.start + stretch.end) / 2.0))
            strip = scene.frame.strip(stretch.tank)
            y = layout.view_top(box) + (strip.bottom + 1.0 if stretch.tank == "fresh" else strip.top + 1.0)
            found = found_at(content, layout, x, y)
            if found.kind == "flag":
                seen += 1
                assert found.stretch is not None
                assert found.stretch.start <= found.minutes <= found.stretch.end
    assert seen > 3


def test_sentences_in_an_opened_row_cover_neither_each_other_nor_the_gutter(
    qapp: object, content: BoardContent
) -> None:
    sentences = 0
    for width in (700, 1100, 1800):
        layout = laid_out(content, focus=None, width=width)
        for row in content.rows:
            one = RowScene(row, layout.scale, frame("focus", FOCUS_PX))
            boxes = [flag.box for flag in flags(one) if flag.box is not None]
            sentences += len(boxes)
            assert all(layout.view_x(box.left()) >= GUTTER_PX for box in boxes)
            assert not any(box.intersects(other) for box, other in itertools.combinations(boxes, 2))
            assert len(flags(one)) == len(row.stretches)
    assert sentences > 20


def test_the_parts_of_the_board_are_told_apart(content: BoardContent) -> None:
    layout = laid_out(content)
    kinds = {
        "header": (400.0, 5.0),
        "gutter": (20.0, HEADER_PX + 10.0),
        "legend": (300.0, layout.height - 4.0),
        "lane": (20.0, layout.rows_bottom + 40.0),
    }
    assert {name: found_at(content, layout, *point).kind for name, point in kinds.items()} == {
        name: name for name in kinds
    }


def test_a_service_is_found_in_its_truck_lane(content: BoardContent) -> None:
    layout = laid_out(content)
    seen = 0
    for top, lane in lane_tops(layout.groups):
        services = [piece for piece in (lane.pieces if lane is not None else ()) if piece.kind == "service"]
        for piece in services:
            seen += 1
            middle = (piece.start + piece.end) / 2.0
            # Of services that one truck cannot work at once, the one on top is found.
            top_most = [other for other in services if other.start <= middle <= other.end][-1]
            found = found_at(content, layout, layout.x_of(middle), layout.rows_bottom + top + 10.0)
            assert found.service == top_most.service
    assert seen > 3


def test_the_opened_row_has_a_strip_for_each_tank_and_others_share_one() -> None:
    opened, normal, dense = frame("focus", FOCUS_PX), frame("normal", NORMAL_PX), frame("dense", DENSE_PX)
    assert opened.fresh.bottom < opened.waste.top
    assert normal.fresh is normal.waste
    assert dense.fresh is dense.waste
    assert normal.bar_bottom - normal.bar_top == 18.0
    assert normal.fresh.top - normal.bar_bottom == 5.0
    assert 58 <= NORMAL_PX <= 63
    assert 156 <= FOCUS_PX <= 176


@given(st.integers(1, 60), st.floats(0.0, 4000.0))
def test_the_row_at_a_pixel_is_the_one_that_covers_it(count: int, y: float) -> None:
    stack = stacked(count, count // 2, "normal", NORMAL_PX)
    box = stack.at(y)
    assert (box is None) == (y >= stack.height)
    assert box is None or box.top <= y < box.bottom


@given(st.integers(0, 60), st.floats(-100.0, 4000.0), st.floats(0.0, 900.0))
def test_the_rows_between_two_pixels_are_all_that_reach_into_them(count: int, top: float, height: float) -> None:
    stack = stacked(count, None, "dense", DENSE_PX)
    expected = [box for box in stack.boxes if box.bottom > top and box.top < top + height]
    assert list(stack.between(top, top + height)) == expected


def test_rows_are_dense_above_fifteen_aircraft() -> None:
    assert style_for(15) == "normal"
    assert style_for(16) == "dense"


def test_normal_rows_give_a_little_height_where_that_spares_a_scroll_bar() -> None:
    open_too = FOCUS_PX - NORMAL_PX
    assert normal_height(10, 10 * NORMAL_PX + open_too) == NORMAL_PX
    assert normal_height(10, 10 * NORMAL_PX + open_too - 1) == TIGHT_PX
    assert normal_height(10, 10 * TIGHT_PX + open_too - 1) == NORMAL_PX


@given(st.integers(1, 15), st.integers(300, 3000))
def test_tall_rows_leave_room_for_the_opened_one(count: int, room: int) -> None:
    height = normal_height(count, room)
    assert height <= TALL_PX
    assert height % 4 == 0
    if height > NORMAL_PX:
        assert (count - 1) * height + opened_height(height) <= room


def test_rows_of_a_picture_share_its_room() -> None:
    assert style_to_fit(10, 10 * NORMAL_PX + FOCUS_PX - NORMAL_PX) == ("normal", NORMAL_PX)
    assert style_to_fit(2, 2_000.0) == ("normal", TALL_PX)
    assert style_to_fit(10, 800.0, opens=False) == ("normal", 80)
    assert style_to_fit(15, 800.0) == ("normal", 53)
    assert style_to_fit(36, 800.0) == ("dense", 22)
    assert style_to_fit(400, 800.0) == ("dense", 14)


@given(st.lists(st.floats(-1e3, 1e3), max_size=30).map(sorted), st.floats(1.0, 50.0))
def test_spread_markers_keep_their_order_and_distance_and_their_middle(wanted: list[float], distance: float) -> None:
    places = spread(wanted, distance)
    assert all(after - before >= distance - 1e-6 for before, after in itertools.pairwise(places))
    assert sum(places) == pytest.approx(sum(wanted), abs=1e-6)


def test_markers_with_room_stay_at_their_time() -> None:
    assert spread([0.0, 40.0, 80.0], 18.0) == [0.0, 40.0, 80.0]
    assert spread([10.0, 10.0], 18.0) == [1.0, 19.0]
