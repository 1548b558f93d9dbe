"""What the board shows of a truck, what its run sheet says and what the table lists: one run, piece by piece.

The runs themselves are checked by a second checker (`support.bank_rules`) that shares no code with the program.
"""

from __future__ import annotations

import csv
import itertools
import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from legtide.brief.content import origin_of
from legtide.brief.paper import pdf_bytes
from legtide.brief.run_pages import run_pages
from legtide.brief.runs import run_sheets
from legtide.cli.main import main
from legtide.cli.runs import table
from legtide.day.document import Day
from legtide.day.edits import change_service
from legtide.day.rotations import stations
from legtide.draw.content import board_content
from legtide.draw.lanes import Lane, lane_groups
from legtide.engine.driving import ELSEWHERE
from legtide.engine.projection import project
from legtide.engine.truck_run import Piece, TruckRun, station_runs
from legtide.engine.types import to_datetime, utc_text
from legtide.files.day_file import load, save
from legtide.plan.bank.answer import Assignment, BankPlan, Figures, Run, RunLeg
from legtide.plan.network import plan_network
from legtide.plan.station import StationRuns, plan_station, run_rows, runs_at, station_conflicts
from legtide.plan.station.bridge import bank_of
from legtide.plan.station.needs import planned_needs
from legtide.plan.stop import AfterIterations
from legtide.shipped import demo_days
from support.bank_rules import broken_rules
from support.pdf_text import pdf_text
from support.small_tanks import STATION, small_tank_day

FEW = AfterIterations(20)
_cache: dict[int, Day] = {}


def planned_day(seed: int) -> Day:
    """A random day with the plan of its trucks in it."""
    if seed not in _cache:
        _cache[seed] = plan_station(small_tank_day(seed), STATION, stop=FEW).day
    return _cache[seed]


def edited_by_hand(day: Day, seed: int) -> Day:
    """Some services moved by a few minutes, one given to any truck: what a hand does to a plan."""
    rng = random.Random(f"by-hand-{seed}")
    trucks = [truck.id for truck in stations(day)[STATION].trucks]
    for row in rng.sample(day.services, min(4, len(day.services))):
        if row.start is not None:
            day = change_service(day, row.id, start=row.start + timedelta(seconds=rng.randint(-600, 600)))
    chosen = rng.choice(day.services)
    return change_service(day, chosen.id, truck=rng.choice(trucks))


def broken(day: Day) -> list[str]:
    """What the second checker finds wrong with the runs derived from a day, on the day's own means."""
    station, projection = stations(day)[STATION], project(day)
    runs = station_runs(station, projection.aircraft.values())
    pieces = {piece.service: (run, piece) for run in runs for piece in run.services}
    needs = []
    for need in planned_needs(day, projection, STATION):
        if need.service.id in pieces:
            way = replace(need.ways[0], litres=pieces[need.service.id][1].litres)
            needs.append(replace(need, ways=(way,)))
    found = bank_of(day, station, needs)
    names = {need.service.id: need.id for need in needs}
    where = {request.id: request.place for request in found.problem.requests}
    plan = BankPlan(
        tuple(
            Assignment(names[key], 0, run.truck.id, piece.start, piece.end) for key, (run, piece) in pieces.items()
        ),
        tuple(_as_run(run, names, where) for run in runs),
        (),
        Figures(0.0, sum(need.ways[0].value for need in needs), 0.0, 0.0),
        0.0,
    )
    begins = {run.truck.id: run.pieces[0].start for run in runs if run.pieces}
    vehicles = tuple(
        row
        if truck.shift is not None
        # Without a shift it works whenever it is asked to.
        else replace(row, available_min=begins.get(row.id, 0.0), shift_end_min=1e12)
        for row, truck in zip(found.problem.vehicles, station.trucks, strict=True)
    )
    return broken_rules(replace(found.problem, vehicles=vehicles), plan)


def _as_run(run: TruckRun, names: dict[str, str], where: dict[str, str]) -> Run:
    """The run with each place by the name that the bank has for it: stands not known are places there."""
    legs: list[RunLeg] = []
    at = run.pieces[0].origin if run.pieces else ""
    for place, piece in enumerate(run.pieces):
        to = at
        if piece.kind in ("drive", "reload", "service"):
            to = piece.destination
            if to == ELSEWHERE:
                to = next(where[names[row.service]] for row in run.pieces[place:] if row.kind == "service")
        origin = at if piece.kind == "drive" else to
        legs.append(RunLeg(piece.kind, piece.start, piece.end, origin, to, names.get(piece.service, "")))
        at = to
    return Run(run.truck.id, tuple(legs))


def lanes_of(day: Day, station: str) -> tuple[Lane, ...]:
    (group,) = lane_groups(board_content(day, project(day)), station)
    return group.lanes


def moment(minutes: float) -> str:
    return utc_text(to_datetime(minutes))


def _places(piece: Piece) -> tuple[str, str, str]:
    return piece.origin, piece.destination, piece.aircraft


def assert_all_agree(day: Day, station: str, pdf: bool = False) -> StationRuns:
    """Lanes, table and sheets of one day, piece by piece; answers with the runs."""
    found = runs_at(day, station)
    if not any(run.services for run in found.runs):
        return found
    lanes = [
        (lane.truck.id, piece.kind, moment(piece.start), moment(piece.end), *_places(piece))
        for lane in lanes_of(found.day, station)
        if any(piece.kind == "service" for piece in lane.pieces)
        for piece in lane.pieces
        if piece.kind != "wait"
    ]
    listed = list(csv.DictReader(table(run_rows(found)).decode().splitlines()))
    columns = ("truck", "what", "start", "end", "from", "to", "registration")
    assert [tuple(row[name] for name in columns) for row in listed if row["what"] != "wait"] == lanes
    sheets = run_sheets(found, origin_of(day, "x.day.json", datetime(2026, 5, 13, tzinfo=UTC)))
    told = [
        (sheet.truck.id, stop.kind, utc_text(stop.start), utc_text(stop.end), stop.place, stop.registration)
        for sheet in sheets
        for stop in sheet.stops
    ]
    assert told == [(*row[:4], row[5], row[6]) for row in lanes if row[1] != "drive"]
    if pdf:
        text = pdf_text(pdf_bytes(run_pages(sheets), "Run sheets"))
        for sheet in sheets:
            assert all(f"{stop.start:%H:%M}–{stop.end:%H:%M}" in text for stop in sheet.stops)
    return found


def reloads(found: StationRuns) -> int:
    return sum(piece.kind == "reload" for run in found.runs for piece in run.pieces)


def check_seeds(seeds: range) -> None:
    count = 0
    for seed in seeds:
        day = planned_day(seed)
        found = assert_all_agree(day, STATION, pdf=seed % 4 == 0)
        assert found.day is day
        assert not found.troubles, seed
        assert broken(day) == [], seed
        count += reloads(found)
        by_hand = edited_by_hand(day, seed)
        after = assert_all_agree(by_hand, STATION)
        assert {row.service_id for row in station_conflicts(by_hand, project(by_hand), STATION)} == set(
            after.troubles
        )
        for run in after.runs:
            ends = itertools.accumulate((piece.end for piece in run.pieces), max)
            assert all(piece.start <= end + 1e-6 for end, piece in zip(ends, run.pieces[1:], strict=False)), "a gap"
    assert count > 2 * len(seeds), "tanks too large to say anything"


@pytest.mark.parametrize("block", range(4))
def test_lanes_table_and_sheets_agree_and_a_plan_can_be_worked(block: int) -> None:
    check_seeds(range(3 * block, 3 * block + 3))


@pytest.mark.long
def test_the_same_on_many_days() -> None:
    check_seeds(range(12, 52))


def test_a_plan_of_rotations_and_trucks_can_be_worked() -> None:
    for seed in (2, 6):
        day = plan_network(small_tank_day(seed)).day
        assert not assert_all_agree(day, STATION).troubles
        assert broken(day) == []


def test_the_second_checker_sees_a_run_that_cannot_be_worked() -> None:
    """The control: a service put where its truck cannot be in time."""
    day = planned_day(0)
    run = max(runs_at(day, STATION).runs, key=lambda run: len(run.services))
    first, second = run.services[:2]
    clash = change_service(day, second.service, start=to_datetime(first.start + 1.0))
    assert second.service in runs_at(clash, STATION).troubles
    assert broken(clash)


@pytest.mark.parametrize("path", sorted(demo_days().glob("*.day.json")), ids=lambda path: path.name)
def test_demo_days_agree(path: Path) -> None:
    day = load(path).day
    for station in day.stations:
        if station.trucks:
            assert_all_agree(day, station.code)


def test_the_command_writes_what_the_board_shows(tmp_path: Path) -> None:
    day = planned_day(1)
    save(day, tmp_path / "x.day.json")
    assert main(["runs", str(tmp_path / "x.day.json"), "--station", STATION, "-o", str(tmp_path / "x.csv")]) == 0
    rows = list(csv.DictReader((tmp_path / "x.csv").read_text("utf-8").splitlines()))
    pieces = [(lane.truck.id, piece) for lane in lanes_of(day, STATION) for piece in lane.pieces]
    shown = [(truck, moment(piece.start)) for truck, piece in pieces if piece.kind == "reload"]
    assert [(row["truck"], row["start"]) for row in rows if row["what"] == "reload"] == shown
    assert shown


def test_a_service_that_its_truck_cannot_reach_is_told_on_the_sheet_as_on_the_board(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    day = planned_day(1)
    run = max(runs_at(day, STATION).runs, key=lambda run: len(run.services))
    first, second = run.services[:2]
    late = change_service(day, second.service, start=to_datetime(first.end))
    found = assert_all_agree(late, STATION)
    why = found.troubles[second.service]
    assert "min later at the earliest" in why
    row = next(row for row in run_rows(found) if row["start"] == moment(first.end) and row["what"] == "service")
    assert why in row["remark"]
    save(late, tmp_path / "x.day.json")
    assert main(["runs", str(tmp_path / "x.day.json"), "--station", STATION, "-o", str(tmp_path / "x.csv")]) == 0
    assert why in capsys.readouterr().err


def test_trucks_are_found_only_where_the_day_gives_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    day = planned_day(2)
    rows = [row for row in day.services if row.truck is not None]
    one_less = change_service(day, rows[0].id, truck=None)
    found = runs_at(one_less, STATION)
    assert found.day is one_less
    assert rows[0].id in {need.service.id for need, _ in found.left_out}
    bare = day
    for row in rows:
        bare = change_service(bare, row.id, truck=None)
    asked = runs_at(bare, STATION)
    assert asked.found_trucks > 0 and any(run.services for run in asked.runs)
    assert all(row.truck is None for row in bare.services)
    save(bare, tmp_path / "x.day.json")
    assert main(["runs", str(tmp_path / "x.day.json"), "--station", STATION, "-o", str(tmp_path / "x.csv")]) == 0
    assert f"{asked.found_trucks} services had no truck and were given one" in capsys.readouterr().err
