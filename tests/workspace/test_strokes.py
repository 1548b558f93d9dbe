"""Strokes and undo: what a drag shows, what it leaves behind, and what takes it back."""

from __future__ import annotations

from datetime import timedelta

import pytest

from legtide.day import edits
from legtide.workspace.selection import Selection
from legtide.workspace.workspace import Workspace

FIRST = "s-QX-AAA"


def moved(workspace: Workspace, minutes: int):
    start = workspace.day.legs[1].sta + timedelta(minutes=minutes)
    return edits.move_service(workspace.day, FIRST, 2, start)


def test_a_thousand_moves_give_one_projection_of_the_last(workspace, projector, qtbot, heard):
    changed = heard(workspace.changed)
    workspace.begin_stroke("Move service")
    projector.asked.clear()
    days = [moved(workspace, minutes) for minutes in range(1000)]
    for day in days:
        workspace.preview(day)
    qtbot.waitUntil(lambda: workspace.shown is days[-1])
    assert projector.asked == [days[-1]]
    assert len(changed) == 1


def test_release_makes_one_step_and_projects_nothing_anew(workspace, projector):
    before = workspace.day
    workspace.begin_stroke("Move service")
    for minutes in (5, 10, 15):
        workspace.preview(moved(workspace, minutes))
    last = moved(workspace, 20)
    workspace.preview(last)
    projector.asked.clear()
    assert workspace.commit_stroke()
    assert workspace.day is workspace.shown is last
    assert projector.asked == [last]
    assert workspace.undo_stack.count() == 1
    assert workspace.undo() == "Move service"
    assert workspace.day is before
    assert workspace.redo() == "Move service"
    assert workspace.day is last


def test_release_at_once_keeps_the_last_move_that_was_never_shown(workspace):
    workspace.begin_stroke("Move service")
    last = moved(workspace, 30)
    workspace.preview(last)
    assert workspace.shown is not last
    workspace.commit_stroke()
    assert workspace.day is last


def test_cancel_restores_and_leaves_no_step(workspace, heard):
    before, settled = workspace.day, workspace.projection
    workspace.begin_stroke("Move service")
    workspace.preview(moved(workspace, 10))
    workspace._pace.flush()
    assert workspace.shown is not before
    assert workspace.settled_projection is settled
    changed = heard(workspace.changed)
    workspace.cancel_stroke()
    assert workspace.shown is workspace.day is before
    assert workspace.projection is settled
    assert workspace.undo_stack.count() == 0
    assert len(changed) == 1


def test_a_move_still_waiting_when_the_stroke_is_cancelled_never_shows(workspace, qtbot):
    before = workspace.day
    workspace.begin_stroke("Move service")
    workspace.preview(moved(workspace, 10))
    workspace.cancel_stroke()
    qtbot.wait(40)
    assert workspace.shown is before


def test_coming_back_to_where_it_was_makes_no_step(workspace):
    workspace.begin_stroke("Move service")
    workspace.preview(moved(workspace, 10))
    workspace._pace.flush()
    workspace.preview(workspace.day)
    assert not workspace.commit_stroke()
    assert workspace.undo_stack.count() == 0


def test_previews_outside_a_stroke_are_ignored(workspace, qtbot):
    workspace.preview(moved(workspace, 10))
    qtbot.wait(40)
    assert workspace.shown is workspace.day


def test_undo_during_a_stroke_only_cancels_the_stroke(workspace):
    changed = moved(workspace, 10)
    workspace.apply(changed, "Move service")
    workspace.begin_stroke("Move service")
    workspace.preview(moved(workspace, 20))
    assert workspace.undo() is None
    assert workspace.day is changed
    assert not workspace.in_stroke


def test_an_edit_that_returns_the_same_day_is_no_step(workspace, heard):
    changed = heard(workspace.changed)
    assert not workspace.apply(edits.set_target(workspace.day, FIRST, 0.0), "Change fill level")
    assert not changed
    assert workspace.undo_stack.count() == 0


def test_undo_with_nothing_to_undo_says_so(workspace):
    assert workspace.undo() is None
    assert workspace.redo() is None


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"aircraft": "QX-AAA"}, Selection("QX-AAA")),
        ({"service": FIRST}, Selection("QX-AAA", FIRST, 2)),
        ({"leg": "QX-BAA-1"}, Selection("QX-BAA", leg="QX-BAA-1")),
        ({"aircraft": "QX-AAA", "turn": 3}, Selection("QX-AAA", turn=3)),
        ({"aircraft": "QX-AAA", "turn": 99}, Selection("QX-AAA")),
        ({"aircraft": "nobody", "turn": 1}, Selection()),
        ({"aircraft": "QX-AAA", "service": "gone"}, Selection("QX-AAA")),
        ({}, Selection()),
    ],
)
def test_a_selection_is_completed_from_the_day(workspace, fields, expected):
    workspace.select(**fields)
    assert workspace.selection == expected


def test_a_deleted_service_leaves_its_turn_selected(workspace, heard):
    workspace.select(service=FIRST)
    selected = heard(workspace.selection_changed)
    workspace.apply(edits.delete_service(workspace.day, FIRST), "Delete service")
    assert workspace.selection == Selection("QX-AAA", None, 2)
    assert len(selected) == 1


def test_the_selection_follows_the_service_from_turn_to_turn(workspace):
    workspace.select(service=FIRST)
    workspace.begin_stroke("Move service")
    workspace.preview(edits.move_service(workspace.day, FIRST, 3, None))
    workspace.commit_stroke()
    assert workspace.selection.turn == 3


def test_a_baseline_is_kept_while_the_day_goes_on(workspace):
    kept = workspace.projection
    workspace.keep_baseline()
    workspace.apply(moved(workspace, 10), "Move service")
    assert workspace.baseline is kept
    workspace.drop_baseline()
    assert workspace.baseline is None


def test_now_and_local_station_tell_when_they_change(workspace, heard):
    told = heard(workspace.now_changed)
    workspace.set_now(workspace.day.legs[0].std)
    workspace.set_now(workspace.day.legs[0].std)
    workspace.set_local_station("HOLN")
    assert len(told) == 2
