"""What a screen reader finds on the board."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible

from legtide.draw.content import Marker
from legtide.draw.words import hhmm
from legtide.view.timeline import accessible
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace


def board(canvas: BoardCanvas):
    return QAccessible.queryAccessibleInterface(canvas)


def names(canvas: BoardCanvas) -> list[str]:
    found = board(canvas)
    return [found.child(place).text(QAccessible.Text.Name) for place in range(found.childCount())]


def test_the_board_is_a_chart_with_every_row_and_service_as_a_named_child(canvas: BoardCanvas) -> None:
    assert board(canvas).role() == QAccessible.Role.Chart
    assert board(canvas).text(QAccessible.Text.Name) == "Rotation board"
    expected = []
    for row in canvas.model.content.rows:
        word = {None: "", "act": ", act now", "watch": ", watch"}[row.urgency]
        expected.append(row.registration + word)
        for marker in row.markers:
            kind = "Water" if marker.service.tank == "fresh" else "Waste"
            expected.append(f"{kind} service {row.registration} {hhmm(marker.start)} {marker.service.state}")
    assert names(canvas) == expected


def test_a_child_lies_where_its_marker_is_painted(canvas: BoardCanvas, marker: Marker, place_of) -> None:
    found = board(canvas)
    wanted = f"{hhmm(marker.start)} planned"
    child = next(
        found.child(place)
        for place in range(found.childCount())
        if found.child(place).text(QAccessible.Text.Name).endswith(f"{marker.service.aircraft} {wanted}")
    )
    where = canvas.viewport().mapToGlobal(place_of(marker.service.id).toPoint())
    assert child.rect().contains(where)
    assert found.childAt(where.x(), where.y()) is child
    assert child.role() == QAccessible.Role.Button
    assert child.text(QAccessible.Text.Description) != ""
    assert found.indexOfChild(child) == names(canvas).index(child.text(QAccessible.Text.Name))


def test_the_selected_item_has_the_focus(canvas: BoardCanvas, workspace: Workspace, marker: Marker) -> None:
    workspace.select(service=marker.service.id)
    focused = board(canvas).focusChild()
    assert focused.text(QAccessible.Text.Name).startswith(("Water service", "Waste service"))
    assert bool(focused.state().focused)
    workspace.select(marker.service.aircraft)
    assert board(canvas).focusChild().text(QAccessible.Text.Name).startswith(marker.service.aircraft)
    workspace.select()
    assert board(canvas).focusChild() is None


def test_names_follow_an_edit(qtbot, canvas: BoardCanvas, workspace: Workspace, marker: Marker) -> None:
    before = names(canvas)
    workspace.select(service=marker.service.id)
    qtbot.keyClick(canvas, Qt.Key.Key_Delete)
    after = names(canvas)
    assert len(after) == len(before) - 1
    assert board(canvas).childAt(-5, -5) is None
    assert board(canvas).child(len(after)) is None


def test_a_board_that_is_gone_is_forgotten(qtbot, workspace: Workspace) -> None:

    canvas = BoardCanvas(workspace)
    canvas.show()
    assert board(canvas).childCount() > 0
    kept = len(accessible._boards)
    canvas.close()
    canvas.deleteLater()
    del canvas
    qtbot.waitUntil(lambda: len(accessible._boards) < kept)
