"""What the fields of a day cannot say alone: each problem is found, with its place, and all at once."""

from __future__ import annotations

from typing import Any

import pytest

from legtide.day.checks import Problem, problems
from legtide.day.document import Aircraft, Day, GroundTime, Place, Reading, Service, Station, Travel, Truck
from legtide.day.edits import rebuilt
from support.full_day import at, full_day, leg


def changed(part: str, index: int, **changes: Any) -> Day:
    """The full day with one row changed."""
    day = full_day()
    rows = list(getattr(day, part))
    rows[index] = rebuilt(rows[index], **changes)
    return day.model_copy(update={part: tuple(rows)})


def added(part: str, *rows: Any) -> Day:
    """The full day with more rows."""
    day = full_day()
    return day.model_copy(update={part: (*getattr(day, part), *rows)})


def test_the_full_day_has_no_problem() -> None:
    assert problems(full_day()) == ()


CASES = [
    (added("fits", full_day().fits[0]), "fits[2].id", '"single-aisle-180" stands already at fits[0]'),
    (added("stations", Station(code="ABLE")), "stations[2].code", '"ABLE" stands already at stations[0]'),
    (
        added("aircraft", Aircraft(registration="QX-BBB", fit="turboprop-70")),
        "aircraft[2].registration",
        '"QX-BBB" stands already at aircraft[1]',
    ),
    (changed("legs", 1, id="1"), "legs[1].id", '"1" stands already at legs[0]'),
    (changed("services", 4, id="s2"), "services[4].id", '"s2" stands already at services[1]'),
    (
        changed("stations", 0, places=(*full_day().stations[0].places, Place(id="A1"))),
        "stations[0].places[4].id",
        '"A1" stands already at stations[0].places[0]',
    ),
    (
        changed("stations", 1, trucks=(Truck(id="X", tank="fresh"), Truck(id="X", tank="waste"))),
        "stations[1].trucks[1].id",
        '"X" stands already at stations[1].trucks[0]',
    ),
    (changed("aircraft", 0, fit="jet"), "aircraft[0].fit", 'fit "jet" is not listed'),
    (changed("legs", 4, origin="CAKE"), "legs[4].from", 'station "CAKE" is not listed'),
    (changed("legs", 4, destination="CAKE"), "legs[4].to", 'station "CAKE" is not listed'),
    (changed("legs", 1, stand="A9"), "legs[1].stand", '"A9" is not a place of "ABLE"'),
    (changed("aircraft", 0, start_stand="A9"), "aircraft[0].start_stand", '"A9" is not a place of "ABLE"'),
    (
        changed("stations", 0, travel=(Travel(between=("A1", "Z"), minutes=1.0),)),
        "stations[0].travel[0].between[1]",
        '"Z" is not a place of "ABLE"',
    ),
    (
        changed("stations", 1, trucks=(Truck(id="X", tank="fresh", start_place="Z"),)),
        "stations[1].trucks[0].start_place",
        '"Z" is not a place of "BAKE"',
    ),
    (
        changed("legs", 1, sta=at(2.5)),
        "legs[1].sta",
        "the leg ends before it starts: STA 2031-03-05 08:30Z is not after STD 2031-03-05 08:30Z",
    ),
    (
        changed("legs", 1, etd=at(3.0), eta=at(2.9)),
        "legs[1].eta",
        "the leg ends before it starts: ETA 2031-03-05 08:54Z is not after ETD 2031-03-05 09:00Z",
    ),
    (
        changed("legs", 0, ata=at(0.2)),
        "legs[0].ata",
        "the leg ends before it starts: ATA 2031-03-05 06:12Z is not after ATD 2031-03-05 06:18Z",
    ),
    (
        changed("legs", 1, std=at(1.0)),
        "legs[1].std",
        "ZZ102 2031-03-05 07:00Z overlaps legs[0] of the same aircraft: ZZ101 is under way until 2031-03-05 07:30Z",
    ),
    (
        added("services", Service(id="x", aircraft="QX-CCC", turn=0, tank="fresh")),
        "services[5].aircraft",
        'aircraft "QX-CCC" is not listed',
    ),
    (
        changed("services", 4, turn=3),
        "services[4].turn",
        'turn 3 does not exist: "QX-BBB" flies 2 legs, so that its last turn is 2',
    ),
    (
        added("readings", Reading(aircraft="QX-AAA", turn=4, tank="fresh", percent=50.0)),
        "readings[2].turn",
        'turn 4 does not exist: "QX-AAA" flies 3 legs, so that its last turn is 3',
    ),
    (
        added("ground", GroundTime(aircraft="QX-AAA", turn=9, kind="unheated", start=at(0), end=at(1))),
        "ground[2].turn",
        'turn 9 does not exist: "QX-AAA" flies 3 legs, so that its last turn is 3',
    ),
    (changed("services", 0, truck="W9"), "services[0].truck", '"W9" is not a truck of "ABLE"'),
    (changed("services", 2, truck="W1"), "services[2].truck", '"W1" is not a truck of "BAKE"'),
    (
        changed("services", 1, truck="W1"),
        "services[1].truck",
        '"W1" handles fresh water and is asked for waste: one vehicle never handles both',
    ),
]


@pytest.mark.parametrize(("day", "place", "reason"), CASES, ids=[case[1] for case in CASES])
def test_a_problem_is_found_with_its_place_and_reason(day: Day, place: str, reason: str) -> None:
    assert problems(day) == (Problem(place, reason),)


def test_an_aircraft_without_legs_has_no_turns() -> None:
    day = added("aircraft", Aircraft(registration="QX-CCC", fit="turboprop-70"))
    day = day.model_copy(
        update={"services": (*day.services, Service(id="x", aircraft="QX-CCC", turn=0, tank="fresh"))}
    )
    assert problems(day) == (Problem("services[5].turn", 'turn 0 does not exist: "QX-CCC" has no legs'),)


def test_all_problems_are_found_at_once() -> None:
    day = changed("legs", 0, destination="CAKE")
    day = day.model_copy(update={"aircraft": (*day.aircraft, Aircraft(registration="QX-CCC", fit="none"))})
    day = day.model_copy(update={"services": (Service(id="a", aircraft="QX-DDD", turn=0, tank="waste"),)})
    assert [row.place for row in problems(day)] == ["aircraft[2].fit", "legs[0].to", "services[0].aircraft"]


def test_legs_that_touch_do_not_overlap() -> None:
    assert problems(changed("legs", 1, std=at(1.5))) == ()


def test_a_leg_inside_a_longer_one_overlaps_it_whatever_the_order_in_the_file() -> None:
    rows = (leg("a", "QX-AAA", "ZZ3", "ABLE", "ABLE", 4, 5), leg("b", "QX-AAA", "ZZ1", "ABLE", "ABLE", 0, 9))
    rows += (leg("c", "QX-AAA", "ZZ2", "ABLE", "ABLE", 1, 2),)
    day = full_day().model_copy(update={"legs": rows, "services": (), "readings": (), "ground": ()})
    assert [row.place for row in problems(day)] == ["legs[0].std", "legs[2].std"]


def test_a_leg_of_an_aircraft_that_is_not_listed() -> None:
    found = problems(changed("legs", 4, aircraft="QX-CCC"))
    assert found[0] == Problem("legs[4].aircraft", 'aircraft "QX-CCC" is not listed')
    assert found[1].place == "services[4].turn", "turn 2 of the aircraft it was taken from is gone"


def test_delays_that_overlap_or_change_the_order_are_no_problem() -> None:
    """A leg slips past the next one before anybody has entered the next one's delay: the file stays sound."""
    assert problems(changed("legs", 1, etd=at(6.0), eta=at(7.5))) == ()


def test_where_a_station_lists_no_places_a_stand_is_a_label() -> None:
    assert problems(changed("legs", 0, stand="12B")) == ()


def test_a_truck_may_have_the_same_name_at_two_stations() -> None:
    assert problems(changed("stations", 1, trucks=(Truck(id="W1", tank="fresh"),))) == ()


def test_services_without_a_name_do_not_stand_twice() -> None:
    rows = [Service(aircraft="QX-AAA", turn=1, tank="fresh"), Service(aircraft="QX-AAA", turn=2, tank="fresh")]
    assert problems(added("services", *rows)) == ()


def test_a_problem_shows_text_of_the_file_as_text() -> None:
    found = problems(changed("aircraft", 0, fit="\u202e<img src=x>" + "y" * 50))[0]
    assert found.reason.startswith('fit "\\u202e<img src=x>yyy')
    assert found.reason.endswith('…" is not listed')
