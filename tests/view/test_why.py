"""Every number answers "why?" in the window: in the same words and numbers as on the command line."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QLabel

from legtide.plan.explain import explain
from legtide.view.why import WhyDialog


def words_of(page: WhyDialog) -> str:
    return "\n".join(label.text() for label in page.findChildren(QLabel))


@pytest.mark.parametrize(
    ("selected", "first", "questions"),
    [
        ({"service": "s0"}, "service:s0", 2),
        ({"leg": "0-3"}, "risk:QX-0:0-3:fresh", 5),
        ({"aircraft": "QX-0", "turn": 4}, "trigger:QX-0:4:fresh", 2),
        ({"aircraft": "QX-1"}, "plan:QX-1", 1),
    ],
)
def test_what_is_selected_is_explained(window, workspace, dialog, selected, first, questions):
    workspace.select(**selected)
    window.registry["view.why"].trigger()
    page = dialog("why")
    expected = explain(workspace.day, first)
    assert page.question.count() == questions
    said = words_of(page)
    assert expected.title in said
    assert all(one.label in said for one in expected.inputs)
    assert all(one.source in said for one in expected.inputs)


def test_another_question_about_the_same_leg_shows_another_number(window, workspace, dialog):
    workspace.select(leg="0-3")
    window.registry["view.why"].trigger()
    page = dialog("why")
    page.question.setCurrentIndex(page.question.count() - 1)
    assert explain(workspace.day, "mass:QX-0:0-3").title in words_of(page)


def test_a_warning_card_explains_its_warning(window, workspace, dialog):
    caution = workspace.projection.warnings[0]
    window.panel.what_to_do.why_asked.emit(caution)
    assert explain(workspace.day, "warning:1").title in words_of(dialog("why"))


def test_nothing_selected_has_nothing_to_explain(window, workspace):
    workspace.select()
    assert not window.registry["view.why"].isEnabled()


def test_the_card_of_a_turn_tells_the_readings_that_decide(window, workspace):
    """The same trigger readings as the planner's, in words."""
    from legtide.plan.triggers import rotation_triggers
    from legtide.view.facts import facts_of

    rotation = workspace.projection.aircraft["QX-0"].rotation
    wanted = {row.tank: row for row in rotation_triggers(workspace.day, rotation) if row.turn == 3}
    workspace.select("QX-0", turn=3)
    lines = dict(facts_of(workspace, window.preferences).lines)
    assert wanted["fresh"].trigger_percent is not None
    assert lines["Skip water at"] == f"{wanted['fresh'].trigger_percent:g}\u00a0% or more"
    assert "Skip waste at" in lines
