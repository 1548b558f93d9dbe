"""The demo days are what the script writes; each opens, is projected, is drawn, and shows what it is there for."""

from __future__ import annotations

from datetime import timedelta
from functools import cache
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtGui import QImage

from demo.make_demo_days import DAYS, contents
from demo.scenario import HUB
from legtide.day.document import Day
from legtide.day.edits import add_service, change_service, set_service_state, set_target
from legtide.day.rotations import off_blocks, on_blocks, rotations
from legtide.draw.picture import write_picture
from legtide.engine.projection import project
from legtide.engine.types import Caution, Projection
from legtide.files.day_file import load
from legtide.files.schedule import Options, import_schedule
from legtide.files.zones import read_zones
from legtide.shipped import demo_days

NAMES = sorted(DAYS)


@cache
def opened(name: str) -> Day:
    """A demo day as the program opens it."""
    loaded = load(demo_days() / f"{name}.day.json")
    assert loaded.cautions == ()
    return loaded.day


@cache
def projected(name: str) -> Projection:
    return project(opened(name))


def warned(projection: Projection, *severities: str) -> list[Caution]:
    return [row for row in projection.warnings if row.severity in severities]


def pressed(day: Day, rows: list[Caution]) -> Day:
    """The day after one press on the way out of each warning."""
    for row in rows:
        remedy = row.remedy
        assert remedy is not None
        if remedy.kind == "add_service":
            day, _ = add_service(day, remedy.aircraft, remedy.turn, remedy.tank, start=remedy.start)
        elif remedy.kind == "raise_target" and remedy.target_percent is not None:
            day = set_target(day, remedy.service_id, remedy.target_percent)
    return day


# files ----------------------------------------------------------------------------------------------------


def test_the_script_writes_what_lies_in_the_folder():
    """After a change of the scenario or the file's form: `python tests/demo/make_demo_days.py`."""
    lying = {path.name: path.read_bytes() for path in demo_days().iterdir() if path.is_file()}
    assert lying == contents()


@pytest.mark.parametrize("name", NAMES)
def test_a_day_is_drawn(name, tmp_path):
    write_picture(opened(name), tmp_path / "board.png", size=(1600, 1000))
    image = QImage(str(tmp_path / "board.png"))
    assert (image.width(), image.height()) == (1600, 1000)
    shades = {image.pixel(x, y) for x in range(0, 1600, 3) for y in range(100, 700, 3)}
    assert len(shades) > 50, "a board with bands has many shades"


@pytest.mark.parametrize("name", NAMES)
def test_a_day_is_projected_over_every_leg(name):
    day, projection = opened(name), projected(name)
    assert sum(len(row.legs) for row in projection.aircraft.values()) == len(day.legs)
    assert sum(len(row.services) for row in projection.aircraft.values()) == len(day.services)


def test_the_set_has_about_ten_aircraft_a_day_and_forty_in_the_bank():
    counts = {name: len(opened(name).aircraft) for name in NAMES}
    assert counts.pop("bank") == 40
    assert all(8 <= count <= 14 for count in counts.values())


def test_warnings_of_every_kind_of_trouble_appear():
    codes = {row.code for name in NAMES for row in projected(name).warnings}
    assert codes >= {
        "fresh-below-reserve",
        "waste-over-limit",
        "waste-near-limit",
        "service-outside-turn",
        "water-not-approved",
        "lavatories-short",
        "freezing",
        "water-due",
    }


# each day's lesson ----------------------------------------------------------------------------------------


def test_the_quiet_day_has_no_breach():
    assert warned(projected("quiet"), "breach") == []


@pytest.mark.parametrize(("name", "least", "most"), [("tight", 2, 3), ("long-sectors", 3, 5), ("winter", 1, 1)])
def test_one_press_for_each_breach_leaves_none(name, least, most):
    breaches = warned(projected(name), "breach")
    assert least <= len(breaches) <= most
    assert warned(project(pressed(opened(name), breaches)), "breach") == []


def test_a_fuller_fill_is_among_the_ways_out_of_the_long_sectors():
    kinds = [row.remedy.kind for row in warned(projected("long-sectors"), "breach") if row.remedy]
    assert "raise_target" in kinds


def test_clocks_change_while_aircraft_of_the_long_sectors_fly():
    day = opened("long-sectors")
    zone = ZoneInfo("Europe/Berlin")
    across = [
        leg
        for leg in day.legs
        if off_blocks(leg).astimezone(zone).utcoffset() == timedelta(hours=1)
        and on_blocks(leg).astimezone(zone).utcoffset() == timedelta(hours=2)
    ]
    assert len(across) >= 3


def test_the_bank_has_eighty_turns_at_the_hub_and_most_overlap():
    turns = [turn for row in rotations(opened("bank")).values() for turn in row.turns if turn.station == HUB]
    assert len(turns) == 80
    spans = [(turn.start, turn.end) for turn in turns if turn.start and turn.end]
    assert max(sum(start <= moment < end for start, end in spans) for moment, _ in spans) >= 15


def test_the_first_wave_of_the_bank_has_trucks_and_the_second_is_open():
    day = opened("bank")
    at_hub = [row for row in day.services if rotations(day)[row.aircraft].turns[row.turn].station == HUB]
    assert all(row.truck is not None for row in at_hub if row.turn == 1)
    assert all(row.truck is None for row in at_hub if row.turn == 3)
    hub = next(station for station in day.stations if station.code == HUB)
    assert {truck.tank for truck in hub.trucks} == {"fresh", "waste"}
    assert all(truck.shift and truck.breaks for truck in hub.trucks)
    assert {place.kind for place in hub.places} == {"stand", "fill_point", "dump_point", "base"}


@pytest.mark.parametrize("name", NAMES)
def test_no_truck_is_at_two_aircraft_at_once_and_no_aircraft_has_both_services_at_once(name):
    spans: dict[tuple[str, ...], list[tuple[object, object]]] = {}
    for projection in projected(name).aircraft.values():
        for row in projection.services:
            spans.setdefault(("aircraft", row.service.aircraft), []).append((row.start, row.end))
            if row.service.truck is not None:
                spans.setdefault(("truck", row.station, row.service.truck), []).append((row.start, row.end))
    for key, rows in spans.items():
        ordered = sorted(rows)  # type: ignore[type-var]
        for (_, end), (start, _) in pairwise(ordered):
            assert end <= start, key  # type: ignore[operator]


def test_without_its_mishaps_the_training_day_is_calm():
    """What goes wrong there is the doing of four services: skipped, missed, half done and late."""
    day = opened("training")
    assert {row.state for row in day.services} == {"planned", "done", "skipped", "missed"}
    mended = set_target(day, "KIT-F2", 100.0)
    for name in ("JAY-F2", "HAW-W2"):
        mended = set_service_state(mended, name, "done")
    mended = change_service(mended, "VIR-F4", start=None).model_copy(update={"readings": ()})
    assert warned(project(mended), "breach", "caution") == []


def test_a_skipped_service_of_the_training_day_hurts_three_legs_later():
    day = opened("training")
    skipped = next(row for row in day.services if row.state == "skipped")
    breach = next(row for row in warned(projected("training"), "breach") if row.aircraft == skipped.aircraft)
    assert breach.tank == skipped.tank
    # Legs count from 0: the leg right after the service has the turn's number.
    assert breach.turn - skipped.turn == 2


# schedules ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("schedule", "name", "times"),
    [("schedule-utc.csv", "tight", "zoned"), ("schedule-local.csv", "long-sectors", "local")],
)
def test_an_example_schedule_imports_as_the_legs_of_its_day(schedule, name, times):
    zones = read_zones((demo_days() / "zones.csv").read_bytes())
    options = Options(times=times, zones=zones, strict=True)
    imported = import_schedule((demo_days() / schedule).read_bytes(), options)
    assert imported.rejected == ()
    assert imported.notes == ()

    def facts(day: Day) -> set[tuple[object, ...]]:
        return {
            (leg.aircraft, leg.flight, leg.origin, leg.destination, leg.std, leg.sta, leg.passengers, leg.crew)
            for leg in day.legs
        }

    assert facts(imported.day) == facts(opened(name))
    assert {row.code: row.time_zone for row in imported.day.stations} == {
        row.code: row.time_zone for row in opened(name).stations
    }
