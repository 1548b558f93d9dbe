"""What the briefing page of an aircraft says: figures of the projection, services to ask for, readings that decide.

Pure: nothing is painted here, and every figure on the page is one of the projection's, the triggers' or the policy's.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from legtide.brief.weight import Carried, LowerFill, carried, lower_fills
from legtide.brief.without import Without, without_each
from legtide.day.document import Day, Leg, Service, Tank
from legtide.day.rotations import Rotation, off_blocks, on_blocks
from legtide.draw.content import RowContent, board_content
from legtide.engine.projection import project
from legtide.engine.types import Caution, LegResult, Projection, ServiceResult, Spread
from legtide.engine.warnings import leg_risk
from legtide.files.day_content import content_checksum
from legtide.language import tr
from legtide.plan.triggers import Trigger, rotation_triggers


class NoAircraftError(ValueError):
    """The day does not list that aircraft, or not its fit."""


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a page comes from."""

    file_name: str
    checksum: str
    """SHA-256 of the day's content, as its file holds it."""
    computed: datetime


def origin_of(day: Day, file_name: str, computed: datetime) -> Origin:
    """The origin of a page about a day. An empty file name says that the day is in no file."""
    return Origin(file_name or tr("not saved in a file"), content_checksum(day), computed)


@dataclass(frozen=True, slots=True)
class Ask:
    """A service to ask for."""

    service: Service
    station: str
    start: datetime | None
    ask_by: datetime | None
    """When it has to be asked for at the latest, by the policy's lead time."""
    litres: Spread
    """Litres that a fill puts in or a drain takes out."""
    without: Without | None
    """What happens if it does not come; none for a service that has been done."""


@dataclass(frozen=True, slots=True)
class Departure:
    """One leg with all that has to be known before it."""

    leg: Leg
    turn: int
    off: datetime
    on: datetime
    result: LegResult
    mass_low_kg: float
    """Water mass at the 5 % level, and at the 95 % level below."""
    mass_high_kg: float
    asks: tuple[Ask, ...]
    triggers: tuple[Trigger, ...]
    """Fresh, then waste."""

    def risk(self, tank: Tank) -> float:
        """Probability of a breach of a tank by the end of the leg."""
        return leg_risk(self.result, tank)

    def level(self, tank: Tank) -> Spread:
        """Level of a tank at departure, litres."""
        return self.result.fresh_departure if tank == "fresh" else self.result.waste_departure


@dataclass(frozen=True, slots=True, eq=False)
class Briefing:
    """All that one page holds."""

    day: Day
    row: RowContent
    """What the board's painters need for the strip."""
    departures: tuple[Departure, ...]
    afterwards: tuple[Ask, ...]
    """Services after the last leg."""
    origin: Origin
    carried: Carried
    """What the water on the page's legs weighs and costs."""
    lower_fills: tuple[LowerFill, ...]
    """Fills that would be cheaper to a lower level."""

    @property
    def rotation(self) -> Rotation:
        """The aircraft's legs and turns."""
        return self.row.rotation

    @property
    def warnings(self) -> tuple[Caution, ...]:
        """The aircraft's warnings, the gravest first."""
        return self.row.cautions


def briefing(day: Day, registration: str, origin: Origin, projection: Projection | None = None) -> Briefing:
    """The briefing page of an aircraft.

    Args:
        day: the day as it is planned.
        registration: which aircraft.
        origin: file, checksum and moment that the page names.
        projection: the day's projection; made here where it is not given.

    Raises:
        NoAircraftError: the day does not list the aircraft, or not its fit.
    """
    row = board_content(day, projection or project(day)).row(registration)
    if row is None:
        raise NoAircraftError(registration)
    rotation = row.rotation
    by_turn = _asks(day, row)
    readings = rotation_triggers(day, rotation)
    departures = []
    for result in row.projection.legs:
        leg = rotation.legs[result.index]
        triggers = tuple(one for one in readings if one.turn == result.index)
        low, high = _mass_span(result)
        asks = tuple(by_turn.get(result.index, ()))
        departures.append(
            Departure(leg, result.index, off_blocks(leg), on_blocks(leg), result, low, high, asks, triggers)
        )
    return Briefing(
        day=day,
        row=row,
        departures=tuple(departures),
        afterwards=tuple(by_turn.get(len(rotation.legs), ())),
        origin=origin,
        carried=carried(row.projection, day.policy),
        lower_fills=lower_fills(day, row.projection),
    )


def _asks(day: Day, row: RowContent) -> dict[int, list[Ask]]:
    """Turn -> its services that are planned or done, in the order of time."""
    without = without_each(day, row.rotation)
    lead = timedelta(minutes=day.policy.call_lead_min.value)
    out: dict[int, list[Ask]] = {}
    for found in sorted(row.projection.services, key=_by_start):
        service = found.service
        if service.state not in ("planned", "done"):
            continue
        ask_by = None if found.start is None or service.state == "done" else found.start - lead
        ask = Ask(service, found.station, found.start, ask_by, found.volume, without.get(id(service)))
        out.setdefault(service.turn, []).append(ask)
    return out


def _by_start(row: ServiceResult) -> tuple[bool, float, str]:
    return row.start is None, 0.0 if row.start is None else row.start.timestamp(), row.service.tank


def _mass_span(result: LegResult) -> tuple[float, float]:
    """Water mass at the ends of the departure's band, at the density of the projection's own figure."""
    spread = result.fresh_departure
    density = result.water_mass_kg / spread.mean if spread.mean > 0.0 else 0.0
    return spread.p05 * density, spread.p95 * density
