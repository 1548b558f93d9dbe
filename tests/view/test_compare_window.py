"""The window that sets the present plan against the baseline."""

from __future__ import annotations

from datetime import timedelta

import pytest

from legtide.day.edits import change_service, delete_service
from legtide.day.rotations import on_blocks, rotations
from legtide.view.compare_window import CompareWindow


@pytest.fixture
def page(window):
    window.registry.run("view.compare")
    found = window.findChild(CompareWindow)
    assert found is not None
    yield found
    found.close()


def line(page, words):
    return next((a, b) for name, a, b in page.figures.texts() if name == words)


def test_without_a_baseline_it_says_what_to_do(page, workspace, click):
    assert "no baseline yet" in page.sentence.text()
    assert page.table.isHidden()
    click(page.keep)
    assert workspace.baseline is workspace.settled_projection
    assert page.sentence.text() == "Nothing differs."
    assert len(page.model.rows) == 4


def test_a_service_taken_away_shows_in_risk_litres_and_cost(page, workspace):
    workspace.keep_baseline()
    workspace.apply(delete_service(workspace.day, "s1"), "delete")
    assert page.sentence.text().startswith("1 aircraft differs: cost ")
    together, first, second, _ = page.model.rows
    assert first.now == first.then
    assert second.registration == "QX-1"
    assert second.then.account.costs.risk > second.now.account.costs.risk
    assert second.then.account.drained_l < second.now.account.drained_l
    assert second.then.account.services == second.now.account.services - 1
    for one in ("now", "then"):
        parts = [getattr(row, one).account.costs.total for row in page.model.rows[1:]]
        assert getattr(together, one).account.costs.total == pytest.approx(sum(parts))
    assert line(page, "Services") == ("3", "2")
    workspace.undo()
    assert page.sentence.text() == "Nothing differs."


def test_a_truck_given_to_a_service_shows_in_its_minutes(page, workspace):
    workspace.keep_baseline()
    rotation = rotations(workspace.day)["QX-0"]
    start = on_blocks(rotation.legs[2]) + timedelta(minutes=5)
    workspace.apply(change_service(workspace.day, "s0", truck="T1", start=start), "truck")
    row = page.model.rows[1]
    fit = rotation.fit
    assert row.now.truck_min == 0.0
    assert row.then.truck_min == pytest.approx(fit.connect_min.value + fit.drain_min.value)


def test_a_drag_is_not_counted_before_it_is_placed(page, workspace, window):
    workspace.keep_baseline()
    stroke = window.board.mover.begin("s0")
    stroke.jump(True)
    window.board.mover.show(stroke)
    assert page.sentence.text() == "Nothing differs."
    window.board.mover.place()
    assert page.sentence.text().startswith("1 aircraft differs")


def test_asked_for_twice_it_is_one_window(window, page):
    window.registry.run("view.compare")
    assert len(window.findChildren(CompareWindow)) == 1


def test_an_alternative_is_compared_like_a_baseline(page, workspace, window):
    workspace.keep_alternative("Without the drain")
    workspace.apply(delete_service(workspace.day, "s2"), "delete")
    page.against.setCurrentIndex(page.against.findText("First plan"))
    assert page.sentence.text().startswith("1 aircraft differs: cost ")
    assert line(page, "Services") == ("3", "2")
    workspace.switch_alternative("First plan")
    assert [page.against.itemText(n) for n in range(page.against.count())] == ["the baseline", "Without the drain"]
    page.against.setCurrentIndex(1)
    assert line(page, "Services") == ("2", "3")
