"""Asking for a plan, looking at it on the board, and taking or leaving it."""

from __future__ import annotations

import threading
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel

from legtide.day.edits import change_leg, delete_service, rebuilt
from legtide.plan.rotation import compare, propose
from legtide.plan.rotation.records import PlanError
from legtide.view import planning_work
from legtide.workspace.storage import StorageError
from support.days import rotation_day


@pytest.fixture
def planned(window, qtbot):
    """Runs an action of the window and waits for its plan."""

    def run(name: str = "plan.all"):
        window.registry.run(name)
        qtbot.waitUntil(lambda: window.planning.idle and window.planning.open)
        return window.planning

    return run


def proposals(window) -> dict[str, int]:
    names = window.workspace.settled_projection.aircraft
    return {name: len(window.board.model.extras(name).proposals) for name in names}


def test_one_press_on_the_filled_button_proposes_and_changes_nothing(window, workspace, day, click, qtbot):
    click(window.top_bar.find_plan)
    assert not window.top_bar.find_plan.isEnabled()
    qtbot.waitUntil(lambda: window.planning.review is not None)
    assert workspace.day is day
    assert workspace.undo_stack.count() == 0
    assert window.plan_review.isVisible()
    assert not window.panel.isVisible()
    assert window.planning.review.title == "Plan for 3 aircraft"
    assert window.planning.review.changes


def test_now_and_then_are_the_planners_own_figures(planned, window, workspace, day):
    """Without trucks, which may have no time for what the rotations by themselves would have."""
    bare = rebuilt(day, stations=tuple(rebuilt(row, trucks=()) for row in day.stations))
    workspace.apply(bare, "No trucks")
    review = planned().review
    expected = compare(propose(bare))
    assert [(row.registration, row.now.account, row.then.account) for row in review.rows[1:]] == [
        (row.registration, row.before, row.after) for row in expected[:-1]
    ]
    assert (review.rows[0].now.account, review.rows[0].then.account) == (expected[-1].before, expected[-1].after)
    lines = {words: (now, then) for words, now, then in window.plan_review.figures.texts()}
    assert lines["Services"] == (str(expected[-1].before.services), str(expected[-1].after.services))
    assert lines["Open warnings"] == (
        str(sum(row.severity != "note" for row in review.wish.projection.warnings)),
        str(sum(row.severity != "note" for row in review.projection.warnings)),
    )
    assert lines["Open warnings"][0] != "0"


def test_choosing_an_aircraft_shows_its_figures_and_its_row(planned, window, workspace):
    planned()
    window.plan_review.table.selectRow(2)
    assert workspace.selection.aircraft == "QX-1"
    assert window.plan_review.figures.accessibleName() == "QX-1, now and then"
    assert "Services: now 1, then" in window.plan_review.figures.accessibleDescription()


def test_taking_it_is_one_undo_step(planned, window, workspace, day, click):
    review = planned().review
    click(window.plan_review.take)
    assert workspace.day is review.day
    assert workspace.undo_stack.count() == 1
    assert window.panel.isVisible()
    assert not window.plan_review.isVisible()
    assert sum(proposals(window).values()) == 0
    assert "Taken: Plan for 3 aircraft" in window.footer.message
    workspace.undo()
    assert workspace.day is day


def test_leaving_it_leaves_no_trace(planned, window, workspace, day, click):
    before = window.columns.sizes()[1]
    planned()
    click(window.plan_review.leave)
    assert workspace.day is day
    assert workspace.undo_stack.count() == 0
    assert window.panel.isVisible()
    assert sum(proposals(window).values()) == 0
    assert all(window.board.model.extras(name).ghost is None for name in workspace.projection.aircraft)
    assert abs(window.columns.sizes()[1] - before) <= 2


def test_the_keyboard_takes_and_leaves(planned, window, workspace, day, qtbot):
    planned()
    qtbot.keyClick(window.plan_review, Qt.Key.Key_Escape)
    assert not window.planning.open
    planned()
    qtbot.keyClick(window, Qt.Key.Key_Backspace, Qt.KeyboardModifier.ControlModifier)
    assert not window.planning.open
    assert workspace.day is day
    planned()
    qtbot.keyClick(window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert workspace.day is not day


def test_the_board_shows_outlines_and_pale_curves(planned, window, workspace):
    review = planned().review
    added = [row for row in review.day.services if row.id not in {old.id for old in workspace.day.services}]
    shown = [row for name in workspace.projection.aircraft for row, _ in window.board.model.extras(name).proposals]
    assert added
    assert set(added) <= set(shown)
    for name in workspace.projection.aircraft:
        assert window.board.model.extras(name).ghost is review.projection.aircraft[name]


def test_the_board_can_show_the_day_as_if_it_had_been_taken(planned, window, workspace, day, click, qtbot):
    review = planned().review
    click(window.plan_review.preview)
    qtbot.waitUntil(lambda: workspace.shown is review.day)
    assert workspace.day is day
    assert sum(proposals(window).values()) == 0
    assert window.board.model.extras("QX-0").ghost is workspace.settled_projection.aircraft["QX-0"]
    click(window.plan_review.preview)
    assert workspace.shown is day
    assert not workspace.in_stroke
    assert sum(proposals(window).values()) > 0


def test_taking_it_while_it_is_shown_as_taken_is_one_step_too(planned, window, workspace, qtbot):
    review = planned().review
    window.registry.run("plan.preview")
    qtbot.waitUntil(lambda: workspace.shown is review.day)
    window.registry.run("plan.take")
    assert workspace.day is review.day
    assert not workspace.in_stroke
    assert workspace.undo_stack.count() == 1


def test_an_edit_ends_the_preview_and_the_proposal_is_out_of_date(planned, window, workspace, day, qtbot):
    review = planned().review
    window.registry.run("plan.preview")
    qtbot.waitUntil(lambda: workspace.shown is review.day)
    workspace.apply(delete_service(day, "s0"), "Delete")
    assert not window.planning.previewing
    assert window.planning.stale
    assert not window.plan_review.preview.isChecked()
    assert "has been changed since" in window.plan_review.notice.text()
    assert sum(proposals(window).values()) == 0


def test_a_drag_ends_the_preview_and_goes_on(planned, window, workspace, day, qtbot):
    review = planned().review
    window.registry.run("plan.preview")
    qtbot.waitUntil(lambda: workspace.shown is review.day)
    workspace.begin_stroke("Move")
    assert not window.planning.previewing
    assert workspace.in_stroke
    assert not window.planning.stale


def test_an_outdated_proposal_is_planned_again_and_its_undoing_makes_it_good(
    planned, window, workspace, day, click, qtbot
):
    review = planned().review
    workspace.apply(change_leg(day, "0-4", passengers=20), "Heads")
    assert not window.plan_review.take.isVisible()
    window.planning.take()
    assert workspace.undo_stack.count() == 1
    workspace.undo()
    assert window.plan_review.take.isVisible()
    workspace.redo()
    click(window.plan_review.again)
    qtbot.waitUntil(lambda: window.planning.idle)
    planned_again = window.planning.review
    assert planned_again is not review
    assert planned_again.wish.day is workspace.day
    assert window.plan_review.take.isVisible()


def test_an_edit_while_it_is_planned_makes_the_answer_out_of_date(window, workspace, day, qtbot):
    window.registry.run("plan.all")
    workspace.apply(delete_service(day, "s0"), "Delete")
    qtbot.waitUntil(lambda: window.planning.review is not None)
    assert window.planning.stale
    assert window.plan_review.again.isVisible()
    assert sum(proposals(window).values()) == 0


def test_a_plan_that_the_day_has_already_is_not_offered(planned, window, workspace):
    planned()
    window.registry.run("plan.take")
    review = planned().review
    assert not review.changed
    assert not window.plan_review.take.isVisible()
    assert "nothing to take" in window.plan_review.notice.text()
    assert window.plan_review.leave.text() == "Close"


def test_one_aircraft_is_planned_alone(planned, window, workspace, day):
    workspace.select("QX-1")
    review = planned("plan.aircraft").review
    assert review.title == "Plan for QX-1"
    assert {line.aircraft for line in review.changes} == {"QX-1"}
    assert [row for row in review.day.services if row.aircraft != "QX-1"] == [
        row for row in day.services if row.aircraft != "QX-1"
    ]


def test_without_a_selected_aircraft_there_is_none_to_plan(window, workspace):
    workspace.select()
    window.registry.refresh()
    assert not window.registry["plan.aircraft"].isEnabled()
    assert window.registry["plan.all"].isEnabled()


def test_a_day_without_legs_says_so(planned, window, workspace, click):
    workspace.apply(rotation_day(1.0, 0), "Empty")
    planned()
    assert "no leg is in the day" in window.plan_review.message.text()
    click(window.plan_review.close_message)
    assert window.panel.isVisible()


def test_what_cannot_be_kept_is_said_with_what_binds(planned, window, workspace):
    workspace.apply(rotation_day([9.0, 9.0], aircraft=1, load=1.0), "Long")
    review = planned().review
    assert review.verdict.startswith("No plan keeps every leg within 10")
    assert not review.settled
    assert any("even a" in line.text for line in review.unserved)
    assert window.plan_review.tabs.tabText(2) == f"Not served ({len(review.unserved)})"


def test_a_read_only_day_may_be_planned_but_not_taken(planned, window, workspace, day, monkeypatch):
    monkeypatch.setattr(type(workspace), "read_only", property(lambda _self: True))
    planned()
    assert not window.plan_review.take.isEnabled()
    assert not window.plan_review.preview.isEnabled()
    assert "reading only" in window.plan_review.notice.text()
    window.planning.take()
    assert workspace.day is day


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (PlanError("the sea is too rough"), "No plan was made: the sea is too rough."),
        (RuntimeError("boom"), "No plan was made: something went wrong inside the planner; the day is as it was."),
        (StorageError("no"), "No plan was made: something went wrong inside the planner; the day is as it was."),
    ],
)
def test_a_planner_that_fails_gives_a_sentence(planned, window, workspace, day, monkeypatch, error, said):
    def fail(*_args):
        raise error

    monkeypatch.setattr(planning_work, "review_of", fail)
    planned()
    assert window.plan_review.message.text() == said
    assert workspace.day is day
    assert window.top_bar.find_plan.isEnabled()


def test_a_plan_given_up_never_arrives(window, workspace, qtbot, click, monkeypatch):
    go = threading.Event()
    ended = threading.Event()

    def slow(wish, report, handle):
        go.wait(20)
        try:
            report.progress(1, 2)
        finally:
            ended.set()

    monkeypatch.setattr(planning_work, "review_of", slow)
    window.registry.run("plan.all")
    assert window.plan_review.running.isVisible()
    click(window.plan_review.running.give_up)
    assert not window.planning.open
    go.set()
    assert ended.wait(20)
    qtbot.wait(120)
    assert not window.planning.open
    assert window.panel.isVisible()


def test_stopping_keeps_what_is_planned_so_far(window, workspace, day):
    from legtide.view.planning_review import review_of_rotations
    from legtide.view.planning_wish import Handle, Wish

    class Quiet:
        def progress(self, done, total):
            assert total == 3

    handle = Handle()
    handle.stopped.set()
    wish = Wish("rotations", day, workspace.settled_projection, aircraft=("QX-0", "QX-1", "QX-2"))
    proposal = planning_work.plan_rotations(wish, Quiet(), handle)
    assert [plan.registration for plan in proposal.plans] == ["QX-0"]
    assert handle.live.done == 1
    review = review_of_rotations(wish, proposal)
    assert review.verdict.startswith("You stopped before 2 aircraft were planned.")
    assert not review.settled


def test_nothing_is_planned_before_now(planned, window, workspace, day):
    workspace.set_now(day.legs[5].std - timedelta(minutes=20))
    review = planned().review
    added = [row for row in review.day.services if row.id not in {old.id for old in day.services}]
    assert added
    assert all(row.start >= workspace.now for row in added)


def test_another_day_closes_the_review(planned, window, workspace):
    planned()
    window.opening.opened.emit()
    assert not window.planning.open


def test_everything_has_a_name_and_text_is_only_text(planned, window):
    planned()
    panel = window.plan_review
    for view in (panel, panel.changes, panel.unserved, panel.table, panel.figures, panel.running.bar):
        assert view.accessibleName()
    assert all(label.textFormat() == Qt.TextFormat.PlainText for label in panel.findChildren(QLabel))


def test_a_sentence_leads_to_its_place(planned, window, workspace, qtbot):
    review = planned().review
    lines = window.plan_review.changes
    number = next(n for n, line in enumerate(review.changes) if line.aircraft == "QX-2")
    lines.setCurrentIndex(lines.model().index(number, 0))
    qtbot.keyClick(lines, Qt.Key.Key_Return)
    assert workspace.selection.aircraft == "QX-2"
    assert workspace.selection.turn == review.changes[number].turn
