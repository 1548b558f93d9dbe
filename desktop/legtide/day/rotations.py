"""What follows from the legs: times in force, rotations, and the turns between the legs.

Pure functions of a `Day`. A rotation is cached by the identity of the parts it was made from, so that an edit of
one aircraft does not rebuild the others.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from types import MappingProxyType
from typing import Any, Final, Generic, NamedTuple, Protocol, TypeAlias, TypeVar
from weakref import WeakValueDictionary

from legtide.day.document import Aircraft, Day, Fit, GroundTime, Leg, Reading, Service, Station

T = TypeVar("T")


def off_blocks(leg: Leg) -> datetime:
    """Off-blocks time in force: actual, else estimated, else scheduled."""
    return leg.atd or leg.etd or leg.std


def on_blocks(leg: Leg) -> datetime:
    """On-blocks time in force: actual, else estimated, else departure in force plus the scheduled block time."""
    known = leg.ata or leg.eta
    if known is not None:
        return known
    return off_blocks(leg) + (leg.sta - leg.std)


def block_hours(leg: Leg) -> float:
    """Off blocks to on blocks in hours; never negative."""
    return max((on_blocks(leg) - off_blocks(leg)).total_seconds(), 0.0) / 3600.0


def scheduled(legs: Iterable[Leg]) -> dict[str, list[Leg]]:
    """The legs of each aircraft in the order of the schedule, which numbers the turns.

    A delay must not turn a sound file into a bad one, nor swap turns and their services.
    """
    found: dict[str, list[Leg]] = {}
    for leg in sorted(legs, key=lambda leg: (leg.std, leg.sta, leg.id)):
        found.setdefault(leg.aircraft, []).append(leg)
    return found


def station_at(legs: Sequence[Leg], turn: int) -> str | None:
    """Code of the station of a turn; none where there is no such turn."""
    if not legs or turn > len(legs):
        return None
    return legs[turn - 1].destination if turn else legs[0].origin


@dataclass(frozen=True, slots=True)
class Turn:
    """The ground time of one aircraft between two legs (or before the first, after the last)."""

    number: int
    """Legs already flown: 0 is before the first leg."""
    station: str
    start: datetime | None
    """On blocks of the leg before; none before the first leg."""
    end: datetime | None
    """Off blocks of the leg after; none after the last leg."""
    stand: str | None

    @property
    def minutes(self) -> float | None:
        """Length in minutes; none where one end is open. Negative when a delay has eaten the turn."""
        if self.start is None or self.end is None:
            return None
        return (self.end - self.start).total_seconds() / 60.0

    def holds(self, moment: datetime) -> bool:
        """Whether a moment lies inside the turn."""
        return (self.start is None or moment >= self.start) and (self.end is None or moment <= self.end)


@dataclass(frozen=True, slots=True, weakref_slot=True, eq=False)
class Rotation:
    """One aircraft's legs of the day in order, with all that hangs on its turns; compared by identity."""

    aircraft: Aircraft
    fit: Fit
    legs: tuple[Leg, ...]
    turns: tuple[Turn, ...]
    """One more than the legs; a rotation without legs has none."""
    services: tuple[Service, ...]
    readings: tuple[Reading, ...]
    ground: tuple[GroundTime, ...]

    @property
    def registration(self) -> str:
        return self.aircraft.registration


def _turns(aircraft: Aircraft, legs: tuple[Leg, ...]) -> tuple[Turn, ...]:
    if not legs:
        return ()
    turns = [Turn(0, legs[0].origin, None, off_blocks(legs[0]), aircraft.start_stand)]
    for number, leg in enumerate(legs, start=1):
        after = off_blocks(legs[number]) if number < len(legs) else None
        turns.append(Turn(number, leg.destination, on_blocks(leg), after, leg.stand))
    return tuple(turns)


class Same(Generic[T]):
    """A part of the day, or a tuple of parts, compared by identity: cheap to look up, and frozen."""

    __slots__ = ("it",)

    def __init__(self, it: T) -> None:
        self.it = it

    def __hash__(self) -> int:
        return id(self.it)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.it is self.it


_Rows: TypeAlias = Same[tuple[Any, ...]]


class _Group(NamedTuple):
    """One aircraft's rows of one kind, and their identities."""

    rows: tuple[Any, ...] = ()
    ids: tuple[int, ...] = ()


_NONE: Final = _Group()


@lru_cache(maxsize=32)
def _by_aircraft(same: _Rows) -> Mapping[str, _Group]:
    groups: dict[str, list[Any]] = {}
    for row in same.it:
        groups.setdefault(row.aircraft, []).append(row)
    return {name: _Group(tuple(rows), tuple(map(id, rows))) for name, rows in groups.items()}


_in_use: Final = WeakValueDictionary[tuple[Any, ...], Rotation]()
"""Rotations that somebody still holds, by the identities of their parts. A rotation holds its parts, so that no
identity is used again while it is here."""


def _rotation(aircraft: Aircraft, fit: Fit, groups: tuple[_Group, ...]) -> Rotation:
    key = (id(aircraft), id(fit), *(group.ids for group in groups))
    known = _in_use.get(key)
    if known is not None:
        return known
    legs, services, readings, ground = (group.rows for group in groups)
    # In the order of the schedule: a delay past the next leg must not swap turns and their services.
    in_order = tuple(sorted(legs, key=lambda leg: (leg.std, leg.sta, leg.id)))
    made = Rotation(aircraft, fit, in_order, _turns(aircraft, in_order), services, readings, ground)
    return _in_use.setdefault(key, made)


def rotations(day: Day) -> Mapping[str, Rotation]:
    """Registration -> rotation, in the order of the day's aircraft.

    Aircraft whose fit the day does not list are left out (`checks.problems` names them). The same parts give
    the same object, so views may compare rotations with `is`.
    """
    kinds = (day.legs, day.services, day.readings, day.ground)
    return _rotations(Same(day.aircraft), Same(day.fits), *(Same(rows) for rows in kinds))


@lru_cache(maxsize=16)
def _rotations(aircraft: _Rows, fits: _Rows, *kinds: _Rows) -> Mapping[str, Rotation]:
    known = {fit.id: fit for fit in fits.it}
    grouped = [_by_aircraft(rows) for rows in kinds]
    out: dict[str, Rotation] = {}
    for one in aircraft.it:
        fit = known.get(one.fit)
        if fit is not None:
            groups = tuple(rows.get(one.registration, _NONE) for rows in grouped)
            out[one.registration] = _rotation(one, fit, groups)
    return MappingProxyType(out)


def stations(day: Day) -> Mapping[str, Station]:
    """Code -> station."""
    return {station.code: station for station in day.stations}


def service_start(rotation: Rotation, service: Service, margin_min: float) -> datetime | None:
    """When a service starts: as entered, else as early in its turn as the margin allows; none if unknowable.

    Before the first leg nothing bounds the start from below: there a service without a start is put so that
    an hour is left before off blocks.
    """
    if service.start is not None:
        return service.start
    if service.turn >= len(rotation.turns):
        return None
    turn = rotation.turns[service.turn]
    if turn.start is not None:
        return turn.start + timedelta(minutes=margin_min)
    return turn.end - timedelta(hours=1) if turn.end is not None else None


def service_minutes(fit: Fit, service: Service, litres: float | None = None) -> float:
    """Duration of a service in minutes: connecting, plus filling `litres` or draining.

    Without `litres` a fill is taken as the whole tank up to its target.
    """
    volume = fit.fresh_capacity_l.value * service.target / 100.0 if litres is None else litres
    return fit.connect_min.value + pump_minutes(fit, service, volume)


class Pumping(Protocol):
    """What of a truck decides how long it is at an aircraft."""

    @property
    def flow_l_per_min(self) -> float | None:
        """Flow of its own pump; none: never the slower one."""

    @property
    def setup_min(self) -> float:
        """Minutes before it can connect."""


def minutes_at_aircraft(truck: Pumping, connect_min: float, pump_min: float, litres: float) -> float:
    """Minutes of a service with a truck, where connecting and pumping at the aircraft's own pace take so long."""
    flow = truck.flow_l_per_min
    return truck.setup_min + connect_min + (pump_min if flow is None else max(pump_min, litres / flow))


def pump_minutes(fit: Fit, service: Service, litres: float) -> float:
    """Minutes of filling so many litres, or of draining, at the aircraft's own pace."""
    if service.tank == "waste":
        return fit.drain_min.value
    return litres / fit.fill_flow_l_per_min.value
