"""What helps somebody who has never seen the window: empty places that say what to do, words for every sign."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QPointF
from PySide6.QtWidgets import QFileDialog, QLabel

from legtide.day.document import Aircraft, Day, Fit, Station
from legtide.view import facts
from legtide.view.fact_tips import TIPS, tip_of
from legtide.view.facts import facts_of
from legtide.view.footer import LEGEND
from legtide.view.timeline.wording import hover_text
from support.looks import cut_texts

EMPTY = Day(date=date(2026, 5, 14))
NO_LEGS = Day(
    date=date(2026, 5, 14),
    fits=(Fit(id="f"),),
    stations=(Station(code="ABLE"),),
    aircraft=(Aircraft(registration="QX-1", fit="f"),),
)


@pytest.mark.parametrize(
    ("empty", "title"), [(EMPTY, "This day is empty"), (NO_LEGS, "These aircraft have no flights yet")]
)
def test_a_board_without_flights_says_how_to_get_some(window, workspace, dialog, click, qtbot, empty, title):
    assert not window.empty.isVisible()
    workspace.new(empty)
    assert window.empty.isVisible()
    assert window.empty.title.text() == title
    qtbot.waitUntil(lambda: cut_texts(window.empty) == [])
    what = window.panel.what_to_do
    assert what.nothing.isVisible()
    assert "within limits" not in " ".join(one.text() for one in what.findChildren(QLabel) if one.isVisible())
    click(next(one for one in window.empty.buttons if one.text() == "Open…"))
    chooser = dialog("openFile")
    assert isinstance(chooser, QFileDialog)
    chooser.close()


def test_the_card_goes_when_flights_come_and_comes_back_with_undo(window, workspace, day):
    workspace.new(NO_LEGS)
    workspace.import_day(day, "Import")
    assert not window.empty.isVisible()
    window.undo()
    assert window.empty.isVisible()


def test_planning_an_empty_day_or_a_station_without_trucks_says_why_not(window, workspace):
    workspace.new(NO_LEGS)
    window.registry.run("plan.all")
    assert "no leg is in the day" in window.planning.message
    window.planning.leave()
    window.registry.run("plan.trucks")
    assert window.planning.message
    window.planning.leave()


def test_a_table_without_rows_says_what_fills_it(window, workspace):
    window.toggle_table()
    table = window.table
    assert not table.nothing.isVisible()
    table.field.setText("nowhere")
    assert table.nothing.isVisible()
    assert table.nothing.text() == "No service has these words."
    assert not table.copy.isEnabled()
    table.field.clear()
    workspace.new(EMPTY)
    assert table.nothing.text().startswith("No service yet.")


def test_the_legend_is_there_in_words(window):
    for line in LEGEND:
        assert line in window.footer.toolTip()
        assert line in window.footer.accessibleDescription()


@pytest.mark.parametrize(
    "chosen", [{"service": "s1"}, {"leg": "1-3"}, {"aircraft": "QX-1", "turn": 3}], ids=["service", "leg", "turn"]
)
def test_every_number_on_the_card_says_what_it_is(window, workspace, preferences, chosen):
    workspace.select(**chosen)
    plain = {"State", "Truck", "Off blocks", "On blocks", "Aboard", "Services", "Stand"}
    labels = [label for label, _ in facts_of(workspace, preferences).lines]
    assert [label for label in labels if not tip_of(label) and label not in plain] == []
    shown = {one.text(): one.toolTip() for pair in window.panel.selected._rows for one in pair if one.isVisible()}
    assert all(tip.replace("&", "&amp;")[:30] in shown[label] for label in labels if (tip := tip_of(label)))


def test_the_tips_are_about_labels_that_exist():
    source = Path(facts.__file__).read_text("utf-8")
    assert [label for label in TIPS if f'tr("{label}")' not in source] == []


def test_a_tooltip_of_the_board_has_value_unit_and_the_way_to_the_formula(window):
    board = window.board
    box = board.model.box("QX-1")
    scene, layout = board.model.scene(box), board.model.layout
    leg = scene.legs[3]
    where = QPointF(layout.view_x((leg.left + leg.right) / 2.0), layout.view_top(box) + box.frame.bar_bottom - 3.0)
    text = hover_text(board.hit(where), board.model)
    assert "ZZ103 BAKE" in text
    assert "% (" in text
    assert " L of 200" in text.replace("\u00a0", " ")
    assert text.splitlines()[-1].startswith("Y: formula and sources")
