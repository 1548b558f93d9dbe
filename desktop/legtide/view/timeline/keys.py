"""The keyboard on the board: all that the mouse can do.

With a service selected: arrows move it by a minute, with Shift by five, with Ctrl to the next turn, up and down to
another truck; Enter places it (or opens its menu when it is not being moved), Esc puts it back, Del deletes it. With
a leg selected, the same keys slip it, and with Ctrl select the leg before or after. Without either, left and right go
through the row's turns. Up and down go through the rows, Tab through the services. Page up and down pan through the
day, with Shift through the rows; Home and End show where the day begins and ends.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from legtide.day.edits import delete_service
from legtide.draw.words import service_title
from legtide.language import inside, tr
from legtide.view.timeline.menus import activate_selected
from legtide.view.timeline.stroke import ServiceStroke

if TYPE_CHECKING:
    from legtide.view.timeline.canvas import BoardCanvas

MINUTE: Final = 1.0
FIVE_MINUTES: Final = 5.0
Key = Qt.Key
_SIDEWAYS: Final = {Key.Key_Left: -1, Key.Key_Right: 1}
_PAGES: Final = {Key.Key_PageUp: -0.5, Key.Key_PageDown: 0.5, Key.Key_Home: -1e4, Key.Key_End: 1e4}
"""Half a view, or further than there is anything."""
_UP_DOWN: Final = {Key.Key_Up: -1, Key.Key_Down: 1}


def handle_key(canvas: BoardCanvas, event: QKeyEvent) -> bool:
    """Does what a key asks for; False when it means nothing to the board."""
    key = Qt.Key(event.key())
    modifiers = event.modifiers()
    if modifiers & (Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier):
        return False
    if key in _SIDEWAYS:
        return _sideways(canvas, _SIDEWAYS[key], modifiers)
    if key in _UP_DOWN:
        if modifiers & Qt.KeyboardModifier.ControlModifier and canvas.workspace.selection.service is not None:
            return _to_truck(canvas, _UP_DOWN[key])
        return _to_row(canvas, _UP_DOWN[key])
    if key in _PAGES:
        return _pan(canvas, _PAGES[key], bool(modifiers & Qt.KeyboardModifier.ShiftModifier))
    do = _OTHER.get(key)
    return do is not None and do(canvas)


def _sideways(canvas: BoardCanvas, direction: int, modifiers: Qt.KeyboardModifier) -> bool:
    chosen = canvas.workspace.selection
    ctrl = bool(modifiers & Qt.KeyboardModifier.ControlModifier)
    if chosen.service is None and (chosen.leg is None or ctrl):
        return _to_turn(canvas, direction) if chosen.leg is None else _to_leg(canvas, direction)
    if canvas.pointer.held:
        return True
    stroke = canvas.mover.stroke or canvas.mover.begin_selected()
    if stroke is None:
        return True
    if ctrl and isinstance(stroke, ServiceStroke):
        stroke.jump(direction > 0)
    else:
        step = FIVE_MINUTES if modifiers & Qt.KeyboardModifier.ShiftModifier else MINUTE
        stroke.nudge(direction * step)
    canvas.mover.show(stroke)
    canvas.navigate.follow(stroke.start)
    return True


def _to_turn(canvas: BoardCanvas, direction: int) -> bool:
    chosen = canvas.workspace.selection
    row = canvas.model.row(chosen.aircraft)
    if row is None or not row.rotation.turns:
        return False
    turns = row.rotation.turns
    if chosen.turn is None:
        wanted = 0 if direction > 0 else len(turns) - 1
    else:
        wanted = min(max(chosen.turn + direction, 0), len(turns) - 1)
    canvas.navigate.reveal_turn(row.registration, wanted)
    return True


def _to_leg(canvas: BoardCanvas, direction: int) -> bool:
    """Selects the leg before or after; a slip that runs is placed."""
    canvas.mover.place()
    chosen = canvas.workspace.selection
    row = canvas.model.row(chosen.aircraft)
    legs = () if row is None else row.rotation.legs
    here = next((number for number, leg in enumerate(legs) if leg.id == chosen.leg), None)
    if here is not None and 0 <= here + direction < len(legs):
        canvas.navigate.reveal_leg(legs[here + direction].id)
    return True


def _to_truck(canvas: BoardCanvas, direction: int) -> bool:
    """Gives the selected service to another truck of its station."""
    stroke = canvas.mover.stroke or canvas.mover.begin_selected()
    if isinstance(stroke, ServiceStroke) and not canvas.pointer.held:
        if not stroke.next_truck(direction > 0):
            canvas.refused.emit(tr("{station} has no truck for it").format(station=stroke.station))
        canvas.mover.show(stroke)
    return True


def _to_row(canvas: BoardCanvas, direction: int) -> bool:
    if canvas.pointer.held:
        return True
    if canvas.mover.stroke is not None:
        canvas.mover.place()
    rows = canvas.model.content.rows
    if not rows:
        return False
    here = canvas.model.content.index.get(canvas.workspace.selection.aircraft or "")
    wanted = (0 if direction > 0 else len(rows) - 1) if here is None else here + direction
    if 0 <= wanted < len(rows):
        canvas.navigate.reveal(rows[wanted].registration)
    return True


def _pan(canvas: BoardCanvas, share: float, rows: bool) -> bool:
    """Pans by a share of the view, through the day or through the rows."""
    layout = canvas.model.layout
    if rows:
        canvas.scroll_by(0, round(share * layout.rows_px))
    else:
        canvas.scroll_by(round(share * layout.plot_width), 0)
    return True


def _enter(canvas: BoardCanvas) -> bool:
    if canvas.mover.stroke is None:
        activate_selected(canvas)
    elif not canvas.pointer.held:
        canvas.mover.place()
    return True


def _escape(canvas: BoardCanvas) -> bool:
    if canvas.mover.stroke is not None:
        canvas.mover.cancel()
        return True
    if canvas.workspace.selection.aircraft is None:
        return False
    canvas.workspace.select()
    return True


def _delete(canvas: BoardCanvas) -> bool:
    chosen = canvas.workspace.selection
    marker = canvas.model.marker(chosen.service)
    if marker is None or canvas.pointer.held:
        return False
    if canvas.mover.stroke is not None:
        canvas.mover.cancel()
    title = service_title(marker.service, marker.start)
    text = tr("Delete {service} of {aircraft}").format(service=inside(title), aircraft=marker.service.aircraft)
    canvas.workspace.apply(delete_service(canvas.workspace.day, marker.service.id), text)
    return True


_OTHER: Final[dict[Qt.Key, Callable[[BoardCanvas], bool]]] = {
    Key.Key_Return: _enter,
    Key.Key_Enter: _enter,
    Key.Key_Escape: _escape,
    Key.Key_Delete: _delete,
    Key.Key_Backspace: _delete,
}


def next_service(canvas: BoardCanvas, forward: bool) -> str | None:
    """The service after (or before) the selected one, row by row in the order of time; None past the ends."""
    rows = canvas.model.content.rows
    order = [(place, marker.service.id) for place, row in enumerate(rows) for marker in row.markers]
    chosen = canvas.workspace.selection
    ids = [name for _, name in order]
    if chosen.service in ids:
        wanted = ids.index(chosen.service) + (1 if forward else -1)
        return ids[wanted] if 0 <= wanted < len(ids) else None
    here = canvas.model.content.index.get(chosen.aircraft or "", -1 if forward else len(rows))
    if forward:
        return next((name for place, name in order if place >= here), None)
    return next((name for place, name in reversed(order) if place <= here), None)
