"""The board for screen readers: a chart whose children are its rows and services, each with its place and name."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from PySide6.QtCore import QPoint, QRect
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QAccessibleEvent, QAccessibleInterface
from PySide6.QtWidgets import QAccessibleWidget

from legtide.draw.content import BoardContent
from legtide.draw.gutter import GUTTER_PX
from legtide.draw.words import service_name
from legtide.language import tr
from legtide.view.timeline.wording import row_text, service_text

if TYPE_CHECKING:
    from legtide.view.timeline.canvas import BoardCanvas

Item = tuple[str, str]
"""("row", registration) or ("service", id)."""
# Qt holds no reference to interfaces made in Python: they live as long as they are kept here.
_boards: Final[dict[int, BoardInterface]] = {}
_factory_installed = False


def board_items(content: BoardContent) -> list[Item]:
    """All that can be reached on the board: each row, followed by its services in the order of time."""
    out: list[Item] = []
    for row in content.rows:
        out.append(("row", row.registration))
        out += [("service", marker.service.id) for marker in row.markers]
    return out


class BoardInterface(QAccessibleWidget):
    """The board itself."""

    def __init__(self, canvas: BoardCanvas) -> None:
        super().__init__(canvas, QAccessible.Role.Chart, tr("Rotation board"))
        self.canvas = canvas
        self._content: BoardContent | None = None
        self._items: list[Item] = []
        self._places: dict[Item, int] = {}
        self._made: dict[Item, ItemInterface] = {}

    @property
    def places(self) -> dict[Item, int]:
        """Item -> its index, as the board is now."""
        content = self.canvas.model.content
        if content is not self._content:
            self._content, self._items = content, board_items(content)
            self._places = {item: place for place, item in enumerate(self._items)}
        return self._places

    def item(self, item: Item) -> ItemInterface:
        """The interface of a row or service; the same object each time."""
        if item not in self._made:
            self._made[item] = ItemInterface(self, item)
        return self._made[item]

    def childCount(self) -> int:
        return len(self.places)

    def child(self, index: int) -> Any:
        return self.item(self._items[index]) if 0 <= index < len(self.places) else None

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        return self.places.get(child.key, -1) if isinstance(child, ItemInterface) else -1

    def childAt(self, x: int, y: int) -> Any:
        found = self.canvas.hit(self.canvas.viewport().mapFromGlobal(QPoint(x, y)).toPointF())
        if found.service is not None:
            return self.item(("service", found.service))
        return None if found.registration is None else self.item(("row", found.registration))

    def focusChild(self) -> Any:
        focused = focused_item(self.canvas)
        return None if focused is None else self.item(focused)


class ItemInterface(QAccessibleInterface):
    """One row or service."""

    def __init__(self, board: BoardInterface, key: Item) -> None:
        super().__init__()
        self._board = board
        self.key = key

    def isValid(self) -> bool:
        return self.key in self._board.places

    def object(self) -> Any:
        return None

    def window(self) -> Any:
        return self._board.canvas.window().windowHandle()

    def parent(self) -> Any:
        return self._board

    def child(self, index: int) -> Any:
        return None

    def childAt(self, x: int, y: int) -> Any:
        return None

    def childCount(self) -> int:
        return 0

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        return -1

    def role(self) -> QAccessible.Role:
        return QAccessible.Role.ListItem if self.key[0] == "row" else QAccessible.Role.Button

    def rect(self) -> QRect:
        canvas = self._board.canvas
        place = item_rect(canvas, self.key)
        return QRect(canvas.viewport().mapToGlobal(place.topLeft()), place.size())

    def state(self) -> QAccessible.State:
        made = QAccessible.State()
        made.focusable = made.selectable = True
        if self.key == focused_item(self._board.canvas):
            made.selected = True
            made.focused = self._board.canvas.hasFocus()
        return made

    def text(self, kind: QAccessible.Text) -> str:
        if kind == QAccessible.Text.Name:
            return item_name(self._board.canvas, self.key)
        if kind == QAccessible.Text.Description:
            return item_description(self._board.canvas, self.key)
        return ""

    def setText(self, kind: QAccessible.Text, text: str) -> None:
        """Nothing here can be typed into."""


def item_name(canvas: BoardCanvas, item: Item) -> str:
    """Such as "Water service QX-ABL 12:28 planned", or the registration with what is wrong."""
    kind, name = item
    if kind == "row":
        row = canvas.model.row(name)
        urgency = None if row is None else row.urgency
        word = {None: "", "act": ", " + tr("act now"), "watch": ", " + tr("watch")}[urgency]
        return name + word
    marker = canvas.model.marker(name)
    return "" if marker is None else service_name(marker.service, marker.start)


def item_description(canvas: BoardCanvas, item: Item) -> str:
    """The details that a tooltip gives."""
    kind, name = item
    if kind == "row":
        row = canvas.model.row(name)
        return "" if row is None else row_text(row, canvas.model.now)
    marker = canvas.model.marker(name)
    row = None if marker is None else canvas.model.row(marker.service.aircraft)
    return "" if marker is None or row is None else service_text(row, marker)


def item_rect(canvas: BoardCanvas, item: Item) -> QRect:
    """Where a row's gutter or a marker lies in the viewport."""
    kind, name = item
    marker = canvas.model.marker(name) if kind == "service" else None
    box = canvas.model.box(name if marker is None else marker.service.aircraft)
    if box is None:
        return QRect()
    layout = canvas.model.layout
    top = layout.view_top(box)
    if kind == "row":
        return QRect(0, top, GUTTER_PX, box.frame.height)
    spot = canvas.model.scene(box).spot(name)
    if spot is None:
        return QRect()
    half = round(spot.size / 2.0)
    return QRect(round(layout.view_x(spot.x)) - half, round(top + spot.y) - half, 2 * half, 2 * half)


def focused_item(canvas: BoardCanvas) -> Item | None:
    """The row or service that the keyboard acts on."""
    chosen = canvas.workspace.selection
    if chosen.service is not None:
        return ("service", chosen.service)
    return None if chosen.aircraft is None else ("row", chosen.aircraft)


def announce(canvas: BoardCanvas, text: str) -> None:
    """Says something to a screen reader, if one listens."""
    if QAccessible.isActive():
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(canvas, text))


def tell_focus(canvas: BoardCanvas) -> None:
    """Tells a screen reader that another item has the focus, if one listens."""
    item = focused_item(canvas)
    board = _boards.get(id(canvas))
    if item is None or board is None or not QAccessible.isActive():
        return
    event = QAccessibleEvent(canvas, QAccessible.Event.Focus)
    event.setChild(board.places.get(item, -1))
    QAccessible.updateAccessibility(event)


def _make(key: str, thing: Any) -> Any:
    if getattr(thing, "isBoardCanvas", False) is not True:
        return None
    board = _boards.get(id(thing))
    if board is None:
        number = id(thing)
        board = _boards[number] = BoardInterface(thing)
        thing.destroyed.connect(lambda: _boards.pop(number, None))
    return board


def install_accessibility() -> None:
    """Makes boards known to screen readers; once is enough for the whole program."""
    global _factory_installed
    if not _factory_installed:
        QAccessible.installFactory(_make)
        _factory_installed = True
