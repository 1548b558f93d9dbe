"""The window in both themes and all sizes, and each of its panels."""

from __future__ import annotations

from datetime import date

import pytest
from PySide6.QtCore import QPoint

from legtide.day.document import Day
from legtide.engine.types import to_minutes

SIZES = {"1280": (1280, 800), "1920": (1920, 1080), "4k": (3840, 2160)}


def select_worst(window) -> str:
    """Selects the aircraft of the first warning, which opens its row."""
    name = next(row.aircraft for row in window.workspace.projection.warnings if row.severity == "breach")
    window.board.navigate.reveal(name)
    return name


@pytest.mark.parametrize("size", SIZES)
def test_the_window_on_the_tight_day(shown, midday, picture, theme, size):
    window = shown("tight", theme, SIZES[size])
    midday(window)
    select_worst(window)
    picture(window, f"window-{theme}-{size}")


def test_the_window_on_a_bank_with_trucks(shown, midday, picture, theme):
    window = shown("bank", theme, (1600, 1000))
    midday(window)
    picture(window, f"bank-{theme}")


@pytest.mark.parametrize("name", ["quiet", "winter", "training", "long-sectors"])
def test_the_window_on_the_other_demo_days(shown, picture, name):
    window = shown(name)
    select = window.workspace.projection.warnings
    if select:
        window.places.show(select[0])
    picture(window, f"day-{name}")


def test_a_marker_that_is_dragged(shown, midday, picture, qtbot, theme):
    window = shown("tight", theme, (1440, 900))
    midday(window)
    name = select_worst(window)
    row = window.board.model.row(name)
    marker = row.markers[len(row.markers) // 2]
    stroke = window.board.mover.begin(marker.service.id)
    places = [place for place in stroke.places if place.first > marker.start]
    stroke.move_to((places or stroke.places)[-1].first + 3.0)
    window.board.mover.show(stroke)
    qtbot.waitUntil(lambda: window.workspace.shown is not window.workspace.day)
    picture(window, f"drag-{theme}")
    window.board.mover.cancel()


def test_a_leg_that_is_slipped(shown, picture, qtbot):
    window = shown("tight", "light", (1440, 900))
    name = select_worst(window)
    leg = window.board.model.row(name).rotation.legs[2]
    stroke = window.board.mover.begin_slip(leg.id)
    stroke.move_to(stroke.start + 35.0)
    window.board.mover.show(stroke)
    qtbot.waitUntil(lambda: window.workspace.shown is not window.workspace.day)
    picture(window, "slip-light")
    window.board.mover.cancel()


def test_the_table_of_services(shown, picture, theme):
    window = shown("tight", theme)
    window.toggle_table()
    window.board.navigate.reveal_service(window.workspace.day.services[3].id)
    picture(window, f"table-{theme}")


def test_a_plan_under_review(shown, picture, qtbot, theme):
    window = shown("tight", theme)
    window.registry.run("plan.all")
    qtbot.waitUntil(lambda: window.planning.review is not None)
    picture(window, f"plan-{theme}")


def test_the_hints_of_the_first_start(shown, picture):
    window = shown("tight", hints_seen=False)
    picture(window, "hints-light")


def test_a_card_of_each_kind_of_selection(shown, picture, theme):
    window = shown("tight", theme)
    service = window.workspace.day.services[0]
    for kind, chosen in (
        ("service", {"service": service.id}),
        ("turn", {"aircraft": service.aircraft, "turn": 2}),
        ("leg", {"leg": window.workspace.day.legs[4].id}),
        ("aircraft", {"aircraft": service.aircraft}),
    ):
        window.workspace.select(**chosen)
        picture(window.panel, f"panel-{kind}-{theme}")


def test_banners_and_messages(shown, picture):
    window = shown("tight")
    window.show_fault("Something went wrong inside the program (ValueError: an example). Your work is safe.")
    window.footer.say("Undone: Mark water service of QM-AUK done")
    picture(window, "fault-light")


def test_an_empty_day(shown, picture, theme):
    window = shown("tight", theme, show_table=True)
    window.workspace.new(Day(date=date(2027, 5, 21)))
    picture(window, f"empty-{theme}")


def test_the_board_split(shown, midday, picture):
    window = shown("tight", "light", (1600, 1000))
    midday(window)
    window.registry.run("view.split")
    window.board.navigate.reveal_service(window.workspace.day.services[5].id)
    picture(window, "split-light")


def test_a_context_menu(shown, picture):
    window = shown("tight")
    window.workspace.select(service=window.workspace.day.services[0].id)
    menu = window.popup("service", window.mapToGlobal(QPoint(400, 300)))
    picture(menu, "menu-light")
    menu.close()


def test_a_day_zoomed_to_three_hours(shown, midday, picture):
    window = shown("tight", "light", (1440, 900))
    moment = to_minutes(midday(window))
    select_worst(window)
    window.board.navigate.show_between(moment - 40.0, moment + 140.0)
    picture(window, "zoomed-light")
