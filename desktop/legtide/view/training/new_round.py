"""The form of a new round: which group, which sampled day, and from which turn."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from PySide6.QtWidgets import QWidget

from legtide.day.rotations import rotations
from legtide.draw.words import hhmm
from legtide.language import tr
from legtide.play.calls import CallError
from legtide.play.rounds import openings
from legtide.view.fields import ChoiceField, LineField
from legtide.view.form import Form
from legtide.view.readers import text_reader, whole_reader
from legtide.workspace.training import Beginning, Training

MOST_SEED = 999_999
MOST_NAME = 60


def new_round_form(training: Training, parent: QWidget) -> Form:
    """Asks how the next round begins, and begins it."""
    now = training.beginning

    def take(values: dict[str, Any]) -> str:
        wanted = Beginning(values.get("group", now.group), values.get("seed", now.seed), values.get("from"))
        try:
            training.begin(wanted)
        except CallError as error:
            return str(error)
        return ""

    about = tr(
        "The same number is the same day: groups that are to be compared play the same one. From a later turn, the "
        "group's calls before it stand; another group's round goes by the day's plan until then."
    )
    form = Form(tr("New round"), about, take, parent, accept=tr("Begin"))
    form.add("group", tr("Group"), LineField(text_reader(MOST_NAME), now.group, tr("a name")))
    form.add("seed", tr("Sampled day"), LineField(whole_reader(0, MOST_SEED, tr("a number")), str(now.seed)))
    form.add("from", tr("From"), ChoiceField(_beginnings(training), None))
    return form


def _beginnings(training: Training) -> dict[datetime | None, str]:
    """The day's start, then each moment at which a turn opens."""
    known = rotations(training.start.day)
    found: dict[datetime | None, str] = {None: tr("start of the day")}
    for row in openings(training.start):
        if row.time > training.start.begin:
            station = known[row.aircraft].turns[row.turn].station
            words = tr("{time} {aircraft} at {station}, turn {n}")
            name = words.format(time=hhmm(row.time), aircraft=row.aircraft, station=station, n=row.turn)
            found.setdefault(row.time, name)
    return found
