"""Alternatives by menu: a name is asked for, the bar says which one is open, closing asks about the others."""

from __future__ import annotations

from PySide6.QtCore import Qt

from legtide.day.edits import delete_service


def keep(window, dialog, click, name):
    window.registry.run("plan.alternative")
    form = dialog("form")
    form.fields["name"].line.setText(name)
    click(form.button)


def test_a_new_one_is_named_and_open(window, workspace, dialog, click):
    assert window.top_bar.alternative_text() == ""
    keep(window, dialog, click, "Fewer drains")
    assert workspace.alternative == "Fewer drains"
    assert window.top_bar.alternative_text() == "Fewer drains"
    assert "Fewer drains is open" in window.footer.message
    workspace.apply(delete_service(workspace.day, "s1"), "delete")
    assert window.registry["edit.undo"].isEnabled()


def test_a_name_twice_is_refused_in_the_form(window, workspace, dialog, click):
    keep(window, dialog, click, "first PLAN")
    form = dialog("form")
    assert "already" in form._problem.text()
    assert len(workspace.alternatives) == 1
    form.reject()


def test_another_one_is_chosen_and_its_own_undo_is_there(window, workspace, dialog, click, qtbot):
    workspace.apply(delete_service(workspace.day, "s0"), "delete the first")
    keep(window, dialog, click, "Second")
    assert not window.registry["edit.undo"].isEnabled()
    window.registry.run("plan.switch")
    chooser = dialog("chooser")
    qtbot.keyClick(chooser.field, Qt.Key.Key_Return)
    assert workspace.alternative == "First plan"
    assert window.registry["edit.undo"].isEnabled()
    window.registry.run("edit.undo")
    assert any(row.id == "s0" for row in workspace.day.services)


def test_closing_asks_about_alternatives_that_no_file_holds(window, workspace, tmp_path, answer):
    workspace.save_as(tmp_path / "day.day.json")
    workspace.keep_alternative("Second")
    workspace.apply(delete_service(workspace.day, "s1"), "delete")
    workspace.switch_alternative("First plan")
    assert not workspace.dirty
    window.close()
    answer("Keep the day open")
    assert window.isVisible()
    window.close()
    answer("Give them up")
    assert not window.isVisible()
