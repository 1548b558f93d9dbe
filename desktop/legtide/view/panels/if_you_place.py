"""While something is dragged: what is now, and what it would be if it were placed here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QSizePolicy, QWidget

from legtide.day.document import Tank
from legtide.draw.words import likely, percent
from legtide.engine.types import AircraftProjection, Projection
from legtide.language import tr
from legtide.view.texts import plain_label
from legtide.workspace.workspace import Workspace


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the table."""

    words: str
    now: str
    then: str


def changed_aircraft(now: Projection, then: Projection) -> Iterator[str]:
    """The aircraft whose projection is another object."""
    return (name for name, one in then.aircraft.items() if now.aircraft.get(name) is not one)


def _extreme(one: AircraftProjection, tank: Tank) -> float:
    """The median's worst level of the day as a share of capacity."""
    curve = one.curve(tank)
    if not len(curve.minutes):
        return 1.0 if tank == "fresh" else 0.0
    median = curve.levels[2]
    return float(median.min() if tank == "fresh" else median.max()) / curve.capacity_l


def _risk(one: AircraftProjection, tank: Tank) -> float:
    risks = (leg.risk_fresh_below_reserve if tank == "fresh" else leg.risk_waste_over_limit for leg in one.legs)
    return max(risks, default=0.0)


def open_warnings(projection: Projection) -> int:
    """Warnings that ask for something."""
    return sum(row.severity != "note" for row in projection.warnings)


def comparison(now: Projection, then: Projection, tank: Tank | None) -> list[Line]:
    """What a change of the day changes: worst level and risk of the aircraft it touches, open warnings."""
    lines: list[Line] = []
    for name in changed_aircraft(now, then):
        before, after = now.aircraft.get(name), then.aircraft[name]
        if before is None:
            continue
        tanks: tuple[Tank, ...] = ("fresh", "waste") if tank is None else (tank,)
        for one in tanks:
            peak = tr("Waste peak, {aircraft}") if one == "waste" else tr("Low water, {aircraft}")
            worst = [percent(_extreme(side, one)) for side in (before, after)]
            lines.append(Line(peak.format(aircraft=name), *worst))
            limit = percent(after.curve(one).limit_l / after.curve(one).capacity_l)
            words = tr("Chance above {limit}") if one == "waste" else tr("Chance below {limit}")
            lines.append(Line(words.format(limit=limit), likely(_risk(before, one)), likely(_risk(after, one))))
    if lines:
        lines.append(Line(tr("Open warnings"), str(open_warnings(now)), str(open_warnings(then))))
    return lines


class IfYouPlaceIt(QFrame):
    """The table; shown while a stroke runs."""

    ROWS = 6

    def __init__(self, workspace: Workspace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("accentCard")
        self.setAccessibleName(tr("If you place it: now, then"))
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self._workspace = workspace
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(12, 10, 12, 10)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(0, 1)
        self._put(0, (plain_label(tr("If you place it"), "accentHeading"), _right("secondary"), _right("secondary")))
        self._head = self._labels(0)
        self._head[1].setText(tr("now"))
        self._head[2].setText(tr("then"))
        for row in range(1, self.ROWS + 1):
            self._put(row, (plain_label("", "small"), _right("secondary"), _right("strong")))
        workspace.changed.connect(self.refresh)
        self.hide()

    def _put(self, row: int, labels: tuple[QLabel, QLabel, QLabel]) -> None:
        for column, label in enumerate(labels):
            self._grid.addWidget(label, row, column)

    def _labels(self, row: int) -> list[QLabel]:
        cells = (self._grid.itemAtPosition(row, column) for column in range(3))
        return [cell.widget() for cell in cells if cell is not None]  # type: ignore[misc]

    def refresh(self) -> None:
        """Shows the table while something is dragged, and what the drag changes in it."""
        moving = self._workspace.in_stroke and self._workspace.shown is not self._workspace.day
        if not moving:
            self.hide()
            return
        lines = comparison(self._workspace.settled_projection, self._workspace.projection, self._tank())
        for number in range(self.ROWS):
            words = (lines[number].words, lines[number].now, lines[number].then) if number < len(lines) else ("",) * 3
            for label, text in zip(self._labels(number + 1), words, strict=True):
                label.setVisible(bool(words[0]))
                label.setText(text)
        self.show()

    def _tank(self) -> Tank | None:
        wanted = self._workspace.selection.service
        return next((row.tank for row in self._workspace.shown.services if row.id == wanted), None)


def _right(name: str) -> QLabel:
    label = plain_label("", name)
    label.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    return label
