"""Moves of services and legs on the canvas: one stroke at a time, shown while it runs, then placed or put back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF

from legtide.draw.content import RowContent
from legtide.draw.overlay import BubbleText, bubble_reach
from legtide.view.timeline.accessible import announce
from legtide.view.timeline.composer import Moving
from legtide.view.timeline.leg_stroke import LegStroke
from legtide.view.timeline.stroke import ServiceStroke
from legtide.view.timeline.wording import bubble_text, slip_text, why_fixed

if TYPE_CHECKING:
    from legtide.view.timeline.canvas import BoardCanvas


class Mover:
    """The running move of a canvas, by mouse or by keyboard."""

    def __init__(self, canvas: BoardCanvas) -> None:
        self._canvas = canvas
        self._bubble = QRectF()
        self._broken_before: frozenset[str] = frozenset()
        """Services that did not work when the move began."""

    @property
    def stroke(self) -> ServiceStroke | LegStroke | None:
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

    def begin_run(self, service_id: str) -> ServiceStroke | None:
        """Begins to move a service among the trucks' lanes."""
        canvas = self._canvas
        canvas.workspace.select(service=service_id)
        self._broken_before = frozenset(canvas.model.broken)
        stroke = ServiceStroke.begin(canvas.workspace, service_id, in_lanes=True)
        if stroke is not None:
            self.show(stroke)
        return stroke

    def begin_slip(self, leg_id: str) -> LegStroke | None:
        """Begins to slip a leg; where that cannot be, the canvas says why."""
        canvas = self._canvas
        canvas.workspace.select(leg=leg_id)
        stroke = LegStroke.begin(canvas.workspace, leg_id)
        if stroke is not None:
            self.show(stroke)
            return stroke
        leg = next((row for row in canvas.workspace.day.legs if row.id == leg_id), None)
        if leg is not None:
            canvas.refused.emit(why_fixed(leg, canvas.workspace.read_only_because))
        return None

    def begin_selected(self) -> ServiceStroke | LegStroke | None:
        """Begins to move the selected service or leg."""
        chosen = self._canvas.workspace.selection
        if chosen.service is not None:
            return self.begin(chosen.service)
        return None if chosen.leg is None else self.begin_slip(chosen.leg)

    def show(self, stroke: ServiceStroke | LegStroke) -> None:
        """Shows where a running move stands."""
        canvas = self._canvas
        row = canvas.model.row(stroke.aircraft)
        if row is None:
            return
        moving = Moving(stroke, self._bubble_text(row, stroke))
        canvas.composer.moving = moving
        canvas.update_row(stroke.aircraft)
        if moving.in_lanes:
            canvas.update_area(canvas.model.layout.lanes)
        canvas.update_area(self._bubble)
        box = canvas.composer.bubble_box(canvas.model.layout, moving)
        self._bubble = QRectF() if box is None else bubble_reach(box)
        canvas.update_area(self._bubble)

    def _bubble_text(self, row: RowContent, stroke: ServiceStroke | LegStroke) -> BubbleText:
        if isinstance(stroke, LegStroke):
            return slip_text(row, stroke, self._canvas.model.broken)
        trouble = self._trouble(stroke) if stroke.in_lanes else stroke.refusal
        return bubble_text(row, stroke.service.id, stroke.title(), trouble)

    def _trouble(self, stroke: ServiceStroke) -> str:
        """Why a service cannot stand where it is among the lanes, or what it pushes out there; empty when it can."""
        broken = self._canvas.model.broken
        new = next((text for name, text in broken.items() if name not in self._broken_before), "")
        return stroke.refusal or broken.get(stroke.service.id) or new

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
            self._canvas.update_area(self._canvas.model.layout.lanes)
            self._canvas.update_area(self._bubble)
            self._bubble = QRectF()
