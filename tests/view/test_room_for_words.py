"""Longer words than English ones have room: the window and what it opens, in a pseudo-language, at 1280 x 800."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QLabel

from legtide.language import use_catalogue
from legtide.view.main_window import build_window
from support.clipping import clipped, cut_choices, settle
from support.pseudo import pseudo, pseudo_catalogue
from support.spoken import placeholders
from support.windows import forget_changes

SELECTIONS = ({}, {"service": "s0"}, {"aircraft": "QX-1", "turn": 3}, {"leg": "1-3"}, {"aircraft": "QX-2"})
PAGES = (
    *("file.messages", "file.demo", "day.figures", "help.keys", "help.about", "help.commands"),
    *("service.level", "service.move", "turn.reading", "leg.edit", "aircraft.edit", "aircraft.tanks", "view.why"),
    *("view.calls", "view.compare", "view.station", "plan.alternative", "file.briefing", "file.runs"),
    *("file.new", "day.title", "leg.add", "leg.return", "leg.delete", "aircraft.add", "aircraft.remove"),
    *("station.edit", "station.add", "station.remove", "fit.edit", "fit.add", "fit.copy", "fit.remove"),
    *("file.tables", "file.calls", "file.print_board", "file.check_page", "help.reports", "plan.train"),
)
"""Actions that open something."""


@pytest.fixture
def longer_words():
    use_catalogue(pseudo_catalogue())
    yield
    use_catalogue({})


@pytest.fixture
def window(longer_words, workspace, preferences, qtbot):
    made = build_window(workspace, preferences)
    made.resize(1280, 800)
    qtbot.addWidget(made, before_close_func=forget_changes)
    made.show()
    return made


def shown_by(window, action, qapp):
    """The window that an action opens."""
    before = {id(one) for one in qapp.topLevelWidgets() if one.isVisible()}
    window.registry.run(action)
    settle()
    opened = [one for one in qapp.topLevelWidgets() if one.isVisible() and id(one) not in before]
    assert opened, action
    return opened[-1]


def test_the_pseudo_language_is_longer_and_keeps_what_is_put_in():
    for key, value in pseudo_catalogue().items():
        assert len(value) >= 1.3 * len(key.rstrip())
        assert placeholders(value) == placeholders(key)
    assert pseudo("Save as…").endswith("…")


def test_the_window_has_room(window, workspace, preferences):
    preferences.put(hints_seen=False)
    for selection in SELECTIONS:
        workspace.select(**selection)
        settle()
        assert clipped(window) == []
        assert cut_choices(window) == []
    window.toggle_table()
    settle()
    assert clipped(window) == []
    assert cut_choices(window) == []


def test_no_card_is_wider_than_its_panel(window):
    """The list scrolls up and down only: what stands beyond its edge cannot be seen."""
    window.columns.setSizes([2000, 1])
    settle()
    area = window.panel.what_to_do.area
    cards = window.panel.what_to_do.act.cards
    assert cards
    for card in cards:
        assert card.mapTo(area.viewport(), card.rect().topRight()).x() < area.viewport().width()


@pytest.mark.parametrize("action", PAGES)
def test_what_it_opens_has_room(window, workspace, qapp, action):
    here = {"leg.edit": "leg", "leg.return": "leg", "leg.delete": "leg", "turn.reading": "turn"}
    selections = {"leg": {"leg": "1-3"}, "turn": {"aircraft": "QX-1", "turn": 3}}
    workspace.select(**selections.get(here.get(action, ""), {"service": "s0"}))
    settle()
    page = shown_by(window, action, qapp)
    assert clipped(page) == []
    assert cut_choices(page) == []
    page.close()


def test_the_schedule_to_import_has_room(window, tmp_path, dialog, qtbot):
    path = tmp_path / "day.csv"
    path.write_text("registration,flight,from,to,std,sta\nQM-AUK,X0 201,OZM,TQB,2027-05-21T04:30Z,soon\n")
    window.import_schedule(path)
    page = dialog("import")
    qtbot.waitUntil(lambda: not page.progress.isVisible())
    assert clipped(page) == []
    assert cut_choices(page) == []
    page.close()


def test_the_columns_to_choose_have_room(window, tmp_path, dialog):
    path = tmp_path / "day.csv"
    path.write_text("A/C,FLT,DEP,ARR,STD,STA\nQM-AUK,X0 201,OZM,TQB,2027-05-21 04:30,2027-05-21 05:40\n")
    window.import_schedule(path)
    page = dialog("mapper")
    settle()
    assert clipped(page) == []
    assert cut_choices(page) == []
    page.close()


def test_both_halves_of_a_split_board_have_room(window, workspace):
    window.registry.run("view.split")
    workspace.select(service="s0")
    settle()
    assert clipped(window) == []
    window.resize(1280, 640)
    settle()
    assert clipped(window) == []


def test_a_label_without_room_is_found(window):
    """The control: a label and a button that are made too small."""
    assert clipped(window) == []
    label = QLabel("words that need room", window)
    label.resize(20, 12)
    label.show()
    assert len(clipped(window)) == 1
    label.setWordWrap(True)
    assert len(clipped(window)) == 1
    label.close()
