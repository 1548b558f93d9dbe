"""Nothing in the demo days is real: codes, names, registrations; only their time zones are."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

import airportsdata
import pytest

from demo.scenario import CARRIER, DESIGNATOR, FLEET, HUB, PORTS
from legtide.day.fits import FIT_IDS
from legtide.day.rotations import off_blocks
from legtide.files.day_file import load
from legtide.shipped import demo_days

REFERENCE = Path(__file__).parents[1] / "reference"


@cache
def airports() -> tuple[dict[str, dict[str, object]], ...]:
    """The lists by IATA code, ICAO code and FAA location identifier of the `airportsdata` package."""
    return tuple(airportsdata.load(kind) for kind in ("IATA", "ICAO", "LID"))


@pytest.mark.parametrize("code", PORTS)
def test_a_station_code_is_no_airports_code(code):
    for known in airports():
        assert code not in known


@pytest.mark.parametrize("code", PORTS)
def test_a_station_name_is_no_airports_or_citys_name(code):
    name = PORTS[code].name.casefold()
    for known in airports():
        assert not [row for row in known.values() if name in f"{row['name']} {row['city']}".casefold()]


def test_the_reference_list_knows_real_airports():
    """The two tests above can fail: codes that everybody knows are in the lists."""
    by_iata, by_icao, by_lid = airports()
    assert "LHR" in by_iata
    assert "EGLL" in by_icao
    assert "LAX" in by_lid
    assert any("heathrow" in str(row["name"]).casefold() for row in by_iata.values())


def test_no_state_has_the_nationality_mark_of_the_registrations():
    """ICAO Annex 7 and ITU Radio Regulations, appendix 42; see `nationality_marks.md`."""
    marks = (REFERENCE / "nationality_marks.txt").read_text(encoding="utf-8").split()
    assert {"D", "F", "G", "N", "JA", "VH"} <= set(marks)
    assert not [mark for mark in marks if mark.startswith("Q")]
    for registration in FLEET:
        assert re.fullmatch(r"Q[A-Z]-[A-Z]{3}", registration)
        assert not [mark for mark in marks if registration.startswith(mark)]


def test_no_registration_can_be_taken_for_a_signal_of_distress():
    """ICAO Annex 7 keeps Q codes and signals of distress out of registrations (from memory: SOS, XXX, PAN, TTT)."""
    letters = {registration.partition("-")[2] for registration in FLEET}
    assert not letters & {"SOS", "XXX", "PAN", "TTT"}
    assert not [name for name in letters if name.startswith("Q")]


def test_zones_are_real_and_some_are_half_an_hour_off():
    assert {port.zone for port in PORTS.values()} <= available_timezones()
    days = {path: load(path).day for path in demo_days().glob("*.day.json")}
    moment = off_blocks(next(iter(days.values())).legs[0])
    offsets = {code: moment.astimezone(ZoneInfo(port.zone)).utcoffset() for code, port in PORTS.items()}
    odd = {code for code, offset in offsets.items() if offset is not None and offset.total_seconds() % 3600}
    assert odd == {"PQR", "ZQD"}
    used = {station.code for day in days.values() for station in day.stations}
    assert odd <= used


def test_fits_are_shipped_ones_and_the_hub_is_a_station():
    assert set(FLEET.values()) <= set(FIT_IDS)
    assert HUB in PORTS


@pytest.mark.parametrize("path", sorted(demo_days().glob("*.day.json")), ids=lambda path: path.name)
def test_a_day_holds_only_what_the_scenario_has(path):
    day = load(path).day
    assert day.title.startswith(f"{CARRIER}: ")
    assert {row.code: (row.name, row.time_zone) for row in day.stations}.items() <= {
        code: (port.name, port.zone) for code, port in PORTS.items()
    }.items()
    assert {row.registration: row.fit for row in day.aircraft}.items() <= FLEET.items()
    assert all(re.fullmatch(rf"{DESIGNATOR} \d{{2,4}}", leg.flight) for leg in day.legs)
