"""Plans in sentences: what changes, what is left, how good it is."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest

from legtide.day.document import Service, Station, Truck
from legtide.day.edits import add_service, change_service, delete_service
from legtide.view.planning_words import changes_between, gap_sentence, trucks_sentence
from support.days import MORNING, rotation_day

START = MORNING + timedelta(hours=2, minutes=5)


@pytest.fixture
def day():
    services = (
        Service(id="w", aircraft="QX-0", turn=1, tank="fresh", target_percent=100.0, start=START, truck="W1"),
        Service(id="t", aircraft="QX-0", turn=1, tank="waste", target_percent=0.0, start=START),
    )
    trucks = (Truck(id="W1", tank="fresh"), Truck(id="W2", tank="fresh"))
    stations = (Station(code="ABLE", name="Able Field"), Station(code="BAKE", name="Bake", trucks=trucks))
    return rotation_day(1.5, 6, services=services, stations=stations)


def texts(before, after, why=None):
    return [line.text.replace("\N{NO-BREAK SPACE}", " ") for line in changes_between(before, after, why)]


def test_an_equal_day_has_no_changes(day):
    assert texts(day, day) == []


def test_an_added_service_names_place_time_level_and_truck(day):
    after, key = add_service(day, "QX-0", 3, "fresh", target_percent=75.0, start=START + timedelta(hours=4))
    after = change_service(after, key, truck="W2")
    assert texts(day, after) == ["Add a water service for QX-0 at Bake 10:05, to 75 %, truck W2."]


def test_a_dropped_service_is_named(day):
    assert texts(day, delete_service(day, "t")) == ["Drop the waste service of QX-0 at Bake 06:05."]


def test_a_service_that_goes_and_one_that_comes_are_one_that_moves(day):
    after, _ = add_service(delete_service(day, "t"), "QX-0", 2, "waste", start=START + timedelta(hours=2))
    lines = changes_between(day, after)
    assert [line.text for line in lines] == ["Move the waste service of QX-0 from Bake 06:05 to Able Field 08:05."]
    assert (lines[0].kind, lines[0].service, lines[0].turn) == ("move", "t", 1)


def test_a_service_of_the_other_tank_is_no_move(day):
    after, _ = add_service(delete_service(day, "t"), "QX-0", 2, "fresh", start=START + timedelta(hours=2))
    assert {line.kind for line in changes_between(day, after)} == {"add", "drop"}


def test_start_level_and_truck_of_one_service_stand_in_one_sentence_with_the_reason(day):
    after = change_service(day, "w", start=START + timedelta(minutes=9), target_percent=80.0, truck="W2")
    assert texts(day, after, {"w": "truck W1 is held up"}) == [
        "Water service of QX-0 at Bake 06:05: starts at 06:14, fill to 80 % instead of 100 %, "
        "truck W2 instead of W1, because truck W1 is held up."
    ]


def test_a_truck_taken_away_is_said(day):
    assert texts(day, change_service(day, "w", truck=None)) == [
        "Water service of QX-0 at Bake 06:05: loses truck W1."
    ]


def test_what_nobody_sees_is_no_change(day):
    assert texts(day, change_service(day, "w", remark="by hand")) == []


@pytest.mark.parametrize(
    ("gap", "expected"),
    [
        (math.nan, "How much more could be avoided is not known yet."),
        (math.inf, "How much more could be avoided is not known yet."),
        (0.0, "No plan of these trucks avoids more risk."),
        (0.004, "At most 1 % more risk could be avoided."),
        (0.126, "At most 13 % more risk could be avoided."),
    ],
)
def test_the_gap_is_said_in_plain_words_and_never_too_small(gap, expected):
    assert gap_sentence(gap).replace("\N{NO-BREAK SPACE}", " ") == expected


def test_services_with_trucks_are_counted():
    assert trucks_sentence(3, 5) == "3 of 5 services have a truck."
    assert trucks_sentence(5, 5) == "All 5 services have a truck."
    assert trucks_sentence(1, 1) == "The one service that is asked for has a truck."
