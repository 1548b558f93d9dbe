"""Rows as pixmaps, made once and moved about: what does not change is never painted twice.

A tile is a fixed stretch of one row on the present scale. It is good as long as the very objects it was painted
from are the ones shown now.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Final

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QPainter, QPixmap

from legtide.draw.fan import Window

TILE_PX: Final = 1024
MOST_BYTES: Final = 160_000_000

Token = tuple[object, ...]
"""The objects a tile was painted from, compared by identity."""
PaintTile = Callable[[QPainter, Window], None]


def _same(one: Token, other: Token) -> bool:
    return len(one) == len(other) and all(a is b for a, b in zip(one, other, strict=True))


class TileCache:
    """Pixmaps by row and stretch; the least recently shown go first when there are too many."""

    def __init__(self, device_ratio: float) -> None:
        self._ratio = device_ratio
        self._tiles: OrderedDict[tuple[Hashable, int], tuple[Token, QPixmap]] = OrderedDict()
        self._bytes = 0

    def paint(
        self,
        painter: QPainter,
        key: Hashable,
        token: Token,
        height: int,
        window: Window,
        shift: QPointF,
        render: PaintTile,
    ) -> None:
        """Paints the stretch of a row that lies in `window`.

        Args:
            painter: paints in view coordinates.
            key: which row and layer.
            token: what the row is painted from.
            height: of the row, logical pixels.
            window: pixels of the scale that are needed.
            shift: view position of the scale's x = 0 and the row's top.
            render: paints a stretch when it is not there yet, in the row's own coordinates.
        """
        first, last = int(window.left // TILE_PX), int((window.right - 1e-6) // TILE_PX)
        for number in range(first, last + 1):
            pixmap = self._tile(key, number, token, height, render)
            painter.drawPixmap(QPointF(shift.x() + number * TILE_PX, shift.y()), pixmap)

    def whole(
        self,
        painter: QPainter,
        key: Hashable,
        token: Token,
        size: QSize,
        at: QPointF,
        render: Callable[[QPainter], None],
    ) -> None:
        """Paints something small as one pixmap at a view position; what it leaves empty is transparent."""
        painter.drawPixmap(at, self._pixmap((key, -1), token, size, render, see_through=True))

    def _tile(self, key: Hashable, number: int, token: Token, height: int, render: PaintTile) -> QPixmap:
        def paint(painter: QPainter) -> None:
            painter.translate(-number * TILE_PX, 0.0)
            render(painter, Window(float(number * TILE_PX), float((number + 1) * TILE_PX)))

        return self._pixmap((key, number), token, QSize(TILE_PX, height), paint)

    def _pixmap(
        self,
        place: tuple[Hashable, int],
        token: Token,
        size: QSize,
        render: Callable[[QPainter], None],
        see_through: bool = False,
    ) -> QPixmap:
        found = self._tiles.get(place)
        if found is not None and _same(found[0], token):
            self._tiles.move_to_end(place)
            return found[1]
        pixmap = QPixmap(round(size.width() * self._ratio), round(size.height() * self._ratio))
        pixmap.setDevicePixelRatio(self._ratio)
        if see_through:
            pixmap.fill(Qt.GlobalColor.transparent)
        with QPainter(pixmap) as painter:
            render(painter)
        self._keep(place, token, pixmap)
        return pixmap

    def _keep(self, place: tuple[Hashable, int], token: Token, pixmap: QPixmap) -> None:
        old = self._tiles.pop(place, None)
        if old is not None:
            self._bytes -= _size(old[1])
        self._tiles[place] = (token, pixmap)
        self._bytes += _size(pixmap)
        while self._bytes > MOST_BYTES and len(self._tiles) > 1:
            _, (_, dropped) = self._tiles.popitem(last=False)
            self._bytes -= _size(dropped)

    def clear(self) -> None:
        """Forgets all tiles."""
        self._tiles.clear()
        self._bytes = 0

    def __len__(self) -> int:
        return len(self._tiles)


def _size(pixmap: QPixmap) -> int:
    return pixmap.width() * pixmap.height() * 4
