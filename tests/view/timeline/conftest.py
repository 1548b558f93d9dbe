"""A board on a busy day, shown without a screen, and a mouse that is delivered at once."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from legtide.draw.content import Marker
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.workspace import Workspace
from support.boards import HOME, board_day

LEFT, NONE = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton


@pytest.fixture
def workspace(qapp: QApplication) -> Workspace:
    made = Workspace(board_day(8))
    made.set_local_station(HOME)
    return made


@pytest.fixture
def canvas(qtbot, workspace: Workspace) -> BoardCanvas:
    made = BoardCanvas(workspace, legend=True)
    made.resize(1400, 900)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    made.setFocus()
    return made


class Mouse:
    """Sends mouse events in which every move carries the held button."""

    def __init__(self, canvas: BoardCanvas) -> None:
        self._canvas = canvas
        self.at = QPointF()

    def _send(self, kind: QEvent.Type, button: Qt.MouseButton, held: Qt.MouseButton) -> None:
        viewport = self._canvas.viewport()
        event = QMouseEvent(
            kind, self.at, viewport.mapToGlobal(self.at), button, held, Qt.KeyboardModifier.NoModifier
        )
        QApplication.sendEvent(viewport, event)

    def press(self, where: QPointF) -> None:
        self.at = where
        self._send(QEvent.Type.MouseMove, NONE, NONE)
        self._send(QEvent.Type.MouseButtonPress, LEFT, LEFT)

    def drag_to(self, where: QPointF, steps: int = 8) -> None:
        start = self.at
        for step in range(1, steps + 1):
            self.at = start + (where - start) * step / steps
            self._send(QEvent.Type.MouseMove, NONE, LEFT)

    def hover(self, where: QPointF) -> None:
        self.at = where
        self._send(QEvent.Type.MouseMove, NONE, NONE)

    def release(self) -> None:
        self._send(QEvent.Type.MouseButtonRelease, LEFT, NONE)

    def click(self, where: QPointF) -> None:
        self.press(where)
        self.release()


@pytest.fixture
def mouse(canvas: BoardCanvas) -> Mouse:
    return Mouse(canvas)


@pytest.fixture
def place_of(canvas: BoardCanvas):
    """Where a service's marker is painted, in the viewport."""

    def find(service_id: str) -> QPointF:
        marker = canvas.model.marker(service_id)
        assert marker is not None
        box = canvas.model.box(marker.service.aircraft)
        assert box is not None
        spot = canvas.model.scene(box).spot(service_id)
        assert spot is not None
        layout = canvas.model.layout
        return QPointF(layout.view_x(spot.x), layout.view_top(box) + spot.y)

    return find


@pytest.fixture
def marker(canvas: BoardCanvas) -> Marker:
    """A planned service in the middle of the third row's day."""
    return next(row for row in canvas.model.content.rows[2].markers if 2 <= row.service.turn <= 5)
