"""An edit that breaks what a truck was to do is told in the strip at the top, with the way to mend the plan."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QDialog, QPushButton

from legtide.day.document import Day, Service
from legtide.day.edits import change_leg
from legtide.day.rotations import off_blocks, on_blocks, rotations
from legtide.view.timeline.leg_stroke import LegStroke
from support.station_days import station_day


@pytest.fixture
def day() -> Day:
    """Three aircraft, each drained by the truck at its fourth turn, far enough apart."""
    bare = station_day(3, trucks=1)
    services = tuple(
        Service(
            id=f"d{n}", aircraft=name, turn=3, tank="waste", truck=truck_of(bare, "waste"), start=arrival(bare, n)
        )
        for n, name in enumerate(rotations(bare))
    )
    return bare.model_copy(update={"services": services[:1]})


def truck_of(day: Day, tank: str) -> str:
    station = next(row for row in day.stations if row.code == "BAKE")
    return next(row.id for row in station.trucks if row.tank == tank)


def arrival(day: Day, number: int):
    rotation = list(rotations(day).values())[number]
    return on_blocks(rotation.legs[2]) + timedelta(minutes=8)


def late(workspace, minutes: float):
    name = next(iter(rotations(workspace.day)))
    leg = rotations(workspace.day)[name].legs[2]
    return change_leg(workspace.day, leg.id, eta=on_blocks(leg) + timedelta(minutes=minutes))


def test_a_slip_that_breaks_a_truck_s_service_offers_to_mend(window, workspace, click, monkeypatch):
    assert window.banner.text == ""
    asked = []
    monkeypatch.setattr(window.planning, "mend_trucks", lambda: asked.append(workspace.local_station))
    workspace.apply(late(workspace, 25.0), "late")
    assert window.banner.text.startswith("1 service of a truck no longer works at ")
    assert "waste service of" in window.banner.text
    button = next(one for one in window.banner.findChildren(QPushButton) if one.text() == "Mend the trucks' plan")
    click(button)
    assert asked == ["BAKE"]


def test_undone_the_offer_goes(window, workspace):
    workspace.apply(late(workspace, 25.0), "late")
    assert window.banner.text
    workspace.undo()
    assert window.banner.text == ""


def test_a_slip_that_breaks_nothing_offers_nothing(window, workspace):
    workspace.apply(late(workspace, 1.0), "a minute late")
    assert window.banner.text == ""


def test_what_a_day_brings_along_is_no_news(window, workspace):
    broken = late(workspace, 25.0)
    workspace.new(broken)
    assert window.board.model.broken
    assert window.banner.text == ""


def test_a_typed_estimate_leads_to_the_same_offer_as_a_dragged_bar(window, workspace, qtbot):
    leg = rotations(workspace.day)[next(iter(rotations(workspace.day)))].legs[2]
    stroke = LegStroke.begin(workspace, leg.id)
    assert stroke is not None
    stroke.nudge(25.0)
    assert stroke.place()
    dragged = window.banner.text
    assert dragged
    workspace.undo()
    workspace.select(leg=leg.id)
    window.registry["leg.edit"].trigger()
    form = next(one for one in QApplication.topLevelWidgets() if isinstance(one, QDialog) and one.isVisible())
    times = {"etd": off_blocks(leg), "eta": on_blocks(leg)}
    for name, moment in times.items():
        form.fields[name].line.setText(f"{moment + timedelta(minutes=25):%H:%M}")
    qtbot.mouseClick(form.button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: window.banner.text != "")
    assert window.banner.text == dragged
