"""What of a window's words is not to be seen: controls that stick out, labels and headings that are cut."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QCoreApplication, QPoint, QRect, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QScrollArea,
    QTableView,
    QWidget,
)


def settle() -> None:
    """Lets layouts come to rest: a change of words or of style goes through them level by level."""
    for _ in range(6):
        QCoreApplication.sendPostedEvents()
        QCoreApplication.processEvents()


def scrolled(one: QWidget) -> bool:
    """Whether a widget lies in something that can be scrolled."""
    parent = one.parentWidget()
    while parent is not None:
        if isinstance(parent, QScrollArea):
            return True
        parent = parent.parentWidget()
    return False


def clipped(top: QWidget) -> list[str]:
    """Buttons and labels that do not lie whole inside what holds them, or are too small for their words."""
    found = []
    for one in top.findChildren(QWidget):
        if not isinstance(one, QAbstractButton | QLabel | QLineEdit) or not one.isVisible():
            continue
        name = f"{type(one).__name__} {one.objectName()} {getattr(one, 'text', lambda: '')()!r}"
        parent = one.parentWidget()
        inside = QRect(QPoint(0, 0), parent.size())
        if not scrolled(one) and not inside.contains(one.geometry()):
            found.append(f"{name} sticks out")
        if isinstance(one, QAbstractButton) and one.text() and one.width() < one.sizeHint().width() - 1:
            found.append(f"{name} is too narrow: {one.width()} of {one.sizeHint().width()}")
        if isinstance(one, QLabel) and one.text():
            found.extend(f"{name} {what}" for what in _cut(one))
    return found


def _cut(label: QLabel) -> Iterator[str]:
    """How a label's words are cut; those that wrap need height instead of width."""
    if label.wordWrap():
        needed = label.heightForWidth(label.width())
        if label.height() < needed - 1:
            yield f"is cut: {label.height()} of {needed} high"
        return
    needed = label.fontMetrics().horizontalAdvance(label.text())
    if label.contentsRect().width() < needed - 1:
        yield f"is cut: {label.contentsRect().width()} of {needed}"


def cut_choices(top: QWidget) -> list[str]:
    """Boxes whose chosen words, and table headings whose words, have no room."""
    found = []
    for box in top.findChildren(QComboBox):
        needed = box.fontMetrics().horizontalAdvance(box.currentText())
        room = box.width() - 30
        if box.isVisible() and room < needed - 1:
            found.append(f"box {box.currentText()!r} is cut: {room} of {needed}")
    for table in top.findChildren(QTableView):
        header = table.horizontalHeader()
        if table.isVisible() and header.isVisible():
            found.extend(_cut_headings(header))
    return found


def _cut_headings(header: QHeaderView) -> Iterator[str]:
    model = header.model()
    for section in range(header.count()):
        text = model.headerData(section, Qt.Orientation.Horizontal)
        needed = header.fontMetrics().horizontalAdvance(text or "")
        if not header.isSectionHidden(section) and header.sectionSize(section) < needed:
            yield f"heading {text!r} is cut: {header.sectionSize(section)} of {needed}"
