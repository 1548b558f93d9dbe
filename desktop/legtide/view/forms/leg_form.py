"""The form of a leg: aircraft, flight, places, times, heads, cabin service, stand; a new one is filled in already."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, get_args

from PySide6.QtWidgets import QWidget

from legtide.day import edits_legs
from legtide.day.checks import ends_before_start
from legtide.day.document import CabinService, Day, Leg
from legtide.day.edits import rebuilt
from legtide.day.rotations import off_blocks, on_blocks
from legtide.day.suggestions import Suggested, block_time
from legtide.draw.words import hhmm
from legtide.language import tr
from legtide.view.fields import ChoiceField, LineField
from legtide.view.form import Form, Weighed
from legtide.view.forms.service_forms import Apply
from legtide.view.forms.weighing import sentence, weighed
from legtide.view.readers import (
    Read,
    Reader,
    key_reader,
    or_none,
    station_reader,
    text_reader,
    time_reader,
    time_typed,
    whole_reader,
)

PLANNED_TIMES: Final = {"std": "Scheduled off blocks (UTC)", "sta": "Scheduled on blocks (UTC)"}
LATE_TIMES: Final = {
    "etd": "Estimated off blocks (UTC)",
    "eta": "Estimated on blocks (UTC)",
    "atd": "Actual off blocks (UTC)",
    "ata": "Actual on blocks (UTC)",
}
WIDE_PX: Final = 860
CABIN_WORDS: Final = {"average": "average use", "none": "none", "drinks": "hot drinks", "meal": "meal and hot drinks"}
_IN_THE_FILE: Final = {"from": "origin", "to": "destination"}
"""Names of fields in the day file -> in this form, where they differ."""


@dataclass(frozen=True, slots=True)
class NewLeg:
    """A leg that is not in the day yet: whose it is, and what suggests itself for it."""

    aircraft: str
    draft: Suggested


class LegForm(Form):
    """Edits a leg, or enters a new one."""

    def __init__(self, day: Day, leg: Leg | NewLeg, apply: Apply, parent: QWidget) -> None:
        self._day, self._apply = day, apply
        self._leg = leg if isinstance(leg, Leg) else None
        self._first: Any = leg if isinstance(leg, Leg) else leg.draft
        title = self._leg.flight if self._leg is not None else tr("New leg")
        if self._leg is not None:
            words = tr("{origin} – {destination}. What hangs on the turns around the leg follows it.")
            about = words.format(origin=self._leg.origin, destination=self._leg.destination)
        else:
            about = tr("Filled in as it would usually be: after the usual turn, as long as such legs take.")
        super().__init__(title, about, self._applied, parent, weigh=self._weighed, guarded=True)
        self._zones = {row.code: row.time_zone for row in day.stations}
        self.setMinimumWidth(WIDE_PX)
        self.pages.begin_section(tr("As planned"))
        self._scheduled_rows(leg.aircraft)
        self.pages.begin_column()
        self.pages.begin_section(tr("As it goes"))
        self._other_rows()
        for name in (*PLANNED_TIMES, *LATE_TIMES):
            self._place_of(name).edited.connect(self.fields[name].read_again)
        if self._leg is None:
            for name in ("origin", "destination", "std"):
                self.fields[name].edited.connect(self._suggest_sta)

    # fields -----------------------------------------------------------------------------------------------

    def _scheduled_rows(self, registration: str) -> None:
        first = self._first
        planes = {row.registration: row.registration for row in self._day.aircraft}
        self.add("aircraft", tr("Aircraft"), ChoiceField(planes, registration))
        self.add("flight", tr("Flight"), LineField(key_reader(tr("flight number")), first.flight))
        names = {row.code: row.name for row in self._day.stations}
        stations = station_reader(names)
        self.add("origin", tr("From"), LineField(stations, first.origin, words=tuple(names)))
        self.add("destination", tr("To"), LineField(stations, first.destination, words=tuple(names)))
        for name, words in PLANNED_TIMES.items():
            planned = getattr(first, name)
            self.add(
                name, tr(words), LineField(self._time(name, planned, optional=False), time_typed(planned), "HH:MM")
            )
        self.add("passengers", tr("Passengers"), LineField(whole_reader(0, 2000, tr("heads")), str(first.passengers)))
        self.add("crew", tr("Crew"), LineField(whole_reader(0, 2000, tr("heads")), str(first.crew)))
        cabins = {name: tr(CABIN_WORDS[name]) for name in get_args(CabinService)}
        self.add("cabin_service", tr("Cabin service"), ChoiceField(cabins, first.cabin_service))

    def _other_rows(self) -> None:
        leg = self._leg
        near = (self._first.std, self._first.sta) if leg is None else (off_blocks(leg), on_blocks(leg))
        for name, words in LATE_TIMES.items():
            reader = self._time(name, near[0] if name.endswith("td") else near[1], optional=True)
            self.add(
                name, tr(words), LineField(reader, "" if leg is None else time_typed(getattr(leg, name)), "HH:MM")
            )
        stand = "" if leg is None else leg.stand or ""
        places = {place.id for row in self._day.stations for place in row.places if place.kind == "stand"}
        field = LineField(or_none(text_reader(64)), stand, words=tuple(sorted(places)))
        self.add("stand", tr("Stand on arrival"), field)
        self.add("remark", tr("Remark"), LineField(text_reader(400), "" if leg is None else leg.remark))

    def _place_of(self, name: str) -> LineField:
        """The field of the place at which a time is taken."""
        field = self.fields["origin" if name.endswith("td") else "destination"]
        assert isinstance(field, LineField)  # noqa: S101  (both are)
        return field

    def _time(self, name: str, near: datetime, *, optional: bool) -> Reader:
        """Reads a time, with the local one of the place that the leg leaves or reaches as entered by then."""
        place = self._place_of(name)

        def read(text: str) -> Read:
            return time_reader(near, self._zones.get(place.value) if place.valid else None, optional=optional)(text)

        return read

    def _suggest_sta(self) -> None:
        """The arrival follows the departure and the places until somebody enters it."""
        sta = self.fields["sta"]
        names = ("origin", "destination", "std")
        if sta.touched or not all(self.fields[name].valid for name in names):
            return
        origin, destination, std = (self.fields[name].value for name in names)
        usual = block_time(self._day, origin, destination, self._first.sta - self._first.std)
        sta.put(time_typed(std + usual))

    # taking -----------------------------------------------------------------------------------------------

    def _leg_of(self, values: dict[str, Any]) -> Leg:
        if self._leg is not None:
            return rebuilt(self._leg, **values)
        names = ("aircraft", "flight", "origin", "destination", "std", "sta", "passengers", "crew", "cabin_service")
        filled = {name: self.fields[name].value for name in names}
        return Leg(**{**values, **filled, "id": edits_legs.next_leg_id(self._day)})

    def _changed(self, values: dict[str, Any]) -> tuple[Day, Leg]:
        leg = self._leg_of(values)
        if self._leg is not None:
            return edits_legs.put_leg(self._day, leg), leg
        return edits_legs.add_leg(self._day, leg), leg

    def _weighed(self, values: dict[str, Any]) -> Weighed:
        leg = self._leg_of(values)
        against = [
            (problem.place.removeprefix("."), sentence(problem.reason)) for problem in ends_before_start("", leg)
        ]
        against += [] if against else [*_late(leg), *_overlaps(self._day, leg)]
        if against:
            return Weighed(tuple(against))
        after = self._changed(values)[0]
        number = next((n for n, row in enumerate(after.legs) if row.id == leg.id), len(after.legs))
        return weighed(self._day, after, f"legs[{number}]", _IN_THE_FILE)

    def _applied(self, values: dict[str, Any]) -> str:
        after, leg = self._changed(values)
        words = tr("Add {flight} for {aircraft}") if self._leg is None else tr("Change {flight} of {aircraft}")
        return self._apply(after, words.format(flight=leg.flight, aircraft=leg.aircraft))


def _overlaps(day: Day, leg: Leg) -> list[tuple[str, str]]:
    """Legs of the same aircraft that are under way at the same time by schedule."""
    words = tr("{flight} of the same aircraft is under way from {std} to {sta} UTC.")
    return [
        (
            "std" if other.std <= leg.std else "sta",
            words.format(flight=other.flight, std=hhmm(other.std), sta=hhmm(other.sta)),
        )
        for other in day.legs
        if other.aircraft == leg.aircraft and other.id != leg.id and other.std < leg.sta and leg.std < other.sta
    ]


def _late(leg: Leg) -> list[tuple[str, str]]:
    """The times in force the wrong way round: the field of the arrival is at fault."""
    arrival: datetime | None = leg.ata or leg.eta
    if arrival is None or arrival > off_blocks(leg):
        return []
    words = tr("It would be on blocks at {end}, not after off blocks {start}.")
    return [("ata" if leg.ata else "eta", words.format(end=hhmm(arrival), start=hhmm(off_blocks(leg))))]
