"""Icons: the project's own drawings in `resources/icons`, painted in the colour of the text beside them."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from PySide6.QtCore import QByteArray, QRectF, QSize, Qt
from PySide6.QtGui import QGuiApplication, QIcon, QPainter, QPixmap

from legtide.draw.colours import Palette
from legtide.draw.signs import Sign, paint_sign
from legtide.shipped import resources

ICON_PX: Final = 16
APPLICATION_PX: Final = (16, 24, 32, 48, 64, 128, 256)
SMALL_PX: Final = 24
"""Up to here the program's icon is the plainer drawing."""
_RATIOS: Final = (1.0, 2.0)


@lru_cache(maxsize=128)
def _drawing(name: str) -> str:
    return (resources() / "icons" / f"{name}.svg").read_text("utf-8")


@lru_cache(maxsize=512)
def icon_pixmap(name: str, colour: str, size: int = ICON_PX, ratio: float = 1.0) -> QPixmap:
    """The drawing `name` in one colour, `size` logical pixels wide."""
    from PySide6.QtSvg import QSvgRenderer

    renderer = QSvgRenderer(QByteArray(_drawing(name).replace("currentColor", colour).encode()))
    pixmap = QPixmap(QSize(size, size) * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    with QPainter(pixmap) as painter:
        renderer.render(painter, QRectF(0, 0, size, size))
    return pixmap


@lru_cache(maxsize=256)
def icon(name: str, colour: str, disabled: str, size: int = ICON_PX) -> QIcon:
    """An icon with a quieter look where its action is disabled."""
    made = QIcon()
    for ratio in _RATIOS:
        made.addPixmap(icon_pixmap(name, colour, size, ratio), QIcon.Mode.Normal)
        made.addPixmap(icon_pixmap(name, disabled, size, ratio), QIcon.Mode.Disabled)
    return made


@lru_cache(maxsize=64)
def sign_pixmap(sign: Sign, colours: Palette, size: int, ratio: float) -> QPixmap:
    """The sign of a warning as it stands on the board."""
    side = size + 2
    pixmap = QPixmap(QSize(side, side) * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    with QPainter(pixmap) as painter:
        paint_sign(painter, side / 2, side / 2, sign, colours, size)
    return pixmap


def application_icon() -> QIcon:
    """The program's own icon in the sizes that desktops ask for. Needs a QGuiApplication."""
    if QGuiApplication.instance() is None:
        raise RuntimeError("icons need a QGuiApplication")
    made = QIcon()
    for size in APPLICATION_PX:
        made.addPixmap(application_pixmap(size))
    return made


def application_pixmap(size: int) -> QPixmap:
    """The program's own icon; a drawing of its own where there are few pixels."""
    return icon_pixmap("legtide" if size > SMALL_PX else "legtide-small", "", size)
