"""Work off the GUI thread: delivered once, on the GUI thread, and only if it is still the newest."""

from __future__ import annotations

import threading

import pytest

from legtide.workspace.jobs import Jobs


@pytest.fixture
def jobs(qapp):
    jobs = Jobs()
    yield jobs
    jobs.cancel_all()


def unwanted(error: BaseException) -> None:
    raise AssertionError(f"not expected: {error!r}")


def test_a_result_is_delivered_on_the_gui_thread(jobs, qtbot):
    seen: list[tuple[int, int]] = []
    here = threading.get_ident()
    jobs.start(
        "sum", lambda report: threading.get_ident(), lambda ran: seen.append((ran, threading.get_ident())), unwanted
    )
    qtbot.waitUntil(lambda: bool(seen))
    ran, delivered = seen[0]
    assert ran != here
    assert delivered == here
    assert not jobs.busy("sum")


def test_an_older_result_of_the_topic_is_dropped(jobs, qtbot):
    gate = threading.Event()
    seen: list[str] = []
    jobs.start("plan", lambda report: (gate.wait(5), "old")[1], seen.append, unwanted)
    jobs.start("plan", lambda report: "new", seen.append, unwanted)
    qtbot.waitUntil(lambda: bool(seen))
    gate.set()
    qtbot.wait(120)
    assert seen == ["new"]


def test_topics_do_not_disturb_each_other(jobs, qtbot):
    seen: list[str] = []
    jobs.start("a", lambda report: "a", seen.append, unwanted)
    jobs.start("b", lambda report: "b", seen.append, unwanted)
    qtbot.waitUntil(lambda: len(seen) == 2)
    assert sorted(seen) == ["a", "b"]


def test_cancelled_work_stops_at_its_next_report_and_is_not_heard_of(jobs, qtbot):
    gate, stopped = threading.Event(), threading.Event()
    seen: list[object] = []

    def work(report):
        gate.wait(5)
        try:
            report.progress(1, 2)
        finally:
            stopped.set()
        return "too late"

    jobs.start("long", work, seen.append, seen.append)
    with qtbot.waitSignal(jobs.ended) as ended:
        jobs.cancel("long")
    assert ended.args == ["long"]
    gate.set()
    assert stopped.wait(5)
    qtbot.wait(120)
    assert seen == []


def test_progress_is_told(jobs, qtbot):
    told: list[tuple[str, int, int]] = []
    done: list[object] = []
    jobs.progress.connect(lambda *args: told.append(args))
    jobs.start("count", lambda report: [report.progress(n, 3) for n in (1, 2, 3)], done.append, unwanted)
    qtbot.waitUntil(lambda: bool(done))
    assert told == [("count", 1, 3), ("count", 2, 3), ("count", 3, 3)]


def test_an_error_reaches_the_one_who_asked(jobs, qtbot):
    errors: list[BaseException] = []

    def work(report):
        raise OSError("no such folder")

    jobs.start("read", work, lambda result: pytest.fail("not expected"), errors.append)
    qtbot.waitUntil(lambda: bool(errors))
    assert str(errors[0]) == "no such folder"
