"""Moves of services on the canvas: one stroke at a time, shown while it runs, placed or put back at its end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF

from legtide.draw.overlay import bubble_reach
from legtide.draw.words import service_title
from legtide.view.timeline.accessible import announce
from legtide.view.timeline.composer import Moving
from legtide.view.timeline.stroke import ServiceStroke
from legtide.view.timeline.wording import bubble_text

if TYPE_CHECKING:
    from legtide.view.timeline.canvas import BoardCanvas


class Mover:
    """The running move of a canvas, by mouse or by keyboard."""

    def __init__(self, canvas: BoardCanvas) -> None:
        self._canvas = canvas
        self._bubble = QRectF()

    @property
    def stroke(self) -> ServiceStroke | None:
        """The running move; one that was ended elsewhere (by an undo, or another edit) is taken off the board."""
        moving = self._canvas.composer.moving
        if moving is None:
            return None
        if moving.stroke.running:
            return moving.stroke
        self._end()
        return None

    def begin(self, service_id: str) -> ServiceStroke | None:
        """Begins to move a service; the caller drives the stroke and calls `show` after each step."""
        canvas = self._canvas
        canvas.workspace.select(service=service_id)
        stroke = ServiceStroke.begin(canvas.workspace, service_id)
        if stroke is not None:
            self.show(stroke)
        return stroke

    def show(self, stroke: ServiceStroke) -> None:
        """Shows where a running move stands."""
        canvas, service = self._canvas, stroke.service
        row = canvas.model.row(service.aircraft)
        if row is None:
            return
        moving = Moving(stroke, bubble_text(row, service.id, service_title(service, stroke.start)))
        canvas.composer.moving = moving
        canvas.update_row(service.aircraft)
        canvas.update_area(self._bubble)
        box = canvas.composer.bubble_box(canvas.model.layout, moving)
        self._bubble = QRectF() if box is None else bubble_reach(box)
        canvas.update_area(self._bubble)

    def follow(self) -> None:
        """The workspace has changed: the bubble shows the new numbers, and a move that was ended elsewhere ends."""
        stroke = self.stroke
        if stroke is not None:
            self.show(stroke)

    def place(self) -> None:
        """Ends the running move with one undo step."""
        stroke = self.stroke
        self._end()
        if stroke is not None and stroke.place():
            announce(self._canvas, stroke.said())

    def cancel(self) -> None:
        """Ends the running move and puts everything back."""
        stroke = self.stroke
        self._end()
        if stroke is not None:
            stroke.cancel()

    def _end(self) -> None:
        composer = self._canvas.composer
        moving, composer.moving = composer.moving, None
        if moving is not None:
            self._canvas.update_row(moving.registration)
            self._canvas.update_area(self._bubble)
            self._bubble = QRectF()
