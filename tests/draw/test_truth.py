"""The truth over the bands: it is painted where its levels are, in the ink of text, with a sign at each breach."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from legtide.draw.colours import palette
from legtide.draw.content import board_content
from legtide.draw.fan import Window
from legtide.draw.ink import Ink
from legtide.draw.row_painter import Extras, paint_base, paint_levels
from legtide.draw.rows import stacked
from legtide.draw.scale import TimeScale
from legtide.draw.scene import RowScene
from legtide.draw.truth import TruthCurve
from legtide.engine.projection import project
from support.days import rotation_day

WIDTH = 1200


def painted(dark: bool, style: str, truth: TruthCurve | None) -> tuple[QImage, RowScene]:
    day = rotation_day(1.2, 4)
    content = board_content(day, project(day))
    row = content.rows[0]
    scale = TimeScale(row.start - 30.0, WIDTH / (row.end - row.start + 60.0))
    focus = 0 if style == "focus" else None
    box = stacked(1, focus, "dense" if style == "dense" else "normal", 20 if style == "dense" else 60).boxes[0]
    scene = RowScene(row, scale, box.frame)
    image = QImage(WIDTH, round(box.frame.height), QImage.Format.Format_RGB32)
    image.fill(QColor(palette(dark).canvas))
    window, ink = Window(0.0, float(WIDTH)), Ink(palette(dark))
    with QPainter(image) as painter:
        painter.setClipRect(QRectF(image.rect()))
        paint_base(painter, scene, window, ink)
        paint_levels(painter, scene, window, ink, Extras(truth=truth))
    return image, scene


def level(scene_day_start: float, share: float, breaches=()) -> TruthCurve:
    minutes = np.array([scene_day_start, scene_day_start + 2000.0])
    return TruthCurve(minutes, {"fresh": np.full(2, 200.0 * share), "waste": np.full(2, 170.0 * share)}, breaches)


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("style", ["normal", "focus", "dense"])
def test_the_line_stands_at_its_level_in_the_ink_of_text(qapp, dark, style):
    _, scene = painted(dark, style, None)
    truth = level(scene.scale.minutes(0.0) - 10.0, 0.5)
    image, scene = painted(dark, style, truth)
    wanted = QColor(palette(dark).text)
    for tank in ("fresh", "waste"):
        y = round(scene.frame.strip(tank).y(0.5))
        near = [image.pixelColor(x, at) for x in range(300, 900, 7) for at in (y - 1, y, y + 1)]
        close = [one for one in near if abs(one.lightness() - wanted.lightness()) < 60]
        assert len(close) > 40, tank


def test_a_breach_has_a_sign_and_without_one_there_is_none(qapp):
    _, scene = painted(False, "focus", None)
    start = scene.scale.minutes(0.0) - 10.0
    at = float(scene.scale.minutes(600.0))
    plain, marked = (painted(False, "focus", level(start, 0.5, b))[0] for b in ((), (("fresh", at),)))
    limit = round(scene.frame.strip("fresh").y(0.05))
    rose = QColor(palette(False).act)

    def has(image: QImage) -> bool:
        box = [(x, y) for x in range(592, 609) for y in range(limit - 8, limit + 6)]
        return sum(image.pixelColor(*place) == rose for place in box if image.valid(*place)) > 30

    assert has(marked)
    assert not has(plain)
