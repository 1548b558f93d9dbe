"""What an eye would see at once in a picture of a widget: blank, words cut off, things over one another."""

from __future__ import annotations

from itertools import combinations

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QCheckBox,
    QComboBox,
    QLabel,
    QLayout,
    QPushButton,
    QToolButton,
    QWidget,
)

AROUND_WORDS = 8
"""Pixels that the words of a button need around them."""
LEAST_COLOURS = 6
"""A picture with fewer has nothing on it; text alone brings many more by its smooth edges."""


def colours_in(image: QImage) -> int:
    """How many colours a picture has, looked at on a grid."""
    small = image.convertToFormat(QImage.Format.Format_RGB32)
    return len({small.pixel(x, y) for x in range(0, small.width(), 3) for y in range(0, small.height(), 3)})


def cut_texts(root: QWidget) -> list[str]:
    """Texts of visible labels and buttons that have less room than they need."""
    found = []
    for widget in root.findChildren(QWidget):
        if not widget.isVisibleTo(root) or widget.visibleRegion().isEmpty():
            continue
        if isinstance(widget, QLabel):
            found += _cut_label(widget)
        elif isinstance(widget, QPushButton | QToolButton | QCheckBox) and _shows_words(widget):
            measures = widget.fontMetrics()
            need = measures.horizontalAdvance(widget.text()) + AROUND_WORDS, measures.capHeight() + AROUND_WORDS
            if widget.width() < need[0] or widget.height() < need[1]:
                found.append(f"{widget.text()!r}: {widget.size().toTuple()} of {need}")
        elif isinstance(widget, QComboBox):
            words = widget.fontMetrics().horizontalAdvance(widget.currentText())
            if words > widget.width() - 30:
                found.append(f"{widget.currentText()!r} in a list of {widget.width()}")
    return found


def _shows_words(button: QAbstractButton) -> bool:
    if isinstance(button, QToolButton) and button.toolButtonStyle() == Qt.ToolButtonStyle.ToolButtonIconOnly:
        return False
    return bool(button.text())


def _cut_label(label: QLabel) -> list[str]:
    if not label.text() or not label.pixmap().isNull() or label.textFormat() == Qt.TextFormat.RichText:
        return []
    inner = label.contentsRect()
    flags = label.alignment().value | (Qt.TextFlag.TextWordWrap.value if label.wordWrap() else 0)
    need = label.fontMetrics().boundingRect(QRect(0, 0, inner.width(), 100_000), flags, label.text())
    if need.width() > inner.width() + 1 or need.height() > inner.height() + 1:
        return [f"{label.text()[:60]!r}: {inner.size().toTuple()} of {need.size().toTuple()}"]
    return []


def overlaps(root: QWidget) -> list[str]:
    """Pairs of visible neighbours in one layout that cover one another."""
    found = []
    for parent in [root, *root.findChildren(QWidget)]:
        layout = parent.layout()
        if layout is None or not parent.isVisibleTo(root):
            continue
        laid = [one for one in _laid_out(layout) if one.isVisibleTo(root) and one.parentWidget() is parent]
        for first, second in combinations(laid, 2):
            shared = first.geometry().intersected(second.geometry())
            if shared.width() > 1 and shared.height() > 1:
                found.append(f"{_name(first)} over {_name(second)}")
    return found


def _laid_out(layout: QLayout) -> list[QWidget]:
    found: list[QWidget] = []
    for place in range(layout.count()):
        item = layout.itemAt(place)
        widget, inner = item.widget(), item.layout()
        if widget is not None:
            found.append(widget)
        elif inner is not None:
            found += _laid_out(inner)
    return found


def outside(root: QWidget) -> list[str]:
    """Visible children that stick out of their parent, where nothing can be scrolled to them."""
    found = []
    for widget in root.findChildren(QWidget):
        parent = widget.parentWidget()
        if parent is None or widget.isWindow() or not widget.isVisibleTo(root):
            continue
        if isinstance(parent.parentWidget(), QAbstractScrollArea):
            continue
        if isinstance(widget, QLabel | QAbstractButton) and not parent.rect().adjusted(-1, -1, 1, 1).contains(
            QRect(QPoint(widget.x(), widget.y()), widget.size())
        ):
            found.append(f"{_name(widget)} at {widget.geometry().getRect()} in {parent.size().toTuple()}")
    return found


def _name(widget: QWidget) -> str:
    words = widget.text() if isinstance(widget, QLabel | QAbstractButton) else widget.objectName()
    return f"{type(widget).__name__} {words[:40]!r}"
