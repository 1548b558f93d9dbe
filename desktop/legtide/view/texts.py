"""Words of the window: plain text on every surface, and numbers the way they are read.

Text from a file is only text. Qt guesses rich text in labels, tooltips and message boxes and would load an image
named there: whatever a user typed goes through `plain_label` and `tooltip`.
"""

from __future__ import annotations

import html
from datetime import date, datetime
from zoneinfo import ZoneInfo

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QWidget

from legtide.draw.words import NBSP, day_text, hhmm
from legtide.language import tr


def plain_label(text: str = "", name: str = "", parent: QWidget | None = None) -> QLabel:
    """A label that shows its text as typed. `name` is its object name, by which the style sheet knows it."""
    label = QLabel(parent)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setText(text)
    label.setObjectName(name)
    return label


def tooltip(text: str) -> str:
    """Text for `setToolTip`: escaped, wrapped, and never taken for rich text of the user's making."""
    if not text:
        return ""
    lines = html.escape(text).replace("\n", "<br>")
    return f"<qt>{lines}</qt>"


def cell_side(number: bool) -> int:
    """Where a cell or its head stands: numbers at the right, so that their digits lie below one another."""
    side = Qt.AlignmentFlag.AlignRight if number else Qt.AlignmentFlag.AlignLeft
    return int(side | Qt.AlignmentFlag.AlignVCenter)


def menu_text(text: str) -> str:
    """Text for a menu entry or a button in which an ampersand is only an ampersand."""
    return text.replace("&", "&&")


def date_text(day: date) -> str:
    """Such as "Thu 14 May 2026"."""
    return f"{day_text(datetime(day.year, day.month, day.day))} {day.year}"  # noqa: DTZ001  (only the date is read)


def day_from_today(day: date, today: date) -> str:
    """How far a date is from today; empty for today itself."""
    days = (day - today).days
    if days in (-1, 1):
        return tr("tomorrow") if days > 0 else tr("yesterday")
    if not days:
        return ""
    return tr("in {n} days").format(n=days) if days > 0 else tr("{n} days ago").format(n=-days)


def utc_and_local(moment: datetime, zone: str | None) -> str:
    """Such as "14:08 UTC (16:08 local)"; without a zone the UTC time alone."""
    if zone is None:
        return f"{hhmm(moment)}{NBSP}UTC"
    local = f"{moment.astimezone(ZoneInfo(zone)):%H:%M}"
    return f"{hhmm(moment)}{NBSP}UTC ({local}{NBSP}{tr('local')})"
