"""How fast the board is: first paint, a drag step with its repaint, panning; CPU time, printed, never asserted."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QApplication

from legtide.day.edits import move_service
from legtide.view.timeline.canvas import BoardCanvas
from legtide.view.timeline.stroke import ServiceStroke
from legtide.workspace.workspace import Workspace
from support.boards import HOME, at, board_day

pytestmark = pytest.mark.benchmark


def opened(aircraft: int) -> BoardCanvas:
    workspace = Workspace(board_day(aircraft))
    workspace.set_local_station(HOME)
    workspace.set_now(at(540))
    canvas = BoardCanvas(workspace, legend=True)
    canvas.resize(1300, 920)
    return canvas


def report(what: str, seconds: list[float]) -> None:
    p50, p95, p99 = np.percentile(np.array(seconds) * 1e3, (50, 95, 99))
    print(f"\n{what:52s} p50 {p50:6.2f}  p95 {p95:6.2f}  p99 {p99:6.2f} ms  (n = {len(seconds)})")


def timed(do: Callable[[], object]) -> float:
    start = time.thread_time()
    do()
    return time.thread_time() - start


def send(canvas: BoardCanvas, kind: QEvent.Type, where: QPointF, down: bool) -> None:
    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    button = none if kind == QEvent.Type.MouseMove else left
    globally = canvas.viewport().mapToGlobal(where)
    event = QMouseEvent(kind, where, globally, button, left if down else none, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(canvas.viewport(), event)


@pytest.mark.parametrize("aircraft", [12, 40, 400])
def test_first_paint(qapp: QApplication, aircraft: int) -> None:
    canvas = opened(aircraft)
    canvas.show()
    report(f"first paint, {aircraft} rows", [timed(canvas.grab)])
    canvas.close()


@pytest.mark.parametrize(("aircraft", "focus"), [(12, False), (40, False), (40, True)])
def test_drag_step_with_repaint(qapp: QApplication, aircraft: int, focus: bool) -> None:
    canvas = opened(aircraft)
    canvas.show()
    workspace = canvas.workspace
    row = canvas.model.content.rows[4]
    marker = row.markers[-1]
    if focus:
        workspace.select(row.registration)
    qapp.processEvents()
    box = canvas.model.box(row.registration)
    assert box is not None
    layout = canvas.model.layout
    spot = canvas.model.scene(box).spot(marker.service.id)
    assert spot is not None
    start = QPointF(layout.view_x(spot.x), layout.view_top(box) + spot.y)
    send(canvas, QEvent.Type.MouseButtonPress, start, True)
    send(canvas, QEvent.Type.MouseMove, start - QPointF(10, 0), True)

    def step(number: int) -> None:
        send(canvas, QEvent.Type.MouseMove, start - QPointF(float(number * 3 % 400), 0), True)
        workspace._pace.flush()
        qapp.processEvents()

    seconds = [timed(lambda number=number: step(number)) for number in range(300)]
    send(canvas, QEvent.Type.MouseButtonRelease, start, False)
    report(f"drag step: project and repaint, {aircraft} rows{', opened' if focus else ''}", seconds[20:])
    canvas.close()


def test_parts_of_a_drag_step(qapp: QApplication) -> None:
    canvas = opened(40)
    canvas.show()
    workspace = canvas.workspace
    row = canvas.model.content.rows[4]
    service = row.markers[-1].service
    stroke = ServiceStroke.begin(workspace, service.id)
    assert stroke is not None
    day, projecting, refreshing, painting = workspace.day, [], [], []
    for number in range(200):
        moved = move_service(day, service.id, service.turn, at(900 + number % 60))
        workspace.preview(moved)
        workspace.blockSignals(True)
        projecting.append(timed(workspace._pace.flush))
        workspace.blockSignals(False)
        refreshing.append(timed(canvas.model.refresh))
        canvas.update_row(row.registration)
        painting.append(timed(qapp.processEvents))
    stroke.cancel()
    report("  projecting the day", projecting)
    report("  taking over the rows", refreshing)
    report("  painting the row", painting)
    canvas.close()


@pytest.mark.parametrize("aircraft", [12, 40, 400])
def test_pan_and_zoom(qapp: QApplication, aircraft: int) -> None:
    canvas = opened(aircraft)
    canvas.show()
    qapp.processEvents()
    canvas.navigate.show_between(canvas.model.content.start, canvas.model.content.start + 480.0)
    qapp.processEvents()

    def scrolled(dx: int, dy: int) -> float:
        canvas.scroll_by(dx, dy)
        return timed(qapp.processEvents)

    report(f"pan by 12 px, {aircraft} rows", [scrolled(12 if n % 60 < 30 else -12, 0) for n in range(120)])
    report(f"scroll by 20 px, {aircraft} rows", [scrolled(0, 20 if n % 60 < 30 else -20) for n in range(120)])

    def turned(turns: int) -> float:
        where = QPointF(700.0, 300.0)
        globally, control = canvas.viewport().mapToGlobal(where), Qt.KeyboardModifier.ControlModifier
        none, phase = Qt.MouseButton.NoButton, Qt.ScrollPhase.NoScrollPhase
        event = QWheelEvent(where, globally, QPoint(), QPoint(0, 120 * turns), none, control, phase, False)

        def step() -> None:
            QApplication.sendEvent(canvas.viewport(), event)
            qapp.processEvents()

        return timed(step)

    report(f"zoom step by the wheel, {aircraft} rows", [turned(1 if n % 8 < 4 else -1) for n in range(48)])
    canvas.settle()
    report(f"  painting anew when it has stopped, {aircraft} rows", [timed(qapp.processEvents)])

    def zoomed(factor: float) -> float:
        canvas.navigate.zoom(factor)
        return timed(qapp.processEvents)

    report(f"zoom step by a key, {aircraft} rows", [zoomed(1.2 if n % 8 < 4 else 1 / 1.2) for n in range(24)])
    canvas.close()
