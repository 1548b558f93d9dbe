"""The trucks of a station planned beside the window: the process, and what the window makes of its answer."""

from __future__ import annotations

import contextlib
import multiprocessing
import threading

import pytest

from legtide.day.document import Service
from legtide.day.edits import change_leg, change_station
from legtide.day.rotations import stations
from legtide.engine.projection import project
from legtide.plan.network import NetworkPlan
from legtide.plan.rotation.records import PlanError
from legtide.plan.station import plan_station
from legtide.plan.stop import AfterIterations
from legtide.view import planning_process
from legtide.view.planning_process import Failed, StationFound, Task, answer, search_station, serve
from legtide.view.planning_review import review_of_network, review_of_trucks
from legtide.view.planning_wish import Handle, Live, Wish
from legtide.workspace.jobs import CancelledError
from support.networks import small_network
from support.station_days import station_day


@pytest.fixture
def day():
    services = tuple(
        Service(id=f"s{n}{tank[0]}", aircraft=f"QX-{n}", turn=3, tank=tank, target_percent=target)
        for n in range(6)
        for tank, target in (("fresh", 100.0), ("waste", 0.0))
    )
    return station_day(6, trucks=1, services=services)


class Quiet:
    """A report that is cancelled after so many calls."""

    def __init__(self, calls: int | None = None) -> None:
        self.left = calls

    def progress(self, _done: int, _total: int) -> None:
        if self.left is not None:
            self.left -= 1
            if self.left < 0:
                raise CancelledError


def wish_for(day, kind="trucks", station="BAKE"):
    return Wish(kind, day, project(day), station=station)


def task(day, **changes):
    return Task(**{"day": day, "station": "BAKE", "mend": False, "now_s": None, "limit_s": 5.0, **changes})


@pytest.fixture
def alone(monkeypatch):
    """Without the helper that proves."""
    monkeypatch.setattr(planning_process, "exact_available", lambda: False)


def test_the_process_plans_and_tells_how_far_it_is(day, monkeypatch, alone):
    monkeypatch.setattr(planning_process, "LIMIT_S", 4.0)
    handle = Handle()
    found = search_station(wish_for(day), Quiet(), handle)
    assert len(found.result.plan.assignments) >= 6
    assert handle.live.worth > 0.0
    assert 0 < handle.live.served <= handle.live.asked
    assert ours() == []


def ours():
    return [one for one in multiprocessing.active_children() if one.name == "legtide-plan"]


def test_told_to_stop_it_hands_over_the_best_so_far(day, alone):
    here, there = multiprocessing.Pipe()
    thread = threading.Thread(target=serve, args=(there,), daemon=True)
    thread.start()
    here.send(task(day, limit_s=600.0))
    here.send("stop")
    news = Live()
    while isinstance(news, Live):
        assert here.poll(60)
        news = here.recv()
    thread.join(20)
    assert isinstance(news, StationFound)
    assert news.result.stopped_by == "cancelled"
    assert news.result.plan.assignments


def test_given_up_the_process_ends(day):
    with pytest.raises(CancelledError):
        search_station(wish_for(day), Quiet(4), Handle())
    assert ours() == []


def test_a_process_that_dies_is_a_sentence(day, monkeypatch):
    monkeypatch.setattr(planning_process, "serve", contextlib.nullcontext)
    with pytest.raises(PlanError, match="ended unexpectedly"):
        search_station(wish_for(day), Quiet(), Handle())
    assert ours() == []


def test_a_station_that_is_not_there_is_a_sentence(day, alone):
    failed = answer(task(day, station="NONE"), lambda: True, lambda live: None)
    assert isinstance(failed, Failed)
    assert "NONE" in failed.reason


def test_the_review_says_what_has_no_truck_and_what_would_help(day, alone):
    found = answer(task(day), lambda: True, lambda live: None)
    review = review_of_trucks(wish_for(day), found)
    plan = found.result.plan
    served = len(plan.assignments)
    assert plan.unserved, "one truck of each kind is too few for this bank"
    assert review.verdict.startswith(f"{served} of {served + len(plan.unserved)} services have a truck.")
    assert len(review.unserved) == len(plan.unserved)
    assert any("another" in line.text or "delay" in line.text for line in review.unserved)
    assert not any(row.request in line.text for row in plan.unserved for line in review.unserved)
    with_truck = [row for row in review.day.services if row.truck is not None]
    assert len(with_truck) == served
    together = review.rows[0]
    assert together.now.truckless == 12
    assert together.then.truckless == sum(row.truck is None for row in review.day.services)


def test_a_mended_plan_gives_its_reasons_in_words(day, alone):
    planned = plan_station(day, "BAKE", stop=AfterIterations(60)).day
    first = min((row for row in planned.services if row.truck), key=lambda row: row.start)
    leg = next(row for row in planned.legs if row.id == f"{first.aircraft[-1]}-{first.turn - 1}")
    late = change_leg(planned, leg.id, eta=leg.sta + (first.start - leg.sta) * 2)
    found = answer(task(late, mend=True), lambda: False, lambda live: None)
    review = review_of_trucks(wish_for(late, "mend"), found)
    reasons = [line.text for line in review.changes if ", because " in line.text]
    assert reasons
    assert not any(row.request in text for row in found.changes for text in reasons)
    kept = {row.id: row.truck for row in planned.services}
    assert sum(row.truck != kept[row.id] for row in review.day.services) <= 2


# in the window --------------------------------------------------------------------------------------------


def wait_for_plan(window, qtbot):
    qtbot.waitUntil(lambda: window.planning.idle and window.planning.open, timeout=60_000)


def test_a_station_without_trucks_says_so(window, workspace, qtbot):
    workspace.set_local_station("ABLE")
    window.registry.run("plan.trucks")
    said = window.plan_review.message.text()
    assert said == "ABLE has no trucks in this day. Choose one that has, in View, Local time of…: BAKE."


def test_mending_without_a_plan_says_what_comes_first(window, workspace):
    workspace.set_local_station("BAKE")
    window.registry.run("plan.mend")
    assert "Plan the trucks first" in window.plan_review.message.text()


def test_without_a_station_one_is_asked_for(window, workspace):
    workspace.set_local_station(None)
    window.registry.run("plan.trucks")
    assert "Choose a station first" in window.plan_review.message.text()


def test_the_trucks_are_planned_stopped_and_taken(window, workspace, qtbot, click, alone):
    workspace.set_local_station("BAKE")
    window.registry.run("plan.trucks")
    page = window.plan_review.running
    assert page.title.text() == "Planning the trucks at BAKE…"
    qtbot.waitUntil(lambda: "truck." in page.so_far.text(), timeout=60_000)
    assert "risk" in page.more.text() or "not known" in page.more.text()
    if window.planning.running is not None:
        click(page.stop)
    wait_for_plan(window, qtbot)
    review = window.planning.review
    assert review.title == "Trucks at BAKE"
    click(window.plan_review.take)
    assert workspace.day is review.day
    assert workspace.undo_stack.count() == 1
    assert any(row.truck for row in workspace.day.services)
    assert ours() == []


def test_closing_the_window_ends_the_search(window, workspace, qtbot):
    workspace.set_local_station("BAKE")
    window.registry.run("plan.trucks")
    qtbot.waitUntil(lambda: bool(ours()), timeout=20_000)
    window.close()
    assert not window.planning.open
    qtbot.waitUntil(lambda: ours() == [], timeout=20_000)


# rotations and trucks together ------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def short_day():
    """Two aircraft that want their drains at BAKE, which has no toilet truck; ABLE is served by a handler."""
    day = small_network(2, 2, 3, trucks=("BAKE",))
    water = tuple(truck for truck in stations(day)["BAKE"].trucks if truck.tank == "fresh")
    return change_station(day, "BAKE", trucks=water)


def test_what_is_served_elsewhere_is_said_first_with_the_reason(short_day, alone):
    found = answer(task(short_day, network=True), lambda: False, lambda live: None)
    assert isinstance(found, NetworkPlan)
    wish = Wish("network", short_day, project(short_day), aircraft=("QX-0", "QX-1"))
    review = review_of_network(wish, found)
    assert review.title == "Plan for 2 aircraft"
    assert "The trucks are short" in review.verdict
    assert "is planned at ABLE" in review.changes[0].text and "instead of BAKE" in review.changes[0].text
    assert "the station has no toilet truck" in review.changes[0].text
    assert [line.kind for line in review.changes[:2]] == ["move", "move"]
    assert review.objective.startswith("Departures delayed 0") and "trucks" in review.objective
    assert {row.id: row for row in review.day.services} == {row.id: row for row in found.day.services}


def test_a_stations_plan_moves_what_its_trucks_cannot_do(short_day, alone):
    found = answer(task(short_day), lambda: False, lambda live: None)
    review = review_of_trucks(wish_for(short_day), found)
    assert found.moves and review.unserved == ()
    assert f"{len(found.moves)} services are planned at other turns" in review.verdict
    assert "instead of BAKE" in review.changes[0].text
    served = {(row.aircraft, row.turn, row.tank) for row in review.day.services}
    assert {(row.registration, row.turn, row.tank) for move in found.moves for row in move.instead} <= served


def test_told_to_stop_a_station_moves_nothing_more(short_day, alone):
    found = answer(task(short_day), lambda: True, lambda live: None)
    assert found.moves == () and found.result.plan.unserved
