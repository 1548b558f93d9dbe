"""What is on the pixels: markers at their place, hatches over exactly their stretch, seams that cannot be seen."""

from __future__ import annotations

import itertools
import sys

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from legtide.day.document import ServiceState
from legtide.draw.colours import DARK, LIGHT, Palette, colour
from legtide.draw.content import RowContent, board_content
from legtide.draw.fan import Window, hatch_rect
from legtide.draw.geometry import dashed_level, dashed_path, hatch, polygon
from legtide.draw.ink import Ink
from legtide.draw.row_painter import paint_base, paint_levels
from legtide.draw.rows import FOCUS_PX, NORMAL_PX, RowStyle, frame
from legtide.draw.scale import TimeScale
from legtide.draw.scene import RowScene
from legtide.draw.services import Look, paint_marker, paint_reading
from legtide.draw.signs import Sign, paint_sign
from legtide.engine.projection import project
from support.boards import HOME, board_day

WIDTH = 1400


@pytest.fixture(scope="module")
def rows() -> tuple[RowContent, ...]:
    day = board_day(12)
    return board_content(day, project(day)).rows


def scene(row: RowContent, style: RowStyle = "focus", height: int = FOCUS_PX) -> RowScene:
    return RowScene(row, TimeScale(row.start - 30.0, 1.2), frame(style, height))


def painted(one: RowScene, pieces: int = 1, colours: Palette = LIGHT, levels: bool = True) -> QImage:
    """The row, painted in so many pieces side by side as the tiles of the canvas are."""
    image = QImage(WIDTH, one.frame.height, QImage.Format.Format_RGB32)
    ink = Ink(colours, 1.0, HOME)
    width = WIDTH // pieces
    for piece in range(pieces):
        part = QImage(width, one.frame.height, QImage.Format.Format_RGB32)
        with QPainter(part) as painter:
            painter.translate(-piece * width, 0.0)
            window = Window(float(piece * width), float((piece + 1) * width))
            paint_base(painter, one, window, ink)
            if levels:
                paint_levels(painter, one, window, ink)
        with QPainter(image) as painter:
            painter.drawImage(piece * width, 0, part)
    return image


def pixels(image: QImage) -> np.ndarray:
    image = image.convertToFormat(QImage.Format.Format_RGB32)
    raw = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4)
    return raw[:, :, 2::-1].astype(int)


def near(image: QImage, name: str, reach: int = 60) -> np.ndarray:
    """Where the pixels are about of a colour."""
    wanted = np.array(QColor(name).getRgb()[:3])
    return np.abs(pixels(image) - wanted).sum(axis=2) < reach


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_every_marker_is_painted_at_its_place(qapp: object, rows: tuple[RowContent, ...], colours: Palette) -> None:
    seen = 0
    for row in rows[:6]:
        one = scene(row, "normal", NORMAL_PX)
        image = painted(one, colours=colours)
        for spot in one.spots:
            if not 20.0 < spot.x < WIDTH - 20.0:
                continue
            seen += 1
            hue = colours.hue(spot.marker.service.tank)
            box = near(image, hue)[int(spot.y) - 9 : int(spot.y) + 9, int(spot.x) - 8 : int(spot.x) + 8]
            assert box.mean() > 0.3, spot.marker.service
            empty = near(painted(one, colours=colours, levels=False), hue)
            assert empty[int(spot.y) - 9 : int(spot.y) + 9, int(spot.x) - 8 : int(spot.x) + 8].mean() == 0.0
    assert seen > 10


def test_a_hatch_lies_over_exactly_its_stretch(qapp: object, rows: tuple[RowContent, ...]) -> None:
    seen = 0
    for row in rows:
        one = scene(row, "normal", NORMAL_PX)
        bare = RowContent(row.projection, (), (), row.markers, 1.0, row.start, row.end)
        with_hatch, without = painted(one), painted(RowScene(bare, one.scale, one.frame))
        changed = np.abs(pixels(with_hatch) - pixels(without)).sum(axis=2) > 0
        for stretch in row.stretches:
            left, right = one.scale.x(stretch.start), one.scale.x(stretch.end)
            if right - left < 40.0 or left < 20.0 or right > WIDTH - 20.0:
                continue
            seen += 1
            # A line of pixels inside the hatch: just beyond the limit, away from the other tank's lines.
            rect = hatch_rect(row.projection.curve(stretch.tank), stretch, one.scale, one.frame.strip(stretch.tank))
            columns = np.flatnonzero(changed[int(rect.center().y())])
            near_by = columns[(columns > left - 25.0) & (columns < right + 25.0)]
            # The flag stands on the start and reaches 8 px before it; the pale ground of the hatch does the rest.
            assert left - 9.0 <= near_by.min() <= left
            assert abs(near_by.max() + 1 - right) <= 1.0
            assert near_by.size >= (right - left) * 0.95
    assert seen > 5


@pytest.mark.parametrize(("style", "height"), [("normal", NORMAL_PX), ("focus", FOCUS_PX), ("dense", 20)])
def test_a_row_painted_in_pieces_is_the_row_painted_at_once(
    qapp: object, rows: tuple[RowContent, ...], style: RowStyle, height: int
) -> None:
    for row in rows[:4]:
        one = scene(row, style, height)
        whole, pieced = pixels(painted(one)), pixels(painted(one, pieces=4))
        # Antialiased lines may round differently by a hair; nothing may be missing or doubled.
        assert np.abs(whole - pieced).max() <= 24


def test_the_level_lines_run_where_the_levels_are(qapp: object, rows: tuple[RowContent, ...]) -> None:
    row = rows[0]
    one = scene(row)
    curve = row.projection.fresh
    water = near(painted(one), LIGHT.water, 90)
    hits = 0
    for share in (0.15, 0.35, 0.55):
        minutes = row.start + share * (row.end - row.start)
        level = np.interp(minutes, curve.minutes, curve.levels[2]) / curve.capacity_l
        x, y = int(one.scale.x(minutes)), one.frame.fresh.y(float(level))
        hits += bool(water[int(y) - 2 : int(y) + 3, x].any())
    assert hits == 3


STATES: tuple[ServiceState, ...] = ("planned", "done", "skipped", "missed")


def grey_marker(look: Look) -> np.ndarray:
    """A marker without its hue: every colour as its lightness."""
    image = QImage(28, 28, QImage.Format.Format_RGB32)
    image.fill(QColor("#FFFFFF"))
    with QPainter(image) as painter:
        paint_marker(painter, 14.0, 14.0, look, LIGHT)
    return pixels(image).mean(axis=2) < 200


def test_markers_differ_by_shape_and_not_only_by_colour(qapp: object) -> None:
    looks = [Look(tank, state) for tank in ("fresh", "waste") for state in STATES]  # type: ignore[arg-type]
    looks += [Look(tank, proposal=True) for tank in ("fresh", "waste")]  # type: ignore[arg-type]
    looks += [Look(tank, pinned=True) for tank in ("fresh", "waste")]  # type: ignore[arg-type]
    shapes = {look: grey_marker(look) for look in looks}
    for one, other in itertools.combinations(looks, 2):
        assert (shapes[one] ^ shapes[other]).sum() >= 20, (one, other)


def test_signs_differ_by_shape(qapp: object) -> None:
    outlines = {}
    signs: tuple[Sign, ...] = ("act", "watch", "settled")
    for sign in signs:
        image = QImage(24, 24, QImage.Format.Format_RGB32)
        image.fill(QColor("#FFFFFF"))
        with QPainter(image) as painter:
            paint_sign(painter, 12.0, 12.0, sign, LIGHT)
        outlines[sign] = (pixels(image) < 250).any(axis=2)
    for one, other in itertools.combinations(outlines, 2):
        assert (outlines[one] ^ outlines[other]).sum() >= 20, (one, other)


def test_a_reading_that_is_not_used_is_hollow(qapp: object) -> None:
    filled = {}
    for used in (True, False):
        image = QImage(20, 20, QImage.Format.Format_RGB32)
        image.fill(QColor("#FFFFFF"))
        with QPainter(image) as painter:
            paint_reading(painter, 10.0, 10.0, "fresh", used, LIGHT)
        filled[used] = near(image, LIGHT.water)[10, 10]
    assert filled == {True: True, False: False}


def test_dashes_keep_their_phase_and_hatches_stay_inside() -> None:
    whole = dashed_level(0.0, 100.0, 5.5)
    assert len(whole) == 15
    assert len(dashed_level(0.0, 49.0, 5.5)) + len(dashed_level(49.0, 98.0, 5.5)) == 14
    rect = QRectF(10.0, 20.0, 55.0, 9.0)
    ends = hatch(rect, 5.0)._memory
    assert len(ends) > 8
    assert ends[:, (0, 2)].min() >= rect.left()
    assert ends[:, (0, 2)].max() <= rect.right()
    assert ends[:, (1, 3)].min() >= rect.top() - 1e-9
    assert ends[:, (1, 3)].max() <= rect.bottom() + 1e-9
    assert np.allclose(ends[:, 2] - ends[:, 0], ends[:, 1] - ends[:, 3])


def test_a_dashed_path_turns_corners_and_has_the_length_of_its_dashes() -> None:
    x, y = np.array([0.0, 30.0, 30.0, 0.0]), np.array([0.0, 0.0, 30.0, 30.0])
    ends = dashed_path(x, y, 6.0, 4.0)._memory
    length = np.hypot(ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1]).sum()
    assert length == pytest.approx(9 * 6.0)


def test_a_polygon_holds_the_points_it_was_made_of() -> None:
    x, y = np.linspace(0.0, 9.0, 10), np.linspace(5.0, 1.0, 10)
    made = polygon(x, y)
    assert [(point.x(), point.y()) for point in made] == list(zip(x.tolist(), y.tolist(), strict=True))


def test_the_toolkit_keeps_the_references_to_none() -> None:
    """PySide6 6.12.0 on Python 3.11 loses one reference to None with every void call, and dies of it."""
    image = QImage(8, 8, QImage.Format.Format_RGB32)
    with QPainter(image) as painter:
        ink = colour(LIGHT.text)
        before = sys.getrefcount(None)
        for _ in range(20_000):
            painter.setPen(ink)
        after = sys.getrefcount(None)
    assert abs(after - before) < 1_000
