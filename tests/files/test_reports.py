"""The documents that the commands print: their keys are relied on by other programs."""

from __future__ import annotations

import json

import pytest

from legtide.engine.projection import project
from legtide.engine.types import utc_text
from legtide.files.day_file import load, save
from legtide.files.reports import projection_document
from support.full_day import at, full_day

# The keys of "JSON of `project`" in the project's contract, in its order.
TOP = ["format", "version", "title", "aircraft", "warnings"]
AIRCRAFT = ["registration", "fit", "legs", "services"]
LEG = [
    "id", "flight", "from", "to", "off_blocks", "on_blocks", "passengers",
    "fresh_departure_l", "fresh_arrival_l", "waste_departure_l", "waste_arrival_l", "water_mass_kg",
    "risk_fresh_dry", "risk_fresh_below_reserve", "risk_waste_over_limit", "risk_waste_full",
]  # fmt: skip
SPREAD = ["mean", "p05", "p25", "p50", "p75", "p95"]
SERVICE = ["turn", "station", "tank", "state", "target_percent", "start", "uplift_l", "truck"]
WARNING = ["code", "severity", "aircraft", "leg", "station", "message", "remedy"]


@pytest.fixture(scope="module")
def document() -> dict[str, object]:
    made: dict[str, object] = json.loads(json.dumps(projection_document(project(full_day())), allow_nan=False))
    return made


def test_the_keys_are_those_of_the_contract(document) -> None:
    assert list(document) == TOP
    assert (document["format"], document["version"], document["title"]) == ("legtide-projection", 1, "A full day")
    for aircraft in document["aircraft"]:
        assert list(aircraft) == AIRCRAFT
        for leg in aircraft["legs"]:
            assert list(leg) == LEG
            assert all(list(leg[key]) == SPREAD for key in LEG if key.endswith("_l"))
        for service in aircraft["services"]:
            assert list(service) == SERVICE
            assert list(service["uplift_l"]) == ["mean", "p05", "p95"]
    assert document["warnings"]
    for warning in document["warnings"]:
        assert list(warning) == WARNING
        assert warning["severity"] in ("breach", "caution", "note")


def test_it_tells_what_the_day_says(document) -> None:
    first, second = document["aircraft"]
    assert (first["registration"], first["fit"], len(first["legs"])) == ("QX-AAA", "single-aisle-180", 3)
    assert [leg["id"] for leg in second["legs"]] == ["4", "5"]
    leg = first["legs"][0]
    assert (leg["flight"], leg["from"], leg["to"], leg["passengers"]) == ("ZZ101", "ABLE", "BAKE", 150)
    assert (leg["off_blocks"], leg["on_blocks"]) == ("2031-03-05T06:18:00Z", "2031-03-05T07:45:00Z")
    service = first["services"][0]
    assert {key: service[key] for key in SERVICE if key != "uplift_l"} == {
        "turn": 2,
        "station": "ABLE",
        "tank": "fresh",
        "state": "planned",
        "target_percent": 75.0,
        "start": "2031-03-05T10:12:00Z",
        "truck": "W1",
    }
    skipped = first["services"][2]
    assert (skipped["state"], skipped["truck"], skipped["uplift_l"]["mean"]) == ("skipped", None, 0.0)


def test_what_a_warning_is_not_about_is_null(document) -> None:
    assert all(warning[key] is None or warning[key] for warning in document["warnings"] for key in WARNING)


def test_the_same_day_gives_the_same_document_after_a_save(document, tmp_path) -> None:
    save(full_day(), tmp_path / "a.day.json")
    again = projection_document(project(load(tmp_path / "a.day.json").day))
    assert json.loads(json.dumps(again)) == document


def test_times_are_utc_with_a_z() -> None:
    assert utc_text(at(0)) == "2031-03-05T06:00:00Z"
