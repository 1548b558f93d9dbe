"""What a board shows: one frozen row for each aircraft, kept as the same object while nothing in it changes.

Views compare rows with `is` and paint again only those that are new.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from legtide.day.document import Day, Service, Station, Tank
from legtide.day.rotations import Rotation, off_blocks, on_blocks, service_minutes, service_start
from legtide.day.rotations import stations as stations_of
from legtide.draw.stretches import Stretch, Urgency, stretches
from legtide.engine.types import AircraftProjection, Caution, Projection, ServiceResult, to_minutes

EMPTY_DAY_MIN: Final = 1440.0
"""What a day without legs shows, minutes from its midnight."""


@dataclass(frozen=True, slots=True)
class Marker:
    """One service on the board."""

    service: Service
    start: float
    """Minutes since 1970."""
    end: float
    result: ServiceResult | None


@dataclass(frozen=True, slots=True, eq=False)
class RowContent:
    """One aircraft's row."""

    projection: AircraftProjection
    cautions: tuple[Caution, ...]
    stretches: tuple[Stretch, ...]
    markers: tuple[Marker, ...]
    """Services with a known time, in the order of time."""
    risk_limit: float
    start: float
    """Minutes since 1970 from which the row's legs and services run; infinite when it has none."""
    end: float

    @property
    def rotation(self) -> Rotation:
        """The aircraft's legs and turns."""
        return self.projection.rotation

    @property
    def registration(self) -> str:
        """The aircraft's registration."""
        return self.rotation.registration

    @property
    def urgency(self) -> Urgency | None:
        """The most urgent warning of the row."""
        severities = {row.severity for row in self.cautions}
        if "breach" in severities:
            return "act"
        return "watch" if "caution" in severities else None

    def of_tank(self, tank: Tank) -> tuple[Stretch, ...]:
        """The stretches of one tank."""
        return tuple(row for row in self.stretches if row.tank == tank)


@dataclass(frozen=True, slots=True, eq=False)
class BoardContent:
    """All rows of a board, in the order of the day."""

    rows: tuple[RowContent, ...]
    index: Mapping[str, int]
    """Registration -> place in `rows`."""
    stations: Mapping[str, Station]
    start: float
    """Minutes since 1970 from which the day's legs and services run."""
    end: float

    def row(self, registration: str | None) -> RowContent | None:
        """The row of an aircraft; None when the board does not have it."""
        place = None if registration is None else self.index.get(registration)
        return None if place is None else self.rows[place]


def _markers(projection: AircraftProjection, margin_min: float) -> tuple[Marker, ...]:
    rotation = projection.rotation
    results = {id(row.service): row for row in projection.services}
    out = []
    for service in rotation.services:
        result = results.get(id(service))
        start = (result.start if result else None) or service_start(rotation, service, margin_min)
        if start is None:
            continue
        end = result.end if result else None
        begun = to_minutes(start)
        duration = service_minutes(rotation.fit, service)
        out.append(Marker(service, begun, begun + duration if end is None else to_minutes(end), result))
    return tuple(sorted(out, key=lambda row: (row.start, row.service.tank, row.service.id)))


def _row(day: Day, projection: AircraftProjection, own: tuple[Caution, ...]) -> RowContent:
    rotation, risk_limit = projection.rotation, day.policy.risk_limit.value
    found: tuple[Stretch, ...] = ()
    for curve in (projection.fresh, projection.waste):
        found += stretches(curve, rotation, own, risk_limit)
    markers = _markers(projection, day.policy.margin_after_on_blocks_min.value)
    return RowContent(projection, own, found, markers, risk_limit, *_span(rotation, markers))


def _span(rotation: Rotation, markers: tuple[Marker, ...]) -> tuple[float, float]:
    starts = [to_minutes(off_blocks(leg)) for leg in rotation.legs] + [marker.start for marker in markers]
    ends = [to_minutes(on_blocks(leg)) for leg in rotation.legs] + [marker.end for marker in markers]
    return min(starts, default=math.inf), max(ends, default=-math.inf)


def _cautions_by_aircraft(projection: Projection) -> dict[str, list[Caution]]:
    groups: dict[str, list[Caution]] = {}
    for row in projection.warnings:
        groups.setdefault(row.aircraft, []).append(row)
    return groups


def board_content(day: Day, projection: Projection, previous: BoardContent | None = None) -> BoardContent:
    """The rows of a day and its projection, one for each aircraft projected.

    Unchanged rows are taken over from `previous`: the same rotation and policy have the same projection object.
    """
    cautions = _cautions_by_aircraft(projection)
    rows = []
    for name, projected in projection.aircraft.items():
        own = tuple(cautions.get(name, ()))
        old = None if previous is None else previous.row(name)
        if old is not None and old.projection is projected and old.cautions == own:
            rows.append(old)
        else:
            rows.append(_row(day, projected, own))
    start = min((row.start for row in rows), default=math.inf)
    end = max((row.end for row in rows), default=-math.inf)
    if start > end:
        start = datetime(day.date.year, day.date.month, day.date.day, tzinfo=UTC).timestamp() / 60.0
        end = start + EMPTY_DAY_MIN
    index = {row.registration: place for place, row in enumerate(rows)}
    return BoardContent(tuple(rows), index, stations_of(day), start, end)
