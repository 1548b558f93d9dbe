"""The opened row shows, at each turn, the gauge reading that decides about a service there."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor, QImage, QPainter

from legtide.draw.colours import LIGHT
from legtide.draw.services import TRIGGER_PX, paint_trigger
from legtide.plan.triggers import rotation_triggers
from legtide.view.timeline.model import BoardModel, trigger_marks
from legtide.workspace.workspace import Workspace
from support.days import rotation_day


@pytest.fixture
def workspace(qapp) -> Workspace:
    return Workspace(rotation_day(1.5, 6, 0.8, aircraft=2))


def test_marks_stand_inside_their_turns_at_the_reading_that_decides(workspace):
    rotation = workspace.projection.aircraft["QX-0"].rotation
    marks = trigger_marks(workspace.day, rotation)
    wanted = [row for row in rotation_triggers(workspace.day, rotation) if row.answer == "by_reading"]
    assert [(mark.tank, mark.percent) for mark in marks] == [(row.tank, row.trigger_percent) for row in wanted]
    for mark, row in zip(marks, wanted, strict=True):
        turn = rotation.turns[row.turn]
        assert turn.start is None or turn.start.timestamp() / 60 <= mark.minutes
        assert turn.end is None or mark.minutes <= turn.end.timestamp() / 60


def test_only_the_opened_row_has_marks_and_none_while_something_is_dragged(workspace):
    workspace.select("QX-0")
    model = BoardModel(workspace)
    assert model.extras("QX-0").triggers
    assert model.extras("QX-0") is model.extras("QX-0")
    assert model.extras("QX-1").triggers == ()
    workspace.begin_stroke("Move")
    assert model.extras("QX-0").triggers == ()
    workspace.cancel_stroke()


@pytest.mark.parametrize(("tank", "side"), [("fresh", -1), ("waste", 1)])
def test_the_arrowhead_points_to_the_side_that_lets_the_aircraft_go_on(qapp, tank, side):
    image = QImage(40, 40, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(QColor(LIGHT.canvas))
    with QPainter(image) as painter:
        paint_trigger(painter, 20.0, 20.0, tank, LIGHT)
    blank = QColor(LIGHT.canvas)
    assert image.pixelColor(20, 20 + 3 * side) != blank
    assert image.pixelColor(20, 20 - 3 * side) == blank
    assert image.pixelColor(round(20 - TRIGGER_PX / 2 + 1), 20) != blank
