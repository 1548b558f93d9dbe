"""The tanks of one aircraft in a window of their own: both levels large, the readings, and what they taught.

It follows the selection and the day. While something is dragged only the levels follow; what was known when is
worked out again on release.
"""

from __future__ import annotations

from typing import Final
from zoneinfo import ZoneInfo

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from legtide.day import edits
from legtide.day.document import Reading, Station
from legtide.draw.ink import Ink
from legtide.draw.scale import offset_text
from legtide.draw.words import TANK_NAME
from legtide.engine.types import to_minutes
from legtide.language import inside, tr
from legtide.view.dialogs import opened
from legtide.view.forms.reading_form import reading_form
from legtide.view.forms.service_forms import Apply
from legtide.view.panels.tank_detail_ground import Shown
from legtide.view.panels.tank_detail_legend import DetailLegend
from legtide.view.panels.tank_detail_plots import PlotStack
from legtide.view.panels.tank_detail_stages import Detail, ReadingFact, detail_of, previewed
from legtide.view.panels.tank_detail_table import ReadingsTable
from legtide.view.panels.tank_detail_words import moment_text, summary
from legtide.view.preferences import Preferences
from legtide.view.texts import plain_label
from legtide.view.theme import Theme
from legtide.workspace.workspace import Workspace

USUAL_SIZE: Final = QSize(1080, 880)
LEAST_SIZE: Final = QSize(1000, 680)
TABLE_PX: Final = 190
IDLE: Final = (
    "Point into a plot, or press ← and → in it, for the levels at a moment; + and − zoom, 0 shows the whole day."
)


class TankDetail(QDialog):
    """The detail view. It stays open beside the board and shows whichever aircraft is selected there."""

    def __init__(
        self, workspace: Workspace, preferences: Preferences, theme: Theme, apply: Apply, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setObjectName("tankDetail")
        self.setWindowFlag(Qt.WindowType.WindowMaximizeButtonHint)
        self.setMinimumSize(LEAST_SIZE)
        self.resize(USUAL_SIZE)
        self._workspace, self._preferences, self._theme, self._apply = workspace, preferences, theme, apply
        self._settled: Detail | None = None
        self._told: tuple[object, ...] = ()
        self.detail: Detail | None = None
        self.title = plain_label("", "heading")
        self._about = plain_label("", "secondary")
        self.plots = PlotStack()
        self.legend = DetailLegend()
        self.readings = ReadingsTable()
        self.said = plain_label(tr(IDLE), "secondary")
        self._empty = plain_label("", "secondary")
        self.pages = QStackedWidget()
        self._lay_out()
        self._connect()
        self._wear()
        self.follow()
        self.plots.plots[0].setFocus()

    # structure --------------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 12, 0, 12)
        whole.setSpacing(6)
        head = QHBoxLayout()
        head.setContentsMargins(14, 0, 14, 0)
        head.setSpacing(10)
        head.addWidget(self.title)
        head.addWidget(self._about, 1)
        whole.addLayout(head)
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._empty.setWordWrap(True)
        self.pages.addWidget(self._full_page())
        self.pages.addWidget(self._empty)
        whole.addWidget(self.pages, 1)
        whole.addLayout(self._foot())

    def _full_page(self) -> QWidget:
        above = QWidget()
        column = QVBoxLayout(above)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.plots, 1)
        column.addWidget(self.legend)
        page = QSplitter(Qt.Orientation.Vertical)
        page.setChildrenCollapsible(False)
        page.setHandleWidth(1)
        page.addWidget(above)
        page.addWidget(self.readings)
        page.setStretchFactor(0, 1)
        page.setSizes([USUAL_SIZE.height() - TABLE_PX, TABLE_PX])
        self.readings.setMinimumHeight(120)
        return page

    def _foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        foot.setContentsMargins(14, 0, 14, 0)
        foot.setSpacing(8)
        self.said.setWordWrap(True)
        self.said.setMinimumHeight(30)
        self.close_button = QPushButton(tr("Close"))
        self.close_button.setAutoDefault(False)
        foot.addWidget(self.said, 1)
        foot.addWidget(self.close_button)
        return foot

    def _connect(self) -> None:
        for signal in (self._workspace.changed, self._workspace.selection_changed, self._preferences.changed):
            signal.connect(self._on_change)
        self._workspace.document_changed.connect(self._on_change)
        self._workspace.now_changed.connect(self._on_change)
        self._theme.changed.connect(self._wear)
        self.plots.cursor_moved.connect(self._tell_moment)
        self.plots.reading_clicked.connect(lambda fact: self.readings.go_to_reading(fact.reading))
        self.readings.chosen.connect(self._explain)
        self.readings.add_asked.connect(self.add_reading)
        self.readings.delete_asked.connect(self.delete_reading)
        self.close_button.clicked.connect(self.close)
        undo, redo = self._workspace.undo, self._workspace.redo
        for keys, do in (("Ctrl+Z", undo), ("Ctrl+Shift+Z", redo), ("Ctrl+Y", redo)):
            QShortcut(QKeySequence(keys), self).activated.connect(do)

    # following --------------------------------------------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.follow()

    def _on_change(self) -> None:
        if self.isVisible():
            self.follow()

    def follow(self) -> None:
        """Shows the selected aircraft as it is now."""
        self.detail = self._present()
        if self.detail is None:
            self._show_nothing()
            return
        self.pages.setCurrentIndex(0)
        self._about.setText(self._about_text(self.detail))
        unit, read_only = self._preferences.unit, self._workspace.read_only
        told = (self.detail.projection, self.detail.stages, unit, read_only)
        dragged = self._workspace.in_stroke and self.title.text() == self.detail.projection.rotation.registration
        if told != self._told and not dragged:
            self._told = told
            self._tell(self.detail)
            self.readings.show_detail(self.detail, unit, read_only=read_only)
        self.readings.go_to_turn(self._workspace.selection.turn)
        self._show_plots(self.detail)

    def _tell(self, detail: Detail) -> None:
        registration = detail.projection.rotation.registration
        self.setWindowTitle(tr("Tanks of {aircraft}").format(aircraft=registration))
        self.title.setText(registration)
        self.setAccessibleName(self.windowTitle())
        self.setAccessibleDescription(summary(detail, self._preferences.unit))

    def _present(self) -> Detail | None:
        workspace, name = self._workspace, self._workspace.selection.aircraft or ""
        settled = self._settled
        if workspace.in_stroke and settled is not None and settled.projection.rotation.registration == name:
            return previewed(settled, workspace.shown, workspace.projection)
        self._settled = detail_of(workspace.day, workspace.settled_projection, name, self._settled)
        if self._settled is not None and not self._settled.projection.rotation.legs:
            self._settled = None
        return self._settled

    def _show_nothing(self) -> None:
        name = self._workspace.selection.aircraft
        self._told = ()
        words = (
            tr("{aircraft} has no legs and no projection in this day.").format(aircraft=name)
            if name
            else tr("Select an aircraft on the board: its tanks, its readings and its day factor appear here.")
        )
        self.pages.setCurrentIndex(1)
        self.setWindowTitle(tr("Tanks"))
        self.title.setText(tr("Tanks"))
        self._about.setText("")
        self._empty.setText(words)
        self._say(tr(IDLE))
        self.setAccessibleName(self.windowTitle())
        self.setAccessibleDescription(words)

    def _about_text(self, detail: Detail) -> str:
        rotation = detail.projection.rotation
        parts = [tr(rotation.fit.name or rotation.fit.id), tr("times in UTC")]
        station = self._local()
        if station is not None:
            minutes = detail.projection.fresh.minutes
            zone = ZoneInfo(station.time_zone)
            parts[1] = tr("times in UTC, below them local at {station} ({offset})").format(
                station=station.name or station.code,
                offset=offset_text(zone, float(minutes[0]), float(minutes[-1])),
            )
        return " · ".join(parts)

    def _local(self) -> Station | None:
        code = self._workspace.local_station
        return next((row for row in self._workspace.day.stations if row.code == code), None)

    def _show_plots(self, detail: Detail) -> None:
        station, now = self._local(), self._workspace.now
        self.plots.times.zone = None if station is None else ZoneInfo(station.time_zone)
        before = self.plots.shown
        same = before is not None and before.detail.projection.rotation.registration == self.title.text()
        self.plots.show_detail(
            Shown(
                detail,
                Ink(self._theme.colours, self.devicePixelRatioF()),
                self._preferences.unit,
                chosen=self.readings.current(),
                now=None if now is None else to_minutes(now),
                cursor=before.cursor if before is not None and same else None,
            )
        )

    def _wear(self) -> None:
        colours = self._theme.colours
        self.plots.wear(colours)
        self.legend.wear(colours)
        if self.detail is not None:
            self._show_plots(self.detail)

    # saying -----------------------------------------------------------------------------------------------

    def _explain(self, fact: ReadingFact | None) -> None:
        if self.plots.shown is not None:
            self.plots.shown.chosen = fact
            self.plots.repaint_plots()

    def _tell_moment(self, minutes: float) -> None:
        if self.detail is not None:
            self._say(moment_text(self.detail, minutes, self._preferences.unit))

    def _say(self, text: str, *, wrong: bool = False) -> None:
        self.said.setText(text)
        name = "problem" if wrong else "secondary"
        if self.said.objectName() != name:
            self.said.setObjectName(name)
            self.said.style().unpolish(self.said)
            self.said.style().polish(self.said)

    # readings ---------------------------------------------------------------------------------------------

    def add_reading(self, turn: int) -> QDialog | None:
        """Opens the form of readings at a turn."""
        if self.detail is None:
            return None
        rotation = self.detail.projection.rotation
        return opened(reading_form(self._workspace.day, rotation, rotation.turns[turn], self._apply, self))

    def delete_reading(self, reading: Reading) -> None:
        """Takes a reading out of the day, as one undo step."""
        text = tr("Delete a {tank} reading of {aircraft}").format(
            tank=inside(tr(TANK_NAME[reading.tank])), aircraft=reading.aircraft
        )
        problem = self._apply(edits.delete_reading(self._workspace.day, reading), text)
        undo = QKeySequence("Ctrl+Z").toString(QKeySequence.SequenceFormat.NativeText)
        done = tr("{step}. {key} brings it back.").format(step=text, key=undo)
        self._say(problem or done, wrong=bool(problem))
