"""Sentences of plans: what a proposal changes, what it cannot serve, and how good it is."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from legtide.day.document import Day, Service, Tank
from legtide.day.rotations import rotations, service_start, stations
from legtide.draw.words import NBSP, hhmm
from legtide.language import capped, counted, tr

ChangeKind = Literal["add", "move", "change", "drop"]


@dataclass(frozen=True, slots=True)
class Line:
    """One sentence with its place on the board."""

    text: str
    aircraft: str = ""
    turn: int = -1
    service: str = ""
    """Id of the day's service that it speaks of; empty for one that is not in the day."""
    kind: ChangeKind | None = None
    tank: Tank | None = None
    """Of an added service."""


class Places:
    """Names of a day's places and times for sentences."""

    def __init__(self, day: Day) -> None:
        self._margin_min = day.policy.margin_after_on_blocks_min.value
        self._rotations = rotations(day)
        self._stations = stations(day)

    def station(self, code: str) -> str:
        """A station's name, or its code where it has none."""
        found = self._stations.get(code)
        return found.name if found is not None and found.name else code

    def station_of(self, row: Service) -> str:
        """Name of the station at which a service is done."""
        rotation = self._rotations.get(row.aircraft)
        if rotation is None or row.turn >= len(rotation.turns):
            return ""
        return self.station(rotation.turns[row.turn].station)

    def start(self, row: Service) -> datetime | None:
        """When a service starts."""
        rotation = self._rotations.get(row.aircraft)
        return None if rotation is None else service_start(rotation, row, self._margin_min)

    def at(self, row: Service) -> str:
        """Such as "Selwyn 14:08"."""
        start = self.start(row)
        return self.station_of(row) if start is None else f"{self.station_of(row)} {hhmm(start)}"


def named(row: Service) -> str:
    """Such as "water service of QX-ABL"."""
    words = tr("water service of {aircraft}") if row.tank == "fresh" else tr("waste service of {aircraft}")
    return words.format(aircraft=row.aircraft)


def changes_between(before: Day, after: Day, why: Mapping[str, str] | None = None) -> tuple[Line, ...]:
    """What differs in the services of two days, one sentence each, by aircraft and turn.

    `why` has reasons by the id of the service. A service that goes and one of the same aircraft and tank that comes
    are one that moves.
    """
    places, reasons = Places(before), why or {}
    old, new = ({row.id: row for row in day.services} for day in (before, after))
    gone = [row for row in before.services if row.id not in new]
    come = [row for row in after.services if row.id not in old]
    lines = []
    for row in come:
        other = next((one for one in gone if (one.aircraft, one.tank) == (row.aircraft, row.tank)), None)
        if other is None:
            lines.append(_added(places, row))
        else:
            gone.remove(other)
            lines.append(_moved(places, other, row))
    lines += [_dropped(places, row) for row in gone]
    for key, row in new.items():
        if key in old and row is not old[key]:
            line = _changed(places, old[key], row, reasons.get(key, ""))
            if line is not None:
                lines.append(line)
    order = {row.registration: place for place, row in enumerate(before.aircraft)}
    return tuple(sorted(lines, key=lambda line: (order.get(line.aircraft, len(order)), line.turn)))


def _details(row: Service) -> str:
    level = tr(", to {level} %").format(level=f"{row.target:g}").replace(" %", f"{NBSP}%")
    fill = level if row.tank == "fresh" and row.target < 100.0 else ""
    return fill + (tr(", truck {truck}").format(truck=row.truck) if row.truck else "")


def _added(places: Places, row: Service) -> Line:
    text = tr("Add a waste service for {aircraft} at {place}{details}.")
    if row.tank == "fresh":
        text = tr("Add a water service for {aircraft} at {place}{details}.")
    words = text.format(aircraft=row.aircraft, place=places.at(row), details=_details(row))
    return Line(words, row.aircraft, row.turn, kind="add", tank=row.tank)


def _moved(places: Places, old: Service, new: Service) -> Line:
    text = tr("Move the {service} from {place} to {other}{details}.")
    words = text.format(service=named(old), place=places.at(old), other=places.at(new), details=_details(new))
    return Line(words, old.aircraft, old.turn, old.id, "move")


def _dropped(places: Places, row: Service) -> Line:
    text = tr("Drop the {service} at {place}.").format(service=named(row), place=places.at(row))
    return Line(text, row.aircraft, row.turn, row.id, "drop")


def _changed(places: Places, old: Service, new: Service, why: str) -> Line | None:
    parts = []
    times = [hhmm(start) for start in (places.start(old), places.start(new)) if start is not None]
    if len(times) == 2 and times[0] != times[1]:
        parts.append(tr("starts at {time}").format(time=times[1]))
    if old.target != new.target:
        text = tr("fill to {after} % instead of {before} %").replace(" %", f"{NBSP}%")
        parts.append(text.format(before=f"{old.target:g}", after=f"{new.target:g}"))
    if old.truck != new.truck:
        parts.append(_truck(old.truck, new.truck))
    if not parts:
        return None
    name = named(old)
    text = tr("{service} at {place}: {what}{why}.").format(
        service=capped(name),
        place=places.at(old),
        what=", ".join(parts),
        why=tr(", because {reason}").format(reason=why) if why else "",
    )
    kind: ChangeKind = "move" if times[:1] != times[1:] else "change"
    return Line(text, old.aircraft, old.turn, old.id, kind)


def _truck(before: str | None, after: str | None) -> str:
    if after is None:
        return tr("loses truck {before}").format(before=before)
    if before is None:
        return tr("truck {after}").format(after=after)
    return tr("truck {after} instead of {before}").format(before=before, after=after)


# how good -------------------------------------------------------------------------------------------------


def gap_sentence(gap: float) -> str:
    """What the bound says of a plan; `gap` is the share that may still be had, not a number while none is known."""
    if not math.isfinite(gap):
        return tr("How much more could be avoided is not known yet.")
    if gap <= 0.0:
        return tr("No plan of these trucks avoids more risk.")
    share = f"{100.0 * gap:.0f}" if gap >= 0.01 else "1"
    return tr("At most {share} more risk could be avoided.").format(share=f"{share}{NBSP}%")


def trucks_sentence(served: int, asked: int) -> str:
    """How many services have a truck."""
    if served == asked:
        return counted(asked, "The one service that is asked for has a truck.", "All {n} services have a truck.")
    return tr("{served} of {asked} services have a truck.").format(served=served, asked=asked)
