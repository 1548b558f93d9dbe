"""Edits of aircraft, legs, stations and fits: what refers to them follows, and the day can still be saved."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legtide.day import edits, edits_aircraft, edits_fits, edits_legs, edits_stations
from legtide.day.checks import problems
from legtide.day.consequences import Consequences, consequences
from legtide.day.document import Aircraft, Day, Fit, GroundTime, Leg, Place, Reading, Service, Span, Station, Truck
from legtide.day.edits import EditError, rebuilt
from legtide.day.rotations import rotations
from legtide.day.suggestions import next_flight, next_leg, return_leg
from support.days import MORNING, rotation_day
from support.full_day import full_day

ABLE = Station(
    code="ABLE",
    places=(Place(id="A1"), Place(id="A2"), Place(id="F", kind="fill_point")),
    trucks=(Truck(id="W1", tank="fresh"), Truck(id="T1", tank="waste")),
)
BAKE = Station(code="BAKE", trucks=(Truck(id="W1", tank="fresh"),))


def hung_day(seed: int = 0) -> Day:
    """Two aircraft of four and five legs between two stations, with something on most turns."""
    rng = np.random.default_rng(seed)
    day = rotation_day(1.2, 5, aircraft=2)
    services, readings, ground = [], [], []
    for row in day.aircraft:
        for turn in range(6):
            station = ABLE if turn % 2 == 0 else BAKE
            for tank in ("fresh", "waste"):
                if rng.random() < 0.5:
                    trucks = [truck.id for truck in station.trucks if truck.tank == tank]
                    timed = MORNING + timedelta(minutes=117 * turn - 20) if rng.random() < 0.5 else None
                    services.append(
                        Service(
                            id=f"s{len(services)}",
                            aircraft=row.registration,
                            turn=turn,
                            tank=tank,
                            start=timed,
                            asked_start=timed,
                            truck=trucks[0] if trucks and rng.random() < 0.7 else None,
                        )
                    )
                if rng.random() < 0.3:
                    timed = MORNING + timedelta(minutes=117 * turn - 30) if rng.random() < 0.5 else None
                    readings.append(
                        Reading(aircraft=row.registration, turn=turn, tank=tank, percent=50.0, time=timed)
                    )
        at = day.legs[1].sta + timedelta(minutes=5)
        ground.append(
            GroundTime(aircraft=row.registration, turn=2, kind="unheated", start=at, end=at + timedelta(minutes=10))
        )
    legs = tuple(
        rebuilt(leg, stand="A1") if leg.destination == "ABLE" and n % 3 else leg for n, leg in enumerate(day.legs)
    )
    planes = tuple(rebuilt(row, start_stand="A2") for row in day.aircraft)
    return day.model_copy(
        update={
            "stations": (ABLE, BAKE, Station(code="CLIF")),
            "legs": legs[:-1],
            "aircraft": planes,
            "services": tuple(row for row in services if row.aircraft == "QX-0" or row.turn < 5),
            "readings": tuple(row for row in readings if row.aircraft == "QX-0" or row.turn < 5),
            "ground": tuple(ground),
        }
    )


def some_leg(day: Day, **changes: object) -> Leg:
    values: dict[str, object] = {
        "id": "new",
        "aircraft": "QX-0",
        "flight": "ZZ900",
        "origin": "BAKE",
        "destination": "ABLE",
        "std": MORNING + timedelta(hours=10),
        "sta": MORNING + timedelta(hours=11),
        "passengers": 100,
        "crew": 6,
    }
    return Leg(**{**values, **changes})  # type: ignore[arg-type]


def test_the_day_of_these_tests_is_sound() -> None:
    assert all(problems(hung_day(seed)) == () for seed in range(20))


# legs -----------------------------------------------------------------------------------------------------


def test_a_leg_at_the_end_moves_nothing() -> None:
    day = hung_day()
    longer = edits_legs.add_leg(day, some_leg(day))
    assert longer.services is day.services or longer.services == day.services
    assert [leg.id for leg in rotations(longer)["QX-0"].legs][-1] == "new"
    assert not consequences(day, longer)
    assert problems(longer) == ()


def test_a_missing_leg_put_in_between_parts_what_hung_on_the_turn_by_station() -> None:
    """A-B, then C-A: the leg B-C goes in between; what was planned at B stays there."""
    day = rotation_day(1.0, 3, ground_min=180.0)
    legs = (day.legs[0], rebuilt(day.legs[1], origin="CLIF"), day.legs[2])
    day = day.model_copy(update={"legs": legs, "stations": (ABLE, BAKE, Station(code="CLIF"))})
    day, at_bake = edits.add_service(day, "QX-0", 1, "fresh", truck="W1")
    day, at_able = edits.add_service(day, "QX-0", 2, "waste", truck="T1")
    start = legs[0].sta + timedelta(minutes=45)
    new = some_leg(day, origin="BAKE", destination="CLIF", std=start, sta=start + timedelta(hours=1))
    longer = edits_legs.add_leg(day, new)
    rows = {row.id: row for row in longer.services}
    assert (rows[at_bake].turn, rows[at_bake].truck) == (1, "W1")
    assert (rows[at_able].turn, rows[at_able].truck) == (3, "T1")
    assert not consequences(day, longer)
    assert problems(longer) == ()


def test_a_leg_before_the_first_moves_every_turn_up() -> None:
    day = hung_day()
    first = some_leg(day, std=MORNING - timedelta(hours=3), sta=MORNING - timedelta(hours=2))
    longer = edits_legs.add_leg(day, first)
    own = [row for row in day.services if row.aircraft == "QX-0"]
    after = {row.id: row for row in longer.services}
    assert all(after[row.id].turn == row.turn + 1 and after[row.id].truck == row.truck for row in own)
    assert longer.aircraft[0].start_stand is None, "the stand A2 is at ABLE, and the day begins at BAKE now"
    assert problems(longer) == ()


def test_services_of_merged_turns_stay_and_lose_a_truck_of_another_station() -> None:
    day = rotation_day(1.0, 4)
    day = day.model_copy(update={"stations": (ABLE, BAKE)})
    asked = day.legs[1].sta + timedelta(minutes=10)
    day, kept = edits.add_service(day, "QX-0", 1, "fresh", truck="W1")
    day, moved = edits.add_service(day, "QX-0", 2, "waste", truck="T1", start=asked)
    day = edits.change_service(day, moved, asked_start=asked)
    shorter = edits_legs.delete_leg(day, "0-1")
    rows = {row.id: row for row in shorter.services}
    assert (rows[kept].turn, rows[kept].truck) == (1, "W1")
    assert (rows[moved].turn, rows[moved].truck, rows[moved].asked_start) == (1, None, None)
    assert rows[moved].start == asked
    found = consequences(day, shorter)
    assert [(one.service.id, one.before, one.after) for one in found.moved] == [(moved, "ABLE", "BAKE")]
    assert (found.legs_gone, found.services_gone, found.doubled) == (1, (), ())
    assert problems(shorter) == ()


def test_two_water_services_that_come_to_one_turn_are_named() -> None:
    day = rotation_day(1.0, 4)
    day, _ = edits.add_service(day, "QX-0", 1, "fresh")
    day, second = edits.add_service(day, "QX-0", 2, "fresh")
    assert [row.id for row in consequences(day, edits_legs.delete_leg(day, "0-1")).doubled] == [second]


def test_a_reading_on_arrival_goes_with_its_leg_and_one_with_a_time_stays() -> None:
    day = rotation_day(1.0, 4)
    timed = Reading(aircraft="QX-0", turn=2, tank="waste", percent=40.0, time=day.legs[1].sta + timedelta(minutes=5))
    untimed = Reading(aircraft="QX-0", turn=2, tank="fresh", percent=70.0)
    day = edits.add_reading(edits.add_reading(day, timed), untimed)
    shorter = edits_legs.delete_leg(day, "0-1")
    assert [(row.tank, row.turn) for row in shorter.readings] == [("waste", 1)]
    assert consequences(day, shorter).readings_gone == 1


def test_with_the_only_leg_goes_all_that_hung_on_its_turns() -> None:
    day = rotation_day(1.0, 1)
    day, _ = edits.add_service(day, "QX-0", 1, "fresh")
    day = edits.add_reading(day, Reading(aircraft="QX-0", turn=0, tank="fresh", percent=70.0))
    bare = edits_legs.delete_leg(day, "0-0")
    assert (bare.legs, bare.services, bare.readings) == ((), (), ())
    assert problems(bare) == ()
    found = consequences(day, bare)
    assert (found.legs_gone, len(found.services_gone), found.readings_gone) == (1, 1, 1)


def test_a_leg_given_to_another_aircraft_leaves_services_with_theirs() -> None:
    day = rotation_day(1.0, 4, aircraft=2)
    day = edits_legs.delete_leg(day, "1-3")
    day, key = edits.add_service(day, "QX-0", 4, "waste")
    given_away = edits_legs.put_leg(day, rebuilt(day.legs[3], aircraft="QX-1"))
    assert [leg.id for leg in rotations(given_away)["QX-1"].legs] == ["1-0", "1-1", "1-2", "0-3"]
    assert [(row.id, row.aircraft, row.turn) for row in given_away.services] == [(key, "QX-0", 3)]
    assert problems(given_away) == ()


def test_a_leg_moved_past_the_next_takes_the_turn_after_it_along() -> None:
    day = rotation_day(1.0, 3, ground_min=200.0)
    day, key = edits.add_service(day, "QX-0", 1, "fresh")
    late = rebuilt(
        day.legs[0], std=day.legs[1].sta + timedelta(minutes=5), sta=day.legs[1].sta + timedelta(minutes=65)
    )
    moved = edits_legs.put_leg(day, late)
    assert [leg.id for leg in rotations(moved)["QX-0"].legs] == ["0-1", "0-0", "0-2"]
    assert edits.service(moved, key).turn == 2
    assert problems(moved) == ()


@settings(max_examples=60, deadline=None)
@given(
    seed=st.integers(0, 40),
    choices=st.lists(st.tuples(st.integers(0, 8), st.integers(0, 99)), min_size=1, max_size=6),
)
def test_whatever_is_done_to_legs_the_rest_of_the_day_stays_sound(seed: int, choices: list[tuple[int, int]]) -> None:
    """Only the leg itself can be refused (it overlaps, its stand is elsewhere), never what hangs on the turns."""
    day = hung_day(seed)
    for number, shift in choices:
        if not day.legs:
            return
        leg = day.legs[number % len(day.legs)]
        kind = shift % 4
        if kind == 0:
            new = edits_legs.delete_leg(day, leg.id)
        elif kind == 1:
            draft = return_leg(day, leg)
            new = edits_legs.add_leg(
                day,
                some_leg(
                    day,
                    id=edits_legs.next_leg_id(day),
                    aircraft=leg.aircraft,
                    origin=draft.origin,
                    destination=draft.destination,
                    std=draft.std,
                    sta=draft.sta,
                ),
            )
        elif kind == 2:
            late = timedelta(minutes=7 * shift - 300)
            new = edits_legs.put_leg(day, rebuilt(leg, std=leg.std + late, sta=leg.sta + late))
        else:
            stations = ("ABLE", "BAKE", "CLIF")
            new = edits_legs.put_leg(
                day, rebuilt(leg, destination=stations[shift % 3], stand=None, aircraft=f"QX-{shift % 2}")
            )
        found = problems(new)
        assert all(row.place.startswith("legs[") for row in found), found
        if not found:
            day = new


def test_edits_of_legs_that_change_nothing_give_the_same_day_and_impossible_ones_are_refused() -> None:
    day = hung_day()
    assert edits_legs.put_leg(day, rebuilt(day.legs[0])) is day
    for wrong in (
        lambda: edits_legs.add_leg(day, some_leg(day, id="0-0")),
        lambda: edits_legs.add_leg(day, some_leg(day, aircraft="QX-9")),
        lambda: edits_legs.put_leg(day, some_leg(day)),
        lambda: edits_legs.put_leg(day, rebuilt(day.legs[0], aircraft="QX-9")),
        lambda: edits_legs.delete_leg(day, "none"),
    ):
        with pytest.raises(EditError):
            wrong()


# what is likely next --------------------------------------------------------------------------------------


def test_the_next_leg_goes_back_after_the_usual_turn() -> None:
    day = rotation_day(1.2, 3, ground_min=35.0)
    draft = next_leg(day, "QX-0")
    assert (draft.origin, draft.destination, draft.flight) == ("BAKE", "ABLE", "ZZ103")
    assert draft.std == day.legs[-1].sta + timedelta(minutes=35)
    assert draft.sta - draft.std == timedelta(minutes=70), "the median of 72 minutes, on five minutes"
    assert (draft.passengers, draft.crew) == (144, 6)


def test_the_leg_that_is_missing_is_the_one_suggested_between_two() -> None:
    day = rotation_day(1.0, 3)
    day = day.model_copy(update={"legs": (day.legs[0], rebuilt(day.legs[1], origin="CLIF"), day.legs[2])})
    draft = next_leg(day, "QX-0", "0-0")
    assert (draft.origin, draft.destination) == ("BAKE", "CLIF")


def test_the_first_leg_of_all_begins_at_the_first_station() -> None:
    day = Day(date=MORNING.date(), stations=(ABLE, BAKE), aircraft=(Aircraft(registration="QX-0", fit="f"),))
    draft = next_leg(day, "QX-0")
    assert (draft.origin, draft.destination, draft.flight) == ("ABLE", "BAKE", "")
    assert draft.std.date() == day.date
    assert draft.sta > draft.std


@pytest.mark.parametrize(
    ("flight", "after"),
    [("X0 201", "X0 202"), ("ZZ099", "ZZ100"), ("ZZ12A", "ZZ13A"), ("9", "10"), ("FERRY", ""), ("", "")],
)
def test_flight_numbers_go_up_by_one(flight: str, after: str) -> None:
    assert next_flight(flight) == after


# aircraft -------------------------------------------------------------------------------------------------


def test_all_references_follow_a_registration() -> None:
    day = hung_day()
    renamed = edits_aircraft.put_aircraft(day, "QX-0", rebuilt(day.aircraft[0], registration="QX-Z"))
    assert "QX-0" not in renamed.model_dump_json()
    assert problems(renamed) == ()
    assert not consequences(day, renamed)
    back = edits_aircraft.put_aircraft(renamed, "QX-Z", day.aircraft[0])
    assert back == day


def test_an_aircraft_goes_with_all_that_is_its_own() -> None:
    day = hung_day()
    left = edits_aircraft.remove_aircraft(day, "QX-0")
    assert "QX-0" not in left.model_dump_json()
    found = consequences(day, left)
    assert found.legs_gone == 5
    assert len(found.services_gone) == sum(row.aircraft == "QX-0" for row in day.services)
    assert problems(left) == ()


def test_aircraft_that_cannot_be_are_refused() -> None:
    day = hung_day()
    first = day.aircraft[0]
    assert edits_aircraft.put_aircraft(day, "QX-0", rebuilt(first)) is day
    for wrong in (
        lambda: edits_aircraft.add_aircraft(day, first),
        lambda: edits_aircraft.put_aircraft(day, "QX-0", rebuilt(first, registration="QX-1")),
        lambda: edits_aircraft.put_aircraft(day, "QX-9", first),
        lambda: edits_aircraft.remove_aircraft(day, "QX-9"),
    ):
        with pytest.raises(EditError):
            wrong()


# stations -------------------------------------------------------------------------------------------------


def test_legs_stands_and_trucks_follow_what_was_renamed_at_a_station() -> None:
    day = hung_day(3)
    new = Station(
        code="ABBY",
        places=(Place(id="G1"), Place(id="A2"), Place(id="F", kind="fill_point")),
        trucks=(Truck(id="T1", tank="fresh"), Truck(id="W1", tank="waste")),
    )
    changed = edits_stations.put_station(day, "ABLE", new, places={"A1": "G1"}, trucks={"W1": "T1", "T1": "W1"})
    assert problems(changed) == ()
    assert not consequences(day, changed)
    assert {leg.stand for leg in changed.legs} == {"G1", None}
    here = [row for row in day.services if row.turn % 2 == 0 and row.truck is not None]
    after = {row.id: row.truck for row in changed.services}
    assert here
    assert all(after[row.id] == {"W1": "T1", "T1": "W1"}[row.truck or ""] for row in here)


def test_what_is_gone_at_a_station_is_named_nowhere_any_more() -> None:
    day = hung_day(3)
    changed = edits_stations.put_station(day, "ABLE", rebuilt(ABLE, places=ABLE.places[1:], trucks=ABLE.trucks[1:]))
    assert problems(changed) == ()
    found = consequences(day, changed)
    lost = {row.id for row in day.services if row.truck == "W1" and row.turn % 2 == 0}
    assert lost
    assert {row.id for row in found.without_truck} == lost
    assert found.stands_gone == sum(leg.stand == "A1" for leg in day.legs)


def test_a_station_that_legs_use_is_not_removed() -> None:
    day = hung_day()
    with pytest.raises(EditError, match="ZZ100"):
        edits_stations.remove_station(day, "ABLE")
    assert [row.code for row in edits_stations.remove_station(day, "CLIF").stations] == ["ABLE", "BAKE"]
    for wrong in (
        lambda: edits_stations.remove_station(day, "DOVE"),
        lambda: edits_stations.add_station(day, ABLE),
        lambda: edits_stations.put_station(day, "ABLE", BAKE),
        lambda: edits_stations.put_station(day, "DOVE", ABLE),
    ):
        with pytest.raises(EditError):
            wrong()
    assert edits_stations.put_station(day, "ABLE", rebuilt(ABLE)) is day


@settings(max_examples=60, deadline=None)
@given(
    seed=st.integers(0, 40),
    code=st.sampled_from(["ABLE", "BAKE"]),
    new_code=st.sampled_from(["ABLE", "BAKE", "ABBY"]),
    keep=st.lists(st.booleans(), min_size=5, max_size=5),
    names=st.permutations(["A1", "A2", "F", "W1", "T1"]),
    swapped=st.booleans(),
)
def test_whatever_is_done_to_a_station_the_rest_of_the_day_stays_sound(seed, code, new_code, keep, names, swapped):
    day = hung_day(seed)
    old = next(row for row in day.stations if row.code == code)
    new_names = dict(zip(("A1", "A2", "F", "W1", "T1"), names, strict=True))
    places = [rebuilt(row, id=new_names[row.id]) for row, kept in zip(old.places, keep, strict=False) if kept]
    other = {"fresh": "waste", "waste": "fresh"}
    trucks = [
        rebuilt(row, id=new_names[row.id], tank=other[row.tank] if swapped else row.tank)
        for row, kept in zip(old.trucks, keep[3:], strict=False)
        if kept
    ]
    new = rebuilt(old, code=new_code, places=tuple(places), trucks=tuple(trucks))
    try:
        changed = edits_stations.put_station(day, code, new, places=new_names, trucks=new_names)
    except EditError as error:
        assert new_code != code
        assert "is in the day already" in str(error)
        return
    assert problems(changed) == ()
    lost = consequences(day, changed).without_truck
    here = {row.id for row in day.services if row.truck is not None and (row.turn % 2 == 0) == (code == "ABLE")}
    assert {row.id for row in lost} <= here


# fits -----------------------------------------------------------------------------------------------------


def test_aircraft_follow_their_fit_and_only_an_unused_one_goes() -> None:
    day = hung_day()
    renamed = edits_fits.put_fit(day, "f", rebuilt(day.fits[0], id="g"))
    assert {row.fit for row in renamed.aircraft} == {"g"}
    more = edits_fits.add_fit(renamed, Fit(id=edits_fits.unused_fit_id(renamed, "g")))
    assert [row.id for row in more.fits] == ["g", "g-2"]
    assert edits_fits.add_fit(more, more.fits[1]) is more
    assert edits_fits.put_fit(more, "g", rebuilt(more.fits[0])) is more
    assert [row.id for row in edits_fits.remove_fit(more, "g-2").fits] == ["g"]
    for wrong in (
        lambda: edits_fits.remove_fit(more, "g"),
        lambda: edits_fits.remove_fit(more, "h"),
        lambda: edits_fits.put_fit(more, "g", more.fits[1]),
        lambda: edits_fits.put_fit(more, "h", more.fits[1]),
        lambda: edits_fits.add_fit(more, rebuilt(more.fits[1], name="Other")),
    ):
        with pytest.raises(EditError):
            wrong()


# together -------------------------------------------------------------------------------------------------


def test_a_day_with_every_part_survives_edits_of_each() -> None:
    day = full_day()
    for leg in day.legs:
        assert problems(edits_legs.delete_leg(day, leg.id)) == ()
    for plane in day.aircraft:
        assert problems(edits_aircraft.remove_aircraft(day, plane.registration)) == ()
    for station in day.stations:
        bare = rebuilt(station, places=(), travel=(), trucks=())
        assert problems(edits_stations.put_station(day, station.code, bare)) == ()


def test_an_edit_without_consequences_says_so() -> None:
    day = full_day()
    truck = rebuilt(day.stations[0].trucks[0], shift=Span(start=MORNING, end=MORNING + timedelta(hours=1)))
    station = rebuilt(day.stations[0], trucks=(truck, *day.stations[0].trucks[1:]))
    changed = edits_stations.put_station(day, "ABLE", station)
    assert changed is not day
    assert consequences(day, changed) == Consequences()
    assert consequences(day, day) == Consequences()
