"""Truck lanes derived from the day."""

from __future__ import annotations

from datetime import timedelta

import pytest

from legtide.day.document import Day, Place, Service, Span, Station, Truck
from legtide.day.edits import change_station
from legtide.draw.content import board_content
from legtide.draw.lanes import LANE_PX, TITLE_PX, Lane, kept_lanes, lane_at, lane_groups, lanes_height, short_name
from legtide.engine.projection import project
from legtide.engine.types import to_minutes
from support.boards import HOME, at, board_day


def lanes(day: Day) -> dict[str, Lane]:
    groups = lane_groups(board_content(day, project(day)))
    return {lane.truck.id: lane for group in groups for lane in group.lanes}


@pytest.fixture(scope="module")
def day() -> Day:
    return board_day(8)


def test_a_truck_shows_its_services_in_the_order_of_time_and_the_drives_between(day: Day) -> None:
    lane = lanes(day)["W1"]
    services = [piece for piece in lane.pieces if piece.kind == "service"]
    expected = {row.id for row in day.services if row.truck == "W1"}
    assert {piece.service for piece in services} == expected
    assert [piece.start for piece in services] == sorted(piece.start for piece in services)
    drives = [piece for piece in lane.pieces if piece.kind == "drive"]
    assert len(drives) == len(services) + 1, "from its base, between aircraft, and home"


def test_a_service_that_does_not_take_place_is_on_no_truck(day: Day) -> None:
    first = next(row for row in day.services if row.truck == "W1")
    skipped = day.model_copy(
        update={
            "services": tuple(
                Service(**{**dict(row), "state": "skipped"}) if row is first else row for row in day.services
            )
        }
    )
    assert first.id not in {piece.service for piece in lanes(skipped)["W1"].pieces}


def test_a_truck_visits_a_point_when_its_tank_asks_for_it(day: Day) -> None:
    def reloads(capacity_l: float) -> int:
        trucks = (Truck(id="W1", tank="fresh", capacity_l=capacity_l), Truck(id="S1", tank="waste"))
        changed = change_station(day, HOME, trucks=trucks, places=(Place(id="F", kind="fill_point"),))
        return sum(piece.kind == "reload" for piece in lanes(changed)["W1"].pieces)

    assert reloads(100_000.0) == 0
    assert reloads(250.0) > 0


def test_breaks_are_shown(day: Day) -> None:
    span = Span(start=at(700), end=at(700) + timedelta(minutes=30))
    trucks = (Truck(id="W1", tank="fresh", breaks=(span,)), Truck(id="S1", tank="waste"))
    found = [piece for piece in lanes(change_station(day, HOME, trucks=trucks))["W1"].pieces if piece.kind == "break"]
    assert [(piece.start, piece.end) for piece in found] == [(to_minutes(span.start), to_minutes(span.end))]


def test_lanes_are_found_by_their_place(day: Day) -> None:
    groups = lane_groups(board_content(day, project(day)))
    assert lanes_height(groups) == TITLE_PX + 2 * LANE_PX
    assert lane_at(groups, 5.0) is None
    assert lane_at(groups, TITLE_PX + 1.0) is groups[0].lanes[0]
    assert lane_at(groups, TITLE_PX + LANE_PX + 1.0) is groups[0].lanes[1]
    assert lane_at(groups, TITLE_PX + 2.0 * LANE_PX + 1.0) is None


def test_stations_without_trucks_have_no_lanes(day: Day) -> None:
    bare = change_station(day, HOME, trucks=())
    assert lane_groups(board_content(bare, project(bare))) == ()
    more = (*bare.stations, Station(code="ZULU", trucks=(Truck(id="T9", tank="waste"),)))
    found = lane_groups(board_content(*(lambda d: (d, project(d)))(bare.model_copy(update={"stations": more}))))
    assert [group.station.code for group in found] == ["ZULU"]


def test_lanes_that_did_not_change_stay_the_same_objects(day: Day) -> None:
    content = board_content(day, project(day))
    old = lane_groups(content)
    again = kept_lanes(lane_groups(content), old)
    assert all(one is other for one, other in zip(old[0].lanes, again[0].lanes, strict=True))


def test_an_aircraft_has_the_short_name_that_people_call_it_by() -> None:
    assert [short_name(name) for name in ("QX-ABL", "ABL", "QX-", "A-B-C")] == ["ABL", "ABL", "QX-", "C"]


def test_drives_and_reloads_take_the_time_that_they_take(day: Day) -> None:
    fill = Place(id="F", kind="fill_point", handling_min=2.0, flow_l_per_min=100.0)
    trucks = (Truck(id="W1", tank="fresh", capacity_l=300.0),)
    places = (Place(id="B", kind="base"), fill)
    lane = lanes(change_station(day, HOME, trucks=trucks, places=places, default_travel_min=1.5))["W1"]
    drives = [piece for piece in lane.pieces if piece.kind == "drive"]
    assert {round(piece.end - piece.start, 6) for piece in drives} == {1.5}
    given = 0.0
    for piece in lane.pieces:
        if piece.kind == "service":
            given += piece.litres
        elif piece.kind == "reload":
            assert piece.end - piece.start == pytest.approx(2.0 + given / 100.0)
            given = 0.0
        assert given <= 300.0
