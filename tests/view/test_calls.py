"""The list of calls to make: in the order in which they become too late, done in one click."""

from __future__ import annotations

from datetime import timedelta

import pytest

from legtide.day.edits import change_leg, service, set_figure
from legtide.day.rotations import on_blocks, rotations
from legtide.view.calls import calls, left_text
from legtide.view.calls_window import CallsWindow


@pytest.fixture
def page(window):
    window.registry.run("view.calls")
    found = window.findChild(CallsWindow)
    assert found is not None
    yield found
    found.close()


def asked(workspace):
    return [row for row in calls(workspace.day, workspace.projection) if row.service]


def test_they_stand_in_the_order_in_which_they_become_too_late(page, workspace):
    moments = [row.call.by for row in page.rows]
    assert moments == sorted(moments)
    assert {row.call.service for row in page.rows if row.call.service} == {"s0", "s1", "s2"}
    assert any(row.call.caution is not None for row in page.rows)


def test_a_service_is_called_for_by_its_start_less_the_lead_time(workspace):
    first = asked(workspace)[0]
    assert first.start - first.by == timedelta(minutes=workspace.day.policy.call_lead_min.value)
    workspace.apply(set_figure(workspace.day, "policy", "call_lead_min", 45.0), "longer")
    assert asked(workspace)[0].start - asked(workspace)[0].by == timedelta(minutes=45)


def test_a_warning_is_due_when_its_way_out_becomes_too_late(workspace):
    due = {id(row.caution): row.by for row in calls(workspace.day, workspace.projection) if row.caution}
    for caution in workspace.projection.warnings:
        if caution.severity != "note" and caution.code != "service-outside-turn" and caution.act_by:
            assert due[id(caution)] == caution.act_by


def test_one_click_says_that_it_is_done_and_one_undo_takes_it_back(page, workspace, click):
    row = next(row for row in page.rows if row.call.service == "s1")
    start = row.call.start
    assert row.done.text() == "Asked for"
    click(row.done)
    assert service(workspace.day, "s1").asked_start == start
    assert "s1" not in {row.call.service for row in page.rows}
    workspace.undo()
    assert "s1" in {row.call.service for row in page.rows}


def test_a_service_that_moved_since_is_to_be_asked_for_again(page, workspace, click):
    click(next(row for row in page.rows if row.call.service == "s0").done)
    leg = rotations(workspace.day)["QX-0"].legs[2]
    workspace.apply(change_leg(workspace.day, leg.id, eta=on_blocks(leg) + timedelta(minutes=9)), "late")
    row = next(row for row in page.rows if row.call.service == "s0")
    assert row.detail.text().startswith("asked for at ")
    assert "ask again" in row.detail.text()


def test_a_warning_s_way_out_is_taken_by_its_button(page, workspace, click):
    row = next(row for row in page.rows if row.call.caution is not None and not row.done.isHidden())
    before = len(workspace.day.services)
    click(row.done)
    assert len(workspace.day.services) == before + 1
    assert workspace.undo_stack.count() == 1


def test_it_says_how_long_there_is_once_there_is_a_now(page, workspace):
    by = page.rows[0].call.by
    assert left_text(by, None).startswith("by ")
    workspace.set_now(by - timedelta(minutes=12))
    assert page.rows[0].left.text().endswith(", in 12 min")
    assert not page.rows[0]._sign.pixmap().isNull()
    workspace.set_now(by + timedelta(minutes=3))
    assert page.rows[0].left.text().endswith(", 3 min too late")


def test_what_was_asked_for_is_kept_in_the_file(workspace, page, click, tmp_path):
    click(next(row for row in page.rows if row.call.service == "s2").done)
    path = tmp_path / "a.day.json"
    workspace.save_as(path)
    known = service(workspace.day, "s2").asked_start
    workspace.open(path)
    assert known is not None
    assert service(workspace.day, "s2").asked_start == known
