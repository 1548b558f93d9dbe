"""What the projection gives: plain frozen records and float arrays in canonical units.

Nomenclature: times are minutes since 1970-01-01 00:00 UTC (float64), levels and volumes litres, masses kilograms,
probabilities 0 to 1. Quantiles run along the last axis but one in the order of `QUANTILES`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from legtide.day.document import Day, Service, Tank
from legtide.day.rotations import Rotation

Floats: TypeAlias = NDArray[np.float64]

QUANTILES: Final = (0.05, 0.25, 0.50, 0.75, 0.95)
POINTS_PER_LEG: Final = 16

Severity = Literal["breach", "caution", "note"]
RemedyKind = Literal["add_service", "raise_target", "move_service", "push_legs", "none"]


def to_minutes(moment: datetime) -> float:
    """Aware datetime -> minutes since 1970-01-01 00:00 UTC."""
    return moment.timestamp() / 60.0


def to_datetime(minutes: float) -> datetime:
    """Minutes since 1970-01-01 00:00 UTC -> aware datetime, to the second."""
    return datetime.fromtimestamp(round(minutes * 60.0), UTC)


def utc_text(moment: datetime) -> str:
    """A moment as it stands in files and documents: `2031-03-05T06:10:00Z`."""
    return moment.astimezone(UTC).isoformat().replace("+00:00", "Z")


@dataclass(frozen=True, slots=True, eq=False)
class TankCurve:
    """One tank of one aircraft over the day, as points in time (steps at services are two points at one time)."""

    tank: Tank
    capacity_l: float
    limit_l: float
    """Fresh: the reserve. Waste: the usable limit."""
    minutes: Floats
    """(n,) times of the points."""
    levels: Floats
    """(5, n) level quantiles in litres, rows as `QUANTILES`."""
    mean: Floats
    """(n,) mean level in litres."""
    over_limit: Floats
    """(n,) probability that the limit has been passed: fresh below reserve, waste above its usable limit."""
    exhausted: Floats
    """(n,) probability that the tank is dry (fresh) or full (waste)."""


@dataclass(frozen=True, slots=True)
class Spread:
    """A level or volume in litres with its uncertainty."""

    mean: float
    p05: float
    p25: float
    p50: float
    p75: float
    p95: float


@dataclass(frozen=True, slots=True)
class LegResult:
    """One leg of the projection."""

    index: int
    """Place in the rotation: leg `index` departs from turn `index`."""
    fresh_departure: Spread
    fresh_arrival: Spread
    waste_departure: Spread
    waste_arrival: Spread
    water_mass_kg: float
    """Potable water at departure for the load sheet: mean level times density."""
    risk_fresh_dry: float
    risk_fresh_below_reserve: float
    risk_waste_over_limit: float
    risk_waste_full: float


@dataclass(frozen=True, slots=True)
class ServiceResult:
    """One service of the projection."""

    service: Service
    station: str
    start: datetime | None
    end: datetime | None
    before: Spread
    after: Spread
    volume: Spread
    """Uplift of a fill; drained volume of a drain. Litres; zero for a service that does not happen."""


@dataclass(frozen=True, slots=True)
class ReadingResult:
    """One reading against what was projected just before it."""

    turn: int
    tank: Tank
    percent: float
    minutes: float
    expected: Spread
    """Projected level just before the reading, litres."""
    used: bool
    """False when the gauge is inoperative or the reading is implausible."""
    probability: float
    """Probability of the reading (of both tanks' readings together where they were taken together)."""


@dataclass(frozen=True, slots=True)
class DayFactor:
    """The day's usage factor as known at the end of the readings."""

    mean: float
    p05: float
    p95: float


@dataclass(frozen=True, slots=True)
class Remedy:
    """A way out that can be done with one press."""

    kind: RemedyKind
    text: str
    aircraft: str = ""
    turn: int = -1
    tank: Tank = "fresh"
    start: datetime | None = None
    service_id: str = ""
    target_percent: float | None = None


@dataclass(frozen=True, slots=True)
class Caution:
    """One warning: what is wrong, where, with which numbers, and the way out."""

    code: str
    severity: Severity
    message: str
    aircraft: str = ""
    leg: str = ""
    """Id of the leg, empty where none is meant."""
    station: str = ""
    turn: int = -1
    tank: Tank | None = None
    risk: float = 0.0
    act_by: datetime | None = None
    """When the way out has to be asked for at the latest."""
    remedy: Remedy | None = None


@dataclass(frozen=True, slots=True, weakref_slot=True, eq=False)
class AircraftProjection:
    """All that is projected for one aircraft. The same rotation and policy give the same object."""

    rotation: Rotation
    fresh: TankCurve
    waste: TankCurve
    legs: tuple[LegResult, ...]
    services: tuple[ServiceResult, ...]
    """In the order of the rotation's services."""
    readings: tuple[ReadingResult, ...] = ()
    day_factor: DayFactor = DayFactor(1.0, 1.0, 1.0)
    warnings: tuple[Caution, ...] = ()

    def curve(self, tank: Tank) -> TankCurve:
        """The curve of a tank."""
        return self.fresh if tank == "fresh" else self.waste


@dataclass(frozen=True, slots=True, eq=False)
class Projection:
    """A whole day: aircraft in the order of the day, warnings sorted by severity, then time."""

    day: Day
    aircraft: dict[str, AircraftProjection]
    warnings: tuple[Caution, ...]
