"""The board as a widget: it paints what the model says, and turns events into moves, selections and signals."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QToolTip, QWidget

from legtide.day.document import Service
from legtide.draw.axis import HEADER_PX
from legtide.draw.board import BoardLayout
from legtide.draw.colours import palette
from legtide.draw.gutter import GUTTER_PX
from legtide.draw.hits import Hit, hit
from legtide.draw.truth import TruthCurve
from legtide.engine.types import Projection
from legtide.language import tr
from legtide.view.texts import tooltip
from legtide.view.timeline.accessible import install_accessibility, tell_focus
from legtide.view.timeline.composer import Composer
from legtide.view.timeline.held import Held
from legtide.view.timeline.keys import handle_key, next_service
from legtide.view.timeline.menus import activate, activate_selected
from legtide.view.timeline.model import BoardModel, Density
from legtide.view.timeline.mover import Mover
from legtide.view.timeline.navigate import ZOOM_STEP, Navigator
from legtide.view.timeline.pointer import Pointer
from legtide.view.timeline.wording import hover_text
from legtide.workspace.workspace import Workspace

SCROLL_STEP_PX: Final = 60
LEAST_SIZE: Final = QSize(640, 320)
EDGE_INTERVAL_MS: Final = 30
SETTLE_MS: Final = 120
"""So long after the last turn of the wheel everything is painted anew."""


class BoardCanvas(QAbstractScrollArea):
    """Rows of aircraft over time, with services to drag.

    The canvas changes nothing by itself: moves are strokes of the workspace, deletions are its edits, and whatever
    needs a menu or a dialog is a signal.
    """

    serviceActivated = Signal(str, QPoint)
    """Id of a service and the global position for its menu (context menu, double click, Enter)."""
    turnActivated = Signal(str, int, object, QPoint)
    """Registration, turn, the time under the pointer (aware datetime), global position."""
    legActivated = Signal(str, QPoint)
    """Id of a leg, global position."""
    rowSelected = Signal(str)
    """Registration of a row that was picked in the gutter."""
    hovered = Signal(str)
    """What lies under the pointer, in words; empty when it leaves."""

    focused = Signal()
    """The keyboard is on the board now."""
    proposed = Signal(object, object)
    """Other proposals are shown, and what is beside the rows: for a second view of the same day."""

    refused = Signal(str)
    """Why something cannot be moved there, in a sentence."""

    isBoardCanvas: Final = True

    def __init__(
        self, workspace: Workspace, parent: QWidget | None = None, *, dark: bool = False, legend: bool = False
    ) -> None:
        """`legend`: whether the canvas ends with a legend of its own."""
        super().__init__(parent)
        install_accessibility()
        self.workspace = workspace
        self.model = BoardModel(workspace, legend=legend)
        self.composer = Composer(self.model, palette(dark), self.devicePixelRatioF())
        self.navigate = Navigator(self)
        self.mover = Mover(self)
        self.pointer = Pointer(self)
        self.proposals: tuple[tuple[tuple[Service, float], ...], Projection | None] = ((), None)
        """What `set_proposals` was last given."""
        self._held = False
        self._following = False
        self._set_up()
        workspace.changed.connect(self._on_changed)
        workspace.selection_changed.connect(self._on_selection)
        workspace.now_changed.connect(self._on_now)

    def _set_up(self) -> None:
        self.setObjectName("board")
        self.setAccessibleName(tr("Rotation board"))
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(LEAST_SIZE)
        self.viewport().setMouseTracking(True)
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        for bar in (self.verticalScrollBar(), self.horizontalScrollBar()):
            bar.valueChanged.connect(self._on_bars)
        self._edge_timer = QTimer(self)
        self._edge_timer.setInterval(EDGE_INTERVAL_MS)
        self._edge_timer.timeout.connect(self.pointer.pull_edge)
        self._settle_timer = QTimer(self)
        self._settle_timer.setSingleShot(True)
        self._settle_timer.setInterval(SETTLE_MS)
        self._settle_timer.timeout.connect(self.settle)

    # what is shown ----------------------------------------------------------------------------------------

    def set_dark(self, dark: bool) -> None:
        """The dark palette or the light one."""
        self.mover.cancel()
        self.composer = Composer(self.model, palette(dark), self.devicePixelRatioF())
        self.viewport().update()

    def set_density(self, density: Density) -> None:
        """Normal rows, dense rows, or whatever suits the number of aircraft."""
        self.model.set_density(density)
        self.moved()

    def show_lanes(self, shown: bool) -> None:
        """Shows the trucks' lanes, or leaves their room to the rows."""
        self.mover.cancel()
        self.model.show_lanes(shown)
        self.moved()

    def set_proposals(self, proposals: tuple[tuple[Service, float], ...], beside: Projection | None = None) -> None:
        """Shows proposed services (with their start, minutes since 1970) as outlines until they are taken off.

        The curves of `beside` stand pale behind the rows, in the place of a baseline's.
        """
        self.proposals = (proposals, beside)
        self.proposed.emit(proposals, beside)
        for place in self.model.set_proposals(proposals, beside):
            self.update_row(self.model.content.rows[place].registration)

    def set_truths(self, truths: Mapping[str, TruthCurve]) -> None:
        """Shows how a sampled day came out, by registration; an empty mapping takes it off."""
        for place in self.model.set_truths(truths):
            self.update_row(self.model.content.rows[place].registration)

    def link(self, service_id: str | None) -> None:
        """Shows a service in its row and in its truck's lane at once; None: no service any more."""
        before, self.model.linked = self.model.linked, service_id
        if before == service_id:
            return
        for name in (before, service_id):
            marker = self.model.marker(name)
            if marker is not None:
                self.update_row(marker.service.aircraft)
        self.update_area(self.model.layout.lanes)

    def hit(self, position: QPointF) -> Hit:
        """What lies at a point of the viewport."""
        return hit(self.model.layout, self.model.scene, position.x(), position.y())

    # following the workspace ------------------------------------------------------------------------------

    def _on_changed(self) -> None:
        self.settle()
        changes = self.model.refresh()
        if changes.everything:
            self.moved()
        for place in changes.rows:
            self.update_row(self.model.content.rows[place].registration)
        if changes.lanes:
            self.update_area(self.model.layout.lanes)
        self.mover.follow()

    def _on_selection(self) -> None:
        self.settle()
        self._open_selected()
        self.update_area(self.model.layout.rows)
        self.update_area(self.model.layout.lanes)
        tell_focus(self)

    def _open_selected(self) -> None:
        """Under a held mouse the rows stay where they are; the selected one is opened afterwards."""
        if not self._held and self.model.follow_selection():
            self.moved()

    def hold(self, held: bool) -> None:
        """The mouse button went down or up."""
        self._held = held
        self._open_selected()

    def _on_now(self) -> None:
        self.settle()
        self.composer.forget()
        self.viewport().update()

    # painting ---------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self.viewport()) as painter:
            self.composer.paint(painter, event.region())

    def resizeEvent(self, event: QResizeEvent) -> None:
        size = self.viewport().size()
        self.model.resize(size.width(), size.height(), self.devicePixelRatioF())
        self.moved()

    def sizeHint(self) -> QSize:
        return QSize(1180, 760)

    def update_row(self, registration: str) -> None:
        """Paints a row again, if it is in view."""
        box = self.model.box(registration)
        if box is not None:
            self.update_area(self.model.layout.row_rect(box).intersected(self.model.layout.rows))

    def update_area(self, area: QRectF) -> None:
        """Paints a part of the view again."""
        if not area.isEmpty():
            self.viewport().update(area.toAlignedRect())

    # scrolling --------------------------------------------------------------------------------------------

    def moved(self) -> None:
        """The layout is another one: the bars follow, and the view is put together anew from its tiles."""
        self._set_bars()
        self.viewport().update()

    def _set_bars(self) -> None:
        layout = self.model.layout
        least, most = self.model.viewport.bounds_x
        bars = (
            (self.horizontalScrollBar(), least, most, layout.plot_width, layout.scroll_x),
            (self.verticalScrollBar(), 0, layout.most_scroll_y, layout.rows_px, layout.scroll_y),
        )
        self._following = True
        for bar, low, high, page, value in bars:
            bar.setRange(low, high)
            bar.setPageStep(page)
            bar.setSingleStep(SCROLL_STEP_PX)
            bar.setValue(value)
        self._following = False

    def _on_bars(self) -> None:
        if self._following:
            return
        before = self.model.layout
        self.model.viewport.scroll_to(x=self.horizontalScrollBar().value(), y=self.verticalScrollBar().value())
        self._scrolled(before)

    def scroll_by(self, dx: int, dy: int) -> None:
        """Scrolls by pixels."""
        layout = self.model.layout
        self.model.viewport.scroll_to(x=layout.scroll_x + dx, y=layout.scroll_y + dy)
        self._scrolled(layout)
        self._set_bars()

    def _scrolled(self, before: BoardLayout) -> None:
        """Puts together anew what a scroll has moved: the gutter stays on the way along, header and lanes down."""
        self.settle()
        layout = self.model.layout
        if layout.scroll_x != before.scroll_x:
            self.update_area(QRectF(GUTTER_PX, 0.0, layout.plot_width, layout.height))
            # The date and the offset in the header's gutter are those of the left edge.
            self.update_area(QRectF(0.0, 0.0, GUTTER_PX, HEADER_PX))
        if layout.scroll_y != before.scroll_y:
            self.update_area(layout.rows)

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        """The bars' moves are taken from their values: nothing to do here."""

    def pull_edges(self, on: bool) -> None:
        """Whether the view follows a marker that is held at its edge."""
        if on and not self._edge_timer.isActive():
            self._edge_timer.start()
        elif not on:
            self._edge_timer.stop()

    def wheelEvent(self, event: QWheelEvent) -> None:
        delta = event.angleDelta() / 2 if event.pixelDelta().isNull() else event.pixelDelta()
        layout, modifiers = self.model.layout, event.modifiers()
        if modifiers & Qt.KeyboardModifier.ControlModifier:
            self._stretch()
            self.navigate.zoom(ZOOM_STEP ** (event.angleDelta().y() / 120.0), event.position().x())
        elif modifiers & Qt.KeyboardModifier.ShiftModifier:
            self.scroll_by(-(delta.y() or delta.x()), 0)
        elif layout.lanes.contains(event.position()) and layout.most_scroll_lanes:
            self.model.viewport.scroll_to(lanes=layout.scroll_lanes - delta.y())
            self.update_area(layout.lanes)
        else:
            self.scroll_by(-delta.x(), -delta.y())
        event.accept()

    def _stretch(self) -> None:
        """From now on, and until a moment after the last turn of the wheel, the picture is stretched."""
        held = self.composer.held
        if held is None or not held.fits(self.model.layout):
            self.composer.held = None
            self.composer.held = Held(self.viewport().grab(), self.model.layout)
        self._settle_timer.start()

    def settle(self) -> None:
        """Paints everything as it is, where a stretched picture was shown."""
        self._settle_timer.stop()
        if self.composer.held is not None:
            self.composer.held = None
            self.viewport().update()

    # pointer ----------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.settle()
        self.pointer.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.pointer.move(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.pointer.release(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            activate(self, self.hit(event.position()), event.globalPosition().toPoint())

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            activate_selected(self)
        else:
            found = self.hit(QPointF(event.pos()))
            self.pointer.select(found)
            activate(self, found, event.globalPos())

    def viewportEvent(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            moving = self.mover.stroke is not None
            text = "" if moving else hover_text(self.hit(QPointF(event.pos())), self.model)
            QToolTip.showText(event.globalPos(), tooltip(text), self.viewport())
            return True
        if event.type() == QEvent.Type.Leave:
            self.hovered.emit("")
            self.link(None)
        return super().viewportEvent(event)

    # keyboard ---------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not handle_key(self, event):
            super().keyPressEvent(event)

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab goes through the services; past the last one it leaves the board."""
        self.mover.place()
        found = next_service(self, forward)
        if found is None:
            return super().focusNextPrevChild(forward)
        return self.navigate.reveal_service(found)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.focused.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        if not self.pointer.held:
            self.mover.place()
        super().focusOutEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.LanguageChange):
            self.composer.forget()
            self.viewport().update()
        super().changeEvent(event)

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.DevicePixelRatioChange:
            self.set_dark(self.composer.colours.name == "dark")
            self.model.resize(self.viewport().width(), self.viewport().height(), self.devicePixelRatioF())
        return super().event(event)
