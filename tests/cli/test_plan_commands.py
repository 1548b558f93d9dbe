"""`legtide plan` and `legtide runs` as a user types them."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from legtide.cli.main import main
from legtide.cli.runs import table
from legtide.day import edits
from legtide.day.document import Place, Truck
from legtide.engine.projection import project
from legtide.files.day_file import load, save
from support.days import rotation_day

PLAN_KEYS = {"format", "version", "status", "cost", "bound", "worst_risk", "services", "unserved"}
SERVICE_KEYS = {"registration", "turn", "station", "tank", "target_percent", "start", "end", "truck"}


@pytest.fixture
def day_path(tmp_path: Path) -> Path:
    """Two aircraft whose tanks do not last, at a station with a truck of each kind."""
    day = rotation_day(1.5, 6, 0.8, aircraft=2)
    trucks = (Truck(id="W1", tank="fresh", start_place="P"), Truck(id="T1", tank="waste", start_place="P"))
    places = (Place(id="P", kind="base"), Place(id="F", kind="fill_point"), Place(id="D", kind="dump_point"))
    day = edits.change_station(day, "ABLE", trucks=trucks, places=places)
    path = tmp_path / "two.day.json"
    save(day, path)
    return path


def run_json(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, dict[str, object]]:
    code = main(list(words))
    return code, json.loads(capsys.readouterr().out)


def test_a_plan_of_all_rotations_keeps_the_limit_and_is_the_contracts_document(
    day_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "planned.day.json"
    code, plan = run_json(capsys, "plan", str(day_path), "-o", str(out), "--json")
    assert code == 0
    assert set(plan) == PLAN_KEYS
    assert (plan["format"], plan["version"], plan["status"]) == ("legtide-plan", 1, "optimal")
    services = plan["services"]
    assert isinstance(services, list)
    assert services
    assert all(set(row) == SERVICE_KEYS for row in services)
    assert {row["registration"] for row in services} == {"QX-0", "QX-1"}
    planned = load(out).day
    assert len(planned.services) == len(services)
    assert not [row for row in project(planned).warnings if row.severity == "breach"]
    assert [row for row in project(load(day_path).day).warnings if row.severity == "breach"]


def test_the_same_input_gives_the_same_plan(day_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["--aircraft", "QX-1"], ["--station", "ABLE"]):
        assert run_json(capsys, "plan", str(day_path), *words, "--json") == run_json(
            capsys, "plan", str(day_path), *words, "--json"
        )


def test_one_aircraft_alone_is_planned(day_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, plan = run_json(capsys, "plan", str(day_path), "--aircraft", "QX-1", "--json")
    assert {row["registration"] for row in plan["services"]} == {"QX-1"}  # type: ignore[attr-defined]


def test_trucks_are_planned_and_their_runs_written(
    day_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, runs = tmp_path / "trucks.day.json", tmp_path / "runs.csv"
    _, plan = run_json(capsys, "plan", str(day_path), "--station", "ABLE", "-o", str(out), "--json")
    assert set(plan) == PLAN_KEYS
    trucks = {row["truck"] for row in plan["services"]}  # type: ignore[attr-defined]
    assert trucks <= {"W1", "T1"}
    assert trucks
    assert main(["runs", str(out), "--station", "ABLE", "-o", str(runs)]) == 0
    rows = list(csv.DictReader(runs.read_text(encoding="utf-8").splitlines()))
    served = {(row["truck"], row["registration"], row["tank"]) for row in rows if row["what"] == "service"}
    assert served == {
        (row["truck"], row["registration"], row["tank"])
        for row in plan["services"]  # type: ignore[attr-defined]
    }


def test_the_page_for_people_names_services_and_totals(day_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(day_path)]) == 0
    page = capsys.readouterr().out
    assert "optimal plan, cost" in page
    assert "QX-0" in page
    assert "drain" in page


@pytest.mark.parametrize(
    ("words", "code", "named"),
    [
        (["plan", "DAY", "--aircraft", "QX-7"], 3, "QX-7"),
        (["plan", "DAY", "--station", "NONE"], 3, "NONE"),
        (["plan", "DAY", "--station", "ABLE", "--aircraft", "QX-0"], 2, "--station"),
        (["runs", "DAY", "--station", "NONE", "-o", "x.csv"], 3, "NONE"),
        (["runs", "DAY", "--station", "ABLE", "-o", "x.txt"], 2, "x.txt"),
        (["plan", "nowhere.day.json"], 3, "nowhere.day.json"),
    ],
)
def test_what_cannot_be_done_is_said_with_its_code(
    day_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], code: int, named: str
) -> None:
    assert main([str(day_path) if word == "DAY" else word for word in words]) == code
    said = capsys.readouterr()
    assert named in said.err
    assert "Traceback" not in said.err
    assert said.out == ""


def test_names_that_look_like_formulas_are_made_harmless() -> None:
    row = dict.fromkeys(("what", "start", "end", "from", "to", "tank", "target_percent", "litres"), "")
    written = table([{**row, "truck": "=1+2", "registration": "+QX"}]).decode()
    assert "'=1+2" in written
    assert "'+QX" in written
