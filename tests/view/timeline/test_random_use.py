"""Whatever is clicked, dragged and typed in whatever order: the board shows the workspace, and undo leads back."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtWidgets import QApplication

from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace

Key, Mod = Qt.Key, Qt.KeyboardModifier
KEYS = (
    (Key.Key_Left, Mod.NoModifier),
    (Key.Key_Right, Mod.ShiftModifier),
    (Key.Key_Right, Mod.ControlModifier),
    (Key.Key_Left, Mod.ControlModifier),
    (Key.Key_Up, Mod.NoModifier),
    (Key.Key_Down, Mod.NoModifier),
    (Key.Key_Tab, Mod.NoModifier),
    (Key.Key_Return, Mod.NoModifier),
    (Key.Key_Escape, Mod.NoModifier),
    (Key.Key_Delete, Mod.NoModifier),
)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_random_session_leaves_the_board_in_step_and_can_be_undone(
    qtbot, canvas: BoardCanvas, workspace: Workspace, mouse, place_of, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    first = workspace.day

    def anywhere() -> QPointF:
        return QPointF(float(rng.uniform(0, canvas.width())), float(rng.uniform(0, canvas.height())))

    def drag_a_marker() -> None:
        ids = [row.id for row in workspace.day.services]
        if not ids:
            return
        wanted = str(rng.choice(ids))
        canvas.navigate.reveal_service(wanted)
        mouse.press(place_of(wanted))
        mouse.drag_to(mouse.at + QPointF(float(rng.normal(0.0, 200.0)), 0.0), steps=3)
        if rng.random() < 0.3:
            qtbot.keyClick(canvas, Key.Key_Escape)
        mouse.release()

    def pan() -> None:
        mouse.press(anywhere())
        mouse.drag_to(anywhere(), steps=3)
        mouse.release()

    acts = (
        drag_a_marker,
        pan,
        lambda: mouse.click(anywhere()),
        lambda: mouse.hover(anywhere()),
        lambda: qtbot.keyClick(canvas, *KEYS[int(rng.integers(len(KEYS)))]),
        lambda: canvas.navigate.zoom(float(rng.choice([0.6, 1.7])), float(rng.uniform(200, 1300))),
        workspace.undo,
        workspace.redo,
    )
    for _ in range(120):
        acts[int(rng.integers(len(acts)))]()
        QApplication.processEvents()
        assert (canvas.mover.stroke is None) or workspace.in_stroke
        for row in canvas.model.content.rows:
            assert row.projection is workspace.projection.aircraft[row.registration]
    canvas.mover.cancel()
    while workspace.undo_stack.canUndo():
        workspace.undo()
    assert workspace.day == first
