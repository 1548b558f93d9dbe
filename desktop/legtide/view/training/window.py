"""The training window: a board that nobody takes for a live day, a clock, calls at each turn, and the reveal."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction, QCloseEvent, QKeySequence
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QSplitter, QVBoxLayout, QWidget

from legtide.day.document import TANKS, Tank
from legtide.day.rotations import rotations
from legtide.draw.picture import home_station
from legtide.draw.truth import TruthCurve
from legtide.language import tr
from legtide.play.calls import CallError, ReadingCall, ServiceCall
from legtide.play.levels import Followed
from legtide.play.results import group_row
from legtide.play.rounds import Round, followed
from legtide.play.scoring import Score, score
from legtide.view.dialogs import Answer, ask, opened, tell
from legtide.view.footer import Footer
from legtide.view.preferences import Preferences
from legtide.view.texts import plain_label
from legtide.view.theme import Theme
from legtide.view.timeline.canvas import BoardCanvas
from legtide.view.training.controls import Controls
from legtide.view.training.log_list import EntryList, happened, on_the_ground
from legtide.view.training.new_round import new_round_form
from legtide.view.training.reveal_panel import RevealPanel
from legtide.view.training.score_window import ScoreWindow
from legtide.view.training.turn_card import TurnCard
from legtide.workspace.jobs import Jobs, Report
from legtide.workspace.training import Training

USUAL_SIZE: Final = QSize(1440, 900)
LEAST_SIZE: Final = QSize(1000, 620)
PANEL_PX: Final = 384
EDGE_PX: Final = 3
"""Of the accent all around: nobody takes it for a live day."""
TOPIC: Final = "training score"


class TrainingWindow(QWidget):
    """One class on one day."""

    def __init__(
        self, training: Training, preferences: Preferences, theme: Theme, jobs: Jobs, folder: Path, parent: QWidget
    ) -> None:
        super().__init__(parent, Qt.WindowType.Window)
        self.setObjectName("training")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setMinimumSize(LEAST_SIZE)
        self.resize(USUAL_SIZE)
        self.training = training
        training.setParent(self)
        self._preferences = preferences
        self._theme = theme
        self._jobs = jobs
        self._folder = folder
        self._closing = False
        self._truth_shown = False
        self._truths: tuple[Round, dict[str, TruthCurve]] | None = None
        training.board.set_local_station(home_station(training.day))
        self.board = BoardCanvas(training.board, self, dark=theme.dark)
        self.controls = Controls(training, theme, self)
        self.card = TurnCard(training, preferences, self)
        self.ground = EntryList(tr("ON THE GROUND"), tr("Nobody: press Next turn."), theme, self)
        self.log = EntryList(tr("WHAT HAPPENED"), tr("Nothing yet."), theme, self)
        self.reveal = RevealPanel(training, preferences, theme, self)
        self.hint = plain_label("", "secondary")
        self.footer = Footer(theme, self, keys=False)
        self._lay_out()
        self._make_actions()
        self._connect()
        self.refresh()

    # structure --------------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        columns = QSplitter(Qt.Orientation.Horizontal)
        columns.addWidget(self.board)
        columns.addWidget(self._side())
        columns.setStretchFactor(0, 1)
        columns.setChildrenCollapsible(False)
        columns.setHandleWidth(1)
        columns.setSizes([USUAL_SIZE.width() - PANEL_PX, PANEL_PX])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(EDGE_PX, EDGE_PX, EDGE_PX, EDGE_PX)
        layout.setSpacing(0)
        layout.addWidget(self._ribbon())
        layout.addWidget(self.controls)
        layout.addWidget(columns, 1)
        layout.addWidget(self.footer)

    def _ribbon(self) -> QFrame:
        """The strip that says that this is no live day."""
        ribbon = QFrame(self)
        ribbon.setObjectName("trainingRibbon")
        row = QHBoxLayout(ribbon)
        row.setContentsMargins(14, 5, 14, 5)
        row.setSpacing(12)
        row.addWidget(plain_label(tr("TRAINING"), "trainingMark"))
        words = tr("A sampled day: what happens here is drawn by chance, and nothing is written into the day file.")
        row.addWidget(plain_label(words, "trainingWords"))
        row.addStretch(1)
        return ribbon

    def _side(self) -> QWidget:
        inner = QWidget()
        inner.setObjectName("scrolled")
        rows = QVBoxLayout(inner)
        rows.setContentsMargins(12, 12, 12, 12)
        rows.setSpacing(12)
        self.hint.setWordWrap(True)
        for part in (self.hint, self.card, self.reveal, self.ground, self.log):
            rows.addWidget(part)
        rows.addStretch(1)
        area = QScrollArea()
        area.setWidget(inner)
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        side = QFrame(self)
        side.setObjectName("sidePanel")
        side.setMinimumWidth(PANEL_PX - 40)
        layout = QVBoxLayout(side)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(area)
        return side

    def _make_actions(self) -> None:
        """Keys of the window; each does what a button does."""
        for keys, do in (
            ("P", self.controls.toggle),
            ("N", self.next_turn),
            ("R", self.read),
            ("W", lambda: self.call("fresh", True, 100.0)),
            ("Shift+W", lambda: self.call("fresh", False)),
            ("B", lambda: self.call("waste", True, 0.0)),
            ("Shift+B", lambda: self.call("waste", False)),
            ("1", lambda: self.call("fresh", True, 25.0)),
            ("2", lambda: self.call("fresh", True, 50.0)),
            ("3", lambda: self.call("fresh", True, 75.0)),
            ("4", lambda: self.call("fresh", True, 100.0)),
            ("G", self.next_on_ground),
            ("V", self.controls.truth.click),
            ("Ctrl+E", self.play_to_the_end),
            ("Ctrl+N", self.new_round),
            ("Ctrl+R", self.show_scores),
        ):
            action = QAction(self)
            action.setShortcut(QKeySequence(keys))
            action.triggered.connect(lambda _checked=False, do=do: do())
            self.addAction(action)

    def _connect(self) -> None:
        training, controls = self.training, self.controls
        training.changed.connect(self.refresh)
        training.began.connect(self._on_began)
        training.happened.connect(self._on_happened)
        self._theme.changed.connect(self._on_theme)
        controls.next_asked.connect(self.next_turn)
        controls.end_asked.connect(self.play_to_the_end)
        controls.round_asked.connect(self.new_round)
        controls.scores_asked.connect(self.show_scores)
        controls.truth.toggled.connect(self._show_truth)
        self.card.service_asked.connect(self.call)
        self.card.reading_asked.connect(self.read)
        training.board.selection_changed.connect(lambda: self.card.refuse(""))
        for part in (self.ground, self.log, self.reveal):
            part.chosen.connect(self.board.navigate.reveal_turn)

    # following --------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Shows where the round stands."""
        training = self.training
        title = training.day.title or tr("Untitled day")
        self.setWindowTitle(tr("Training: {title}").format(title=title))
        self.ground.put([] if training.revealed else on_the_ground(training))
        self.ground.setVisible(not training.revealed)
        self.log.put(happened(training))
        self.hint.setVisible(not training.revealed and self.card.selected() is None)
        self.hint.setText(
            tr(
                "Press Next turn (N), choose an aircraft on the ground (G), look at what is known, and call: water "
                "(1 to 4), waste (B), or leave (Shift+W, Shift+B). R reads the gauges. Once an aircraft has left, "
                "its calls stand."
            )
        )
        self._paint_truth()

    def _on_theme(self) -> None:
        self.board.set_dark(self._theme.dark)

    def _on_began(self) -> None:
        self._truths = None
        self.controls.truth.setChecked(False)
        self.board.navigate.show_day()
        self.footer.say(tr("Round {n} of {group} begins").format(n=self.training.number, group=self.training.label))

    def _on_happened(self, events: object) -> None:
        worst = next((row for row in self.log_entries() if row.sign is not None), None)
        if worst is not None and len(self.training.round.events):
            self.footer.say(f"{worst.head}: {worst.text}")

    def log_entries(self) -> list:
        """What has happened, the newest first."""
        return happened(self.training)

    def _show_truth(self, shown: bool) -> None:
        self._truth_shown = shown
        self._paint_truth()

    def _paint_truth(self) -> None:
        """The truth on the board: all of it when it is revealed, what is past when the trainer looks."""
        training = self.training
        if not training.revealed and not self._truth_shown:
            self.board.set_truths({})
            return
        if self._truths is None or self._truths[0] is not training.round:
            until = None if training.revealed else training.minutes
            known = rotations(training.round.day)
            made = {
                name: truth_curve(followed(training.round, name), until) for name, row in known.items() if row.legs
            }
            self._truths = (training.round, made)
        self.board.set_truths(self._truths[1])

    # what can be done -------------------------------------------------------------------------------------

    def next_turn(self) -> None:
        """On to the moment at which the next turn opens, with that turn selected."""
        self.training.step()
        self.next_on_ground(newest=True)

    def next_on_ground(self, newest: bool = False) -> None:
        """Selects the next turn that is open; `newest` the one that opened last."""
        entries = self.ground.entries
        if not entries:
            return
        chosen = self.training.board.selection
        here = [(row.aircraft, row.turn) for row in entries]
        if newest:
            known = rotations(self.training.round.day)
            starts = [known[row.aircraft].turns[row.turn].start for row in entries]
            clock = self.training.round.clock
            place = next((n for n, start in enumerate(starts) if start == clock), 0)
        else:
            now = (chosen.aircraft, chosen.turn)
            place = (here.index(now) + 1) % len(here) if now in here else 0
        self.board.navigate.reveal_turn(*here[place])

    def call(self, tank: Tank, serve: bool, target: float | None = None) -> None:
        """Makes a call for the selected turn; says why when it cannot be made."""
        found = self.card.selected()
        if found is None or self.training.revealed:
            return
        rotation, turn = found
        clock = self.training.round.clock
        self.card.refuse(self.training.call(ServiceCall(rotation.registration, turn, tank, serve, clock, target)))

    def read(self) -> None:
        """Reads the gauges at the selected turn; says why when that cannot be done."""
        found = self.card.selected()
        if found is None or self.training.revealed:
            return
        rotation, turn = found
        self.card.refuse(self.training.call(ReadingCall(rotation.registration, turn, self.training.round.clock)))

    def new_round(self) -> None:
        """Asks how the next round begins."""
        self.training.pause()
        opened(new_round_form(self.training, self))

    def play_to_the_end(self) -> None:
        """Plays the rest of the day by the calls made so far, shows how it came out, and scores it."""
        if self.training.revealed:
            return
        self.training.finish()
        self._score()

    def _score(self) -> None:
        training = self.training
        end, start, name = training.round, training.start, training.label
        log, days = end.log, training.days

        def work(report: Report) -> Score:
            return score(start, log, group=name, days=days, report=report.progress)

        def done(found: Score) -> None:
            training.add_result(group_row(end, found))
            self.controls.show_busy(False)
            self.footer.say(tr("{group} is scored: see Scores").format(group=name))

        def failed(error: BaseException) -> None:
            self.controls.show_busy(False)
            if not isinstance(error, CallError):
                raise error
            tell(self, tr("This round could not be scored"), str(error), kind="warn")

        self.controls.show_busy(True)
        self._jobs.start(TOPIC, work, done, failed)

    def show_scores(self) -> None:
        """Opens the table of scores, or brings it to the front."""
        page = self.findChild(ScoreWindow)
        if page is None:
            page = ScoreWindow(self.training, self._folder, self)
        page.show()
        page.raise_()
        page.activateWindow()

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.training.unsaved and not self._closing:
            event.ignore()
            self._ask_to_close()
            return
        self.training.pause()
        self._jobs.cancel(TOPIC)
        event.accept()

    def _ask_to_close(self) -> None:
        def leave() -> None:
            self._closing = True
            self.close()

        ask(
            self,
            tr("The results are not saved"),
            tr("{n} scored rounds are in no file. Open Scores to save them.").format(n=len(self.training.results)),
            [
                Answer(tr("Open Scores"), self.show_scores),
                Answer(tr("Close without saving"), leave, "destroy"),
                Answer(tr("Stay"), role="reject"),
            ],
            kind="warn",
        )


def truth_curve(found: Followed, until: float | None) -> TruthCurve:
    """How an aircraft's day came out, up to a moment (none: all of it)."""
    last = len(found.minutes) if until is None else int(np.searchsorted(found.minutes, until, "right"))
    minutes, levels = found.minutes[:last], found.levels[:, 0, :last]
    breaches: list[tuple[Tank, float]] = []
    for place, tank in enumerate(TANKS):
        beyond = levels[place] <= found.limit[0] if place == 0 else levels[place] >= found.limit[1]
        previous = -1
        for leg, end in enumerate(found.leg_end):
            if end < last and found.breached[place, 0, leg]:
                first = previous + 1 + int(np.argmax(beyond[previous + 1 : end + 1]))
                breaches.append((tank, float(minutes[first])))
            previous = end
    return TruthCurve(minutes, {tank: levels[place] for place, tank in enumerate(TANKS)}, tuple(breaches))
