"""Where a service may land."""

from __future__ import annotations

import math

import pytest

from legtide.day.document import Day, Offer, Service, Span
from legtide.day.edits import change_service, change_station
from legtide.day.rotations import Rotation, rotations, service_minutes
from legtide.engine.types import to_minutes
from legtide.view.timeline.landing import Landing, landings, next_landing, snapped
from support.boards import HOME, at, board_day


@pytest.fixture(scope="module")
def day() -> Day:
    return board_day(3)


def first(day: Day, tank: str = "fresh") -> tuple[Rotation, Service]:
    rotation = rotations(day)["QX-AAA"]
    return rotation, next(row for row in rotation.services if row.tank == tank)


def test_a_service_may_land_inside_the_margins_of_every_turn_without_one_of_its_tank(day: Day) -> None:
    rotation, service = first(day)
    places = landings(day, rotation, service, None)
    taken = {row.turn for row in rotation.services if row.tank == "fresh" and row.id != service.id}
    assert {place.turn for place in places} == set(range(len(rotation.turns))) - taken
    for place in places:
        turn = rotation.turns[place.turn]
        if turn.start is not None:
            assert place.first >= to_minutes(turn.start) + day.policy.margin_after_on_blocks_min.value
        if turn.end is not None:
            end = to_minutes(turn.end) - day.policy.margin_before_off_blocks_min.value
            assert place.last + service_minutes(rotation.fit, service) <= end
        assert place.first == math.floor(place.first)
        assert place.last == math.floor(place.last)


def test_a_planned_service_may_not_land_in_the_past_but_a_done_one_may(day: Day) -> None:
    rotation, service = first(day)
    now = at(840)
    ahead = landings(day, rotation, service, now)
    assert all(place.first >= 840.0 + to_minutes(at(0)) for place in ahead if place.turn != service.turn)
    assert any(place.turn == service.turn for place in ahead)
    done = change_service(day, service.id, state="done")
    rotation, service = first(done)
    assert len(landings(done, rotation, service, now)) > len(ahead)


def test_a_station_that_does_not_offer_the_service_is_left_out_and_hours_are_kept(day: Day) -> None:
    rotation, service = first(day)
    hours = Span(start=at(600), end=at(700))
    changed = change_station(day, HOME, offers=(Offer(tank="fresh", hours=(hours,)),))
    places = landings(changed, rotation, service, None)
    at_home = [place for place in places if rotation.turns[place.turn].station == HOME]
    assert at_home
    for place in at_home:
        if place.turn != service.turn:
            assert to_minutes(hours.start) <= place.first <= place.last <= to_minutes(hours.end)
    _, waste = first(changed, "waste")
    for place in landings(changed, rotation, waste, None):
        assert rotation.turns[place.turn].station != HOME or place.turn == waste.turn


def test_a_pointer_between_two_turns_goes_to_the_nearer_one_on_a_whole_minute() -> None:
    places = (Landing(1, 100.0, 120.0), Landing(3, 200.0, 240.0))
    assert snapped(places, 90.0) == (1, 100.0)
    assert snapped(places, 110.4) == (1, 110.0)
    assert snapped(places, 155.0) == (1, 120.0)
    assert snapped(places, 165.0) == (3, 200.0)
    assert snapped(places, 900.0) == (3, 240.0)
    assert snapped((), 100.0) is None


def test_the_next_landing_lies_in_another_turn() -> None:
    places = (Landing(1, 100.0, 110.0), Landing(1, 130.0, 140.0), Landing(3, 200.0, 240.0))
    assert next_landing(places, 1, True) == places[2]
    assert next_landing(places, 3, False) == places[1]
    assert next_landing(places, 3, True) is None
