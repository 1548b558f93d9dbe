"""The mouse on the board: click selects, dragging a marker moves its service, dragging a bar slips its leg.

Dragging a piece of a lane moves its service among the trucks and in time. Dragging elsewhere pans.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QMouseEvent

from legtide.draw.gutter import GUTTER_PX
from legtide.draw.hits import Hit
from legtide.view.timeline.leg_stroke import LegStroke
from legtide.view.timeline.stroke import ServiceStroke
from legtide.view.timeline.wording import hover_text

if TYPE_CHECKING:
    from legtide.view.timeline.canvas import BoardCanvas

START_PX: Final = 4.0
"""How far the pointer moves before a press becomes a drag."""
EDGE_PX: Final = 24.0
PULL_PX: Final = 14


class Pointer:
    """What the left button does, from its press to its release."""

    def __init__(self, canvas: BoardCanvas) -> None:
        self._canvas = canvas
        self._pressed: Hit | None = None
        self._at = QPointF()
        self._last = QPointF()
        self._panning = False
        self._scrolled = (0, 0)
        """Scroll positions when the pan began."""
        self._dragging = False
        self._offset = 0.0
        """Minutes from the pointer to the start of what is dragged."""

    @property
    def held(self) -> bool:
        """Whether the button is down."""
        return self._pressed is not None

    def press(self, event: QMouseEvent) -> None:
        """The button goes down."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        canvas = self._canvas
        if canvas.mover.stroke is not None:
            canvas.mover.place()
        self._pressed = canvas.hit(event.position())
        self._at = self._last = event.position()
        self._panning = self._dragging = False
        canvas.hold(True)
        if self._pressed.service is not None:
            canvas.workspace.select(service=self._pressed.service)

    def move(self, event: QMouseEvent) -> None:
        """The pointer moves, with or without the button."""
        if self._pressed is not None and not event.buttons() & Qt.MouseButton.LeftButton:
            # The release went elsewhere, as when a menu or another window took the mouse.
            self._let_go()
        if self._pressed is None:
            self._hover(event.position())
            return
        self._last = event.position()
        if not self._dragging and not self._panning and (self._last - self._at).manhattanLength() >= START_PX:
            self._begin(self._pressed)
        if self._dragging:
            self._drag()
        elif self._panning:
            self._pan()

    def _begin(self, pressed: Hit) -> None:
        canvas = self._canvas
        if pressed.kind in ("service", "lane_service") or pressed.on_bar:
            stroke = self._stroke(pressed)
            if stroke is not None:
                self._dragging = True
                self._offset = stroke.start - canvas.model.layout.minutes_at(self._at.x())
                canvas.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
        elif pressed.kind != "gutter":
            self._panning = True
            self._scrolled = (canvas.model.layout.scroll_x, canvas.model.layout.scroll_y)
            canvas.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)

    def _stroke(self, pressed: Hit) -> ServiceStroke | LegStroke | None:
        mover = self._canvas.mover
        if pressed.spot is not None:
            return mover.begin(pressed.spot.marker.service.id)
        if pressed.kind == "lane_service" and pressed.service is not None:
            return mover.begin_run(pressed.service)
        return None if pressed.leg is None else mover.begin_slip(pressed.leg.leg.id)

    def _pan(self) -> None:
        """What was pressed stays under the pointer."""
        layout, delta = self._canvas.model.layout, self._last - self._at
        x, y = self._scrolled
        self._canvas.scroll_by(x - round(delta.x()) - layout.scroll_x, y - round(delta.y()) - layout.scroll_y)

    def _drag(self) -> None:
        canvas = self._canvas
        stroke = canvas.mover.stroke
        if stroke is None:
            canvas.pull_edges(False)
            return
        stroke.move_to(canvas.model.layout.minutes_at(self._last.x()) + self._offset)
        layout = canvas.model.layout
        if isinstance(stroke, ServiceStroke) and stroke.in_lanes:
            lane = canvas.hit(QPointF(max(self._last.x(), GUTTER_PX), self._last.y())).lane
            if lane is not None:
                stroke.to_truck(lane.station, lane.truck)
        canvas.mover.show(stroke)
        canvas.pull_edges(not GUTTER_PX + EDGE_PX <= self._last.x() <= layout.width - EDGE_PX)

    def pull_edge(self) -> None:
        """Scrolls a little while a marker is held at an edge, and lets it follow."""
        if not self._dragging:
            self._canvas.pull_edges(False)
            return
        left = self._last.x() < GUTTER_PX + EDGE_PX
        self._canvas.scroll_by(-PULL_PX if left else PULL_PX, 0)
        self._drag()

    def release(self, event: QMouseEvent) -> None:
        """The button goes up."""
        if event.button() != Qt.MouseButton.LeftButton or self._pressed is None:
            return
        if not self._dragging and not self._panning:
            self.select(self._pressed)
        self._let_go()
        self._hover(event.position())

    def _let_go(self) -> None:
        """Ends what the button did; what was dragged stays where it was let go."""
        canvas = self._canvas
        canvas.pull_edges(False)
        if self._dragging:
            stroke = canvas.mover.stroke
            if isinstance(stroke, ServiceStroke) and stroke.refusal:
                canvas.refused.emit(stroke.refusal)
            canvas.mover.place()
        self._pressed = None
        self._panning = self._dragging = False
        canvas.hold(False)

    def select(self, found: Hit) -> None:
        """Selects what was hit; empty ground selects nothing."""
        workspace = self._canvas.workspace
        name = found.registration
        if found.service is not None:
            workspace.select(service=found.service)
        elif name is None:
            if found.kind == "none":
                workspace.select()
        elif found.leg is not None:
            workspace.select(name, leg=found.leg.leg.id)
        elif found.turn is not None:
            workspace.select(name, turn=found.turn.turn.number)
        else:
            workspace.select(name)
            if found.kind == "gutter":
                self._canvas.rowSelected.emit(name)

    def _hover(self, position: QPointF) -> None:
        canvas = self._canvas
        if canvas.mover.stroke is not None:
            return
        found = canvas.hit(position)
        canvas.link(found.service)
        grab = found.kind in ("service", "lane_service")
        shape = Qt.CursorShape.OpenHandCursor if grab else Qt.CursorShape.ArrowCursor
        if found.on_bar and found.leg is not None and found.leg.leg.ata is None:
            shape = Qt.CursorShape.SizeHorCursor
        if found.kind == "gutter":
            shape = Qt.CursorShape.PointingHandCursor
        canvas.viewport().setCursor(shape)
        lines = hover_text(found, canvas.model).split("\n")
        canvas.hovered.emit(lines[0])
