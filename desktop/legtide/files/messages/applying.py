"""Messages put on a day as one edit, with every field that moves and everything that was not taken."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from legtide.day import edits
from legtide.day.checks import ends_before_start
from legtide.day.document import Day, Leg
from legtide.day.rotations import rotations, stations
from legtide.files.messages.changes import FIELDS, Change, load_changes, movement_changes, shown
from legtide.files.messages.gauges import readings_of
from legtide.files.messages.matching import Flights, MatchError, station_code
from legtide.files.messages.records import GaugeLine, Load, Message, Messages, Movement, Note, NotUnderstood, Report
from legtide.files.messages.times import TimeError
from legtide.files.reasons import problems_of
from legtide.language import tr


@dataclass(frozen=True, slots=True)
class Outcome:
    """A day with messages applied, and what became of them."""

    day: Day
    """The same object where nothing changes."""
    changes: tuple[Change, ...]
    """In the order of the text."""
    not_understood: tuple[NotUnderstood, ...]
    """Every line and every message that was not taken, in the order of the text."""
    notes: tuple[Note, ...]
    """What messages say besides."""


def apply(day: Day, messages: Messages) -> Outcome:
    """Applies messages in their order; a later one wins, and a correction takes the place of what it corrects."""
    work = _Work(day)
    for message in _without_corrected(messages.messages, work):
        if isinstance(message, Report):
            work.weather(message)
        elif isinstance(message, GaugeLine):
            work.gauges.append(message)
        else:
            work.flight(message)
    after = work.done()
    by_line = sorted((*messages.not_understood, *work.refused), key=lambda row: row.line)
    notes = sorted((*messages.notes, *work.notes), key=lambda row: row.line)
    return Outcome(after, tuple(sorted(work.changes, key=lambda row: row.line)), tuple(by_line), tuple(notes))


class _Work:
    """Legs and stations while messages are applied to them."""

    def __init__(self, day: Day) -> None:
        self._day = day
        self._flights = Flights(day)
        self._legs: dict[str, Leg] = {}
        self._air: dict[str, list[Report]] = {}
        self._stations = stations(day)
        self.gauges: list[GaugeLine] = []
        self.changes: list[Change] = []
        self.refused: list[NotUnderstood] = []
        self.notes: list[Note] = []

    def note(self, line: int, text: str) -> None:
        self.notes.append(Note(line, text))

    def flight(self, message: Movement | Load) -> None:
        """Changes the leg of a message, or lists the message with what stands against it."""
        head = message.head
        try:
            if isinstance(message, Load):
                leg = self._flights.leg(head, "to", message.destination)
            else:
                leg = self._flights.leg(head, "from" if message.kind == "departure" else "to", message.station)
            leg = self._legs.get(leg.id, leg)
            fields, notes = (
                (load_changes(message), []) if isinstance(message, Load) else movement_changes(message, leg)
            )
            changed = _changed(leg, fields)
        except (MatchError, TimeError) as error:
            self.refused.append(
                NotUnderstood(head.line, head.text, tr("{reason}: this message is not used").format(reason=error))
            )
            return
        what = f"{leg.flight} {leg.origin}-{leg.destination}"
        for text in notes:
            self.note(head.line, f"{what}: {text}")
        if changed is leg and fields:
            self.note(head.line, tr("{what}: the day has this already").format(what=what))
        self._legs[leg.id] = changed
        for name in fields:
            self._moved(head.line, what, name, getattr(leg, name), getattr(changed, name))

    def _moved(self, line: int, what: str, field: str, before: Any, after: Any) -> None:
        if before != after:
            day = self._day.date
            self.changes.append(Change(line, what, tr(FIELDS[field]), shown(before, day), shown(after, day)))

    def weather(self, report: Report) -> None:
        """Keeps the newest observation and the newest forecast of a station."""
        try:
            code = station_code(self._stations, report.station)
        except MatchError as error:
            self.refused.append(
                NotUnderstood(report.line, report.text, tr("{reason}: this report is not used").format(reason=error))
            )
            return
        forecast = report.kind == "TAF"
        others = [row for row in self._air.get(code, []) if (row.kind == "TAF") != forecast]
        self._air[code] = [*others, report]

    def done(self) -> Day:
        """The day with everything that was collected."""
        day = edits.replace_legs(self._day, self._legs)
        for code, reports in self._air.items():
            # Frost is what the figure is for: of what is and what is forecast, the colder counts.
            coldest = min(reports, key=lambda row: row.air_c)
            before = self._stations[code].outside_air_c
            try:
                day = edits.change_station(day, code, outside_air_c=coldest.air_c)
            except ValidationError as error:
                reason = tr("{reason}: this report is not used").format(reason=next(problems_of(error)).reason)
                self.refused.append(NotUnderstood(coldest.line, coldest.text, reason))
                continue
            source = tr("lowest forecast") if coldest.kind == "TAF" else tr("observed")
            if before == coldest.air_c:
                self.note(coldest.line, tr("{station}: the day has this temperature already").format(station=code))
            else:
                self.note(
                    coldest.line,
                    tr("{station}: {temperature:g} °C is {source} in the {report}").format(
                        station=code, temperature=coldest.air_c, source=source, report=coldest.kind
                    ),
                )
            self._moved(coldest.line, code, "outside_air_c", before, coldest.air_c)
        return self._read(day)

    def _read(self, day: Day) -> Day:
        """The day with the readings: last, since where an aircraft is at a time follows from its legs."""
        for line in self.gauges:
            try:
                registration = self._flights.registration(line.registration)
                readings = readings_of(line, rotations(day)[registration])
            except (MatchError, TimeError) as error:
                self.refused.append(
                    NotUnderstood(line.line, line.text, tr("{reason}: this reading is not used").format(reason=error))
                )
                continue
            for reading in readings:
                what = tr("{aircraft} at turn {turn}, {time}").format(
                    aircraft=registration, turn=reading.turn, time=f"{reading.time:%H:%M}"
                )
                after = edits.add_reading(day, reading)
                if after is day:
                    self.note(line.line, tr("{what}: the day has this reading already").format(what=what))
                else:
                    gauge = tr("fresh gauge") if reading.tank == "fresh" else tr("waste gauge")
                    self.changes.append(Change(line.line, what, gauge, tr("not read"), f"{reading.percent:.4g} %"))
                day = after
        return day


def _changed(leg: Leg, fields: dict[str, Any]) -> Leg:
    """The leg with fields changed; the same object when none does. Raises MatchError when it cannot be."""
    try:
        changed = edits.rebuilt(leg, **fields)
    except ValidationError as error:
        raise MatchError("; ".join(str(problem) for problem in problems_of(error))) from None
    found = [problem.reason for problem in ends_before_start("", changed)]
    if found:
        raise MatchError("; ".join(found))
    return changed


def _without_corrected(messages: Iterable[Message], work: _Work) -> list[Message]:
    """The messages without those that a later correction in the same text takes the place of."""
    kept: list[Message | None] = []
    latest: dict[object, int] = {}
    for message in messages:
        if isinstance(message, Movement | Load):
            key = _key(message)
            if message.correction and key in latest:
                earlier = kept[latest[key]]
                kept[latest[key]] = None
                if isinstance(earlier, Movement | Load):
                    work.note(
                        earlier.head.line,
                        tr("corrected by the message of line {line}: not used").format(line=message.head.line),
                    )
            latest[key] = len(kept)
        kept.append(message)
    return [message for message in kept if message is not None]


def _key(message: Movement | Load) -> object:
    """What a message and its correction have in common."""
    head = message.head
    if isinstance(message, Load):
        return ("load", head.flight, head.day, message.destination)
    return (message.kind, head.flight, head.day, message.station)
