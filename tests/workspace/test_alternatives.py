"""Alternatives of one day: each has its own steps, one is open, and none is lost unseen."""

from __future__ import annotations

import pytest

from legtide.day.edits import retitled
from legtide.workspace.alternatives import FIRST, MOST, AlternativeError


def test_there_is_one_at_first(workspace):
    assert workspace.alternatives == (FIRST,)
    assert workspace.alternative == FIRST
    assert workspace.other_days == {}


def test_each_has_its_own_day_and_its_own_steps(workspace):
    first = workspace.day
    workspace.apply(retitled(first, "A"), "name it A")
    kept = workspace.day
    workspace.keep_alternative("Second")
    assert workspace.day is kept
    assert not workspace.can_undo()
    workspace.apply(retitled(workspace.day, "B"), "name it B")
    workspace.switch_alternative(FIRST)
    assert workspace.day is kept
    assert workspace.undo() == "name it A"
    assert workspace.day is first
    workspace.switch_alternative("Second")
    assert workspace.day.title == "B"
    assert workspace.undo() == "name it B"
    assert workspace.day is kept
    assert workspace.redo() == "name it B"


def test_the_projection_and_the_signals_follow_the_open_one(workspace, qtbot):
    workspace.keep_alternative("Second")
    workspace.apply(retitled(workspace.day, "B"), "name it B")
    with qtbot.waitSignals([workspace.changed, workspace.alternatives_changed]):
        workspace.switch_alternative(FIRST)
    assert workspace.projection.day is workspace.day
    with qtbot.waitSignal(workspace.edited):
        workspace.apply(retitled(workspace.day, "C"), "name it C")


def test_a_stroke_ends_with_a_switch(workspace):
    workspace.keep_alternative("Second")
    workspace.begin_stroke("drag")
    workspace.switch_alternative(FIRST)
    assert not workspace.in_stroke


@pytest.mark.parametrize("name", ["", "  ", "x" * 41, FIRST, FIRST.upper()])
def test_a_name_that_will_not_do_is_refused(workspace, name):
    with pytest.raises(AlternativeError):
        workspace.keep_alternative(name)
    assert workspace.alternatives == (FIRST,)


def test_there_is_a_most(workspace):
    for number in range(MOST - 1):
        workspace.keep_alternative(f"P{number}")
    with pytest.raises(AlternativeError, match="drop one first"):
        workspace.keep_alternative("one more")


def test_the_open_one_cannot_be_dropped_but_others_can(workspace):
    workspace.keep_alternative("Second")
    with pytest.raises(AlternativeError, match="is open"):
        workspace.drop_alternative("Second")
    workspace.drop_alternative(FIRST)
    assert workspace.alternatives == ("Second",)


def test_what_no_file_holds_is_named(workspace, tmp_path):
    workspace.save_as(tmp_path / "a.day.json")
    workspace.keep_alternative("Same")
    assert workspace.loose_alternatives == ()
    workspace.apply(retitled(workspace.day, "B"), "name it B")
    assert workspace.dirty
    workspace.switch_alternative(FIRST)
    assert not workspace.dirty
    assert workspace.loose_alternatives == ("Same",)
    workspace.switch_alternative("Same")
    assert workspace.dirty
    assert workspace.loose_alternatives == ()


def test_another_day_begins_with_one(workspace):
    workspace.keep_alternative("Second")
    workspace.apply(retitled(workspace.day, "B"), "name it B")
    workspace.new(retitled(workspace.day, "new"))
    assert workspace.alternatives == (FIRST,)
    assert not workspace.can_undo()
    assert not workspace.dirty
