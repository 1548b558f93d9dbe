"""Asks the window for menus: what was hit or is selected goes out as a signal with its place on the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint

from legtide.draw.gutter import GUTTER_PX
from legtide.draw.hits import Hit
from legtide.draw.rows import RowBox
from legtide.draw.scene import RowScene
from legtide.engine.types import to_datetime

if TYPE_CHECKING:
    from legtide.view.timeline.canvas import BoardCanvas


def activate(canvas: BoardCanvas, found: Hit, position: QPoint) -> None:
    """Asks for the menu of what was hit."""
    if found.service is not None:
        canvas.serviceActivated.emit(found.service, position)
    elif found.leg is not None:
        canvas.legActivated.emit(found.leg.leg.id, position)
    elif found.turn is not None and found.registration is not None:
        when = to_datetime(round(found.minutes))
        canvas.turnActivated.emit(found.registration, found.turn.turn.number, when, position)


def activate_selected(canvas: BoardCanvas) -> None:
    """Asks for the menu of what is selected, at its place on the board."""
    chosen = canvas.workspace.selection
    box = canvas.model.box(chosen.aircraft or "")
    if box is None:
        return
    scene = canvas.model.scene(box)
    spot = None if chosen.service is None else scene.spot(chosen.service)
    if spot is not None:
        canvas.serviceActivated.emit(spot.marker.service.id, _on_screen(canvas, box, spot.x))
        return
    for leg in scene.legs:
        if leg.leg.id == chosen.leg:
            canvas.legActivated.emit(leg.leg.id, _on_screen(canvas, box, leg.left))
            return
    _activate_turn(canvas, box, scene, chosen.turn)


def _activate_turn(canvas: BoardCanvas, box: RowBox, scene: RowScene, number: int | None) -> None:
    for turn in scene.turns:
        if turn.turn.number == number:
            middle = (turn.left + turn.right) / 2.0
            when = to_datetime(round(scene.scale.minutes(middle)))
            name = scene.content.registration
            canvas.turnActivated.emit(name, turn.turn.number, when, _on_screen(canvas, box, middle))


def _on_screen(canvas: BoardCanvas, box: RowBox, x: float) -> QPoint:
    """Global position of a pixel of the scale at a row's markers, held inside the board."""
    layout = canvas.model.layout
    inside_x = min(max(layout.view_x(x), GUTTER_PX), layout.width)
    inside_y = min(max(layout.view_top(box) + box.frame.marker_y, 0.0), layout.height)
    return canvas.viewport().mapToGlobal(QPoint(round(inside_x), round(inside_y)))
