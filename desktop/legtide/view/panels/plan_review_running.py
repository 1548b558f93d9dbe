"""While a plan is being made: how far it is, how good it is already, and the ways to end it."""

from __future__ import annotations

import math

from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QVBoxLayout, QWidget

from legtide.language import counted, tr
from legtide.view.planning import Planning
from legtide.view.planning_words import Places, gap_sentence, trucks_sentence
from legtide.view.texts import plain_label


class RunningPage(QWidget):
    """Progress of the running plan."""

    def __init__(self, planning: Planning, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._planning = planning
        self.title = plain_label("", "strong")
        self.title.setWordWrap(True)
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName(tr("Progress of the plan"))
        self.so_far = plain_label()
        self.more = plain_label()
        self.worth = plain_label("", "secondary")
        self._note = plain_label(tr("Go on working: the day changes only when you take the plan."), "secondary")
        self.stop = QPushButton(tr("Stop and look at the best so far"))
        self.stop.setObjectName("primary")
        self.give_up = QPushButton(tr("Give up"))
        self.stop.clicked.connect(planning.stop)
        self.stop.clicked.connect(self._stopping)
        self.give_up.clicked.connect(planning.leave)
        self._lay_out()
        planning.progressed.connect(self._show)

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 4, 12, 12)
        layout.setSpacing(8)
        layout.addWidget(self.title)
        layout.addWidget(self.bar)
        for label in (self.so_far, self.more, self.worth, self._note):
            label.setWordWrap(True)
            layout.addWidget(label)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addWidget(self.stop)
        buttons.addWidget(self.give_up)
        buttons.addStretch(1)
        layout.addSpacing(4)
        layout.addLayout(buttons)
        layout.addStretch(1)

    def begin(self) -> None:
        """Names what is being planned."""
        wish = self._planning.running
        if wish is None:
            return
        if wish.aircraft:
            count = len(wish.aircraft)
            who = wish.aircraft[0] if count == 1 else counted(count, "{n} aircraft", "{n} aircraft")
            words = tr("Planning {who} and the trucks…") if wish.kind == "network" else tr("Planning {who}…")
            self.title.setText(words.format(who=who))
        else:
            words = (
                tr("Planning the trucks at {station}…")
                if wish.kind == "trucks"
                else tr("Mending the plan at {station}…")
            )
            self.title.setText(words.format(station=Places(wish.day).station(wish.station)))
        self.stop.setEnabled(True)
        self.stop.setText(tr("Stop and look at the best so far"))
        self.bar.setRange(0, 0)
        for label in (self.so_far, self.more, self.worth):
            label.setText("")
            label.hide()

    def _stopping(self) -> None:
        self.stop.setEnabled(False)
        self.stop.setText(tr("Stopping…"))

    def _show(self, done: int, total: int) -> None:
        wish, live = self._planning.running, self._planning.handle.live
        if wish is None:
            return
        self.bar.setRange(0, total)
        self.bar.setValue(done)
        if wish.kind == "rotations":
            self._say(tr("{done} of {total} aircraft planned").format(done=live.done, total=len(wish.aircraft)))
        elif wish.kind == "network" and live.asked:
            self._say(trucks_sentence(live.served, live.asked))
        elif math.isnan(live.worth):
            self._say(tr("Weighing what each service is worth…"))
        else:
            worth = tr("Worth so far {worth} price units").format(worth=f"{live.worth:.0f}")
            if not math.isnan(live.bound):
                worth += tr(", no plan can be worth more than {bound}").format(bound=f"{live.bound:.0f}")
            self._say(trucks_sentence(live.served, live.asked), gap_sentence(live.gap), worth)

    def _say(self, so_far: str, more: str = "", worth: str = "") -> None:
        for label, text in ((self.so_far, so_far), (self.more, more), (self.worth, worth)):
            label.setText(text)
            label.setVisible(bool(text))
