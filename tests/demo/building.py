"""From a few words per aircraft to the rows of a day: legs, heads, services, and trucks for those at the hub."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import Any, Final

from demo.scenario import CARRIER, DESIGNATOR, FLEET, HUB, PORTS, PREFIX, block_min
from legtide.day.document import (
    Aircraft,
    CabinService,
    Day,
    Leg,
    Offer,
    Place,
    Service,
    Span,
    Station,
    Tank,
    Travel,
    Truck,
)
from legtide.day.fits import shipped_fit
from legtide.day.rotations import Rotation, Turn, on_blocks, rotations, service_minutes
from legtide.day.windows import turn_window

_TANKS: Final[dict[str, Tank]] = {"F": "fresh", "W": "waste"}
_LOAD_SPREAD: Final = 0.07
_BEFORE_FIRST_LEG: Final = timedelta(minutes=60)
_LEAST_GROUND: Final = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class Line:
    """One aircraft's day in short."""

    name: str
    """Registration without the prefix."""
    first: str
    """Scheduled off blocks of the first leg, HH:MM UTC of the day."""
    route: str
    """Station codes in order, as in "OZM TQB OZM"."""
    ground: int | tuple[int, ...] = 40
    """Minutes of each turn between two legs."""
    services: str = ""
    """Tank and turn, as in "F2 W2 F4=60": a fill to 100 % and a drain at turn 2, a fill to 60 % at turn 4."""
    load: float = 0.8
    """Share of the seats taken, about."""
    cabin: CabinService = "average"
    number: int = 100
    """Flight number of the first leg; the others follow."""
    stand: str | None = None
    """Stand at the hub."""
    changes: Mapping[str, Any] = field(default_factory=dict)
    """Fields of the aircraft that are not the default."""

    @property
    def registration(self) -> str:
        return f"{PREFIX}{self.name}"


@dataclass(frozen=True, slots=True)
class Hub:
    """What the hub's trucks and places are on a day."""

    trucks: tuple[Truck, ...]
    places: tuple[Place, ...] = ()
    travel: tuple[Travel, ...] = ()
    default_travel_min: float = 4.0
    planned_until: datetime | None = None
    """Services of turns that begin later have no truck yet."""


def at(day: date, clock: str) -> datetime:
    """A time HH:MM of a day in UTC; hours from 24 on are of the next day."""
    hours, minutes = (int(part) for part in clock.split(":"))
    return datetime.combine(day, time(0), UTC) + timedelta(hours=hours, minutes=minutes)


def build(
    title: str,
    day: date,
    lines: Iterable[Line],
    hub: Hub,
    *,
    air_c: Mapping[str, float] | None = None,
    late: Mapping[str, str] | None = None,
) -> Day:
    """A day of the scenario with its services planned, those at the hub with a truck where one is free.

    `air_c` gives outside temperatures that are not the usual ones; `late` estimated off blocks by leg, known before
    the services are planned: the legs after it leave late as well where the turn gets too short.
    """
    lines = tuple(lines)
    legs = tuple(leg for line in lines for leg in _slipped(day, _legs(day, line), late or {}))
    codes = sorted({code for leg in legs for code in (leg.origin, leg.destination)})
    names = dict.fromkeys(FLEET[line.registration] for line in lines)
    bare = Day(
        title=f"{CARRIER}: {title}",
        date=day,
        fits=tuple(shipped_fit(name) for name in names),
        stations=tuple(_station(code, hub, (air_c or {}).get(code)) for code in codes),
        aircraft=tuple(_aircraft(line) for line in lines),
        legs=legs,
    )
    wanted = [service for line in lines for service in _services(line)]
    return bare.model_copy(update={"services": tuple(_dispatched(bare, wanted, hub))})


def _aircraft(line: Line) -> Aircraft:
    stand = line.stand if line.route.startswith(HUB) else None
    return Aircraft(
        registration=line.registration,
        fit=FLEET[line.registration],
        start_stand=stand,
        **line.changes,
    )


def _station(code: str, hub: Hub, air_c: float | None) -> Station:
    port = PORTS[code]
    mine = hub if code == HUB else Hub(())
    return Station(
        code=code,
        name=port.name,
        time_zone=port.zone,
        offers=tuple(Offer(tank=_TANKS[letter]) for letter in port.offers),
        approved_water=port.approved_water,
        outside_air_c=port.air_c if air_c is None else air_c,
        water_c=port.water_c,
        places=mine.places,
        travel=mine.travel,
        default_travel_min=mine.default_travel_min,
        trucks=mine.trucks,
        remark=port.remark,
    )


def _legs(day: date, line: Line) -> list[Leg]:
    stops = line.route.split()
    fit = shipped_fit(FLEET[line.registration])
    grounds = line.ground if isinstance(line.ground, tuple) else (line.ground,) * (len(stops) - 2)
    start, out = at(day, line.first), []
    for index, (origin, destination) in enumerate(pairwise(stops)):
        flight = f"{DESIGNATOR} {line.number + index}"
        # A stream of its own for each flight: another flight more changes none of the others.
        share = line.load + random.Random(f"{day}/{flight}").uniform(-_LOAD_SPREAD, _LOAD_SPREAD)
        end = start + timedelta(minutes=block_min(origin, destination))
        out.append(
            Leg(
                id=f"{line.name}-{index + 1}",
                aircraft=line.registration,
                flight=flight,
                origin=origin,
                destination=destination,
                std=start,
                sta=end,
                passengers=min(round(fit.seats.value * share), round(fit.seats.value)),
                crew=round(fit.crew.value),
                cabin_service=line.cabin,
                stand=line.stand if destination == HUB else None,
            )
        )
        if index < len(grounds):
            start = end + timedelta(minutes=grounds[index])
    return out


def _slipped(day: date, legs: list[Leg], late: Mapping[str, str]) -> list[Leg]:
    out: list[Leg] = []
    for leg in legs:
        leaves = at(day, late[leg.id]) if leg.id in late else leg.std
        if out:
            leaves = max(leaves, on_blocks(out[-1]) + _LEAST_GROUND)
        out.append(leg if leaves == leg.std else leg.model_copy(update={"etd": leaves}))
    return out


# services and trucks --------------------------------------------------------------------------------------


def _services(line: Line) -> list[Service]:
    out = []
    for word in line.services.split():
        place, _, target = word[1:].partition("=")
        tank = _TANKS[word[0]]
        whole = 0.0 if tank == "waste" else 100.0
        out.append(
            Service(
                id=f"{line.name}-{word[0]}{place}",
                aircraft=line.registration,
                turn=int(place),
                tank=tank,
                target_percent=float(target) if target else whole,
            )
        )
    return out


@dataclass(slots=True)
class _Driver:
    """A truck on its way through the day."""

    truck: Truck
    free: datetime
    used_l: float = 0.0

    def start(self, earliest: datetime, minutes: float, travel: timedelta) -> datetime:
        """The earliest start of a service: after the drive, outside the breaks."""
        begin = max(earliest, self.free + travel)
        for span in self.truck.breaks:
            if begin < span.end and begin + timedelta(minutes=minutes) > span.start:
                begin = span.end + travel
        return begin

    def take(self, start: datetime, minutes: float, litres: float, reload: timedelta) -> None:
        self.free = start + timedelta(minutes=minutes)
        self.used_l += litres
        if self.used_l > 0.85 * self.truck.capacity_l:
            self.free, self.used_l = self.free + reload, 0.0


def _dispatched(day: Day, services: list[Service], hub: Hub) -> list[Service]:
    """The services with a start, and at the hub with the truck that is there first.

    They are taken in the order of their turns, water before toilet: plain, and good enough to begin with.
    """
    known = rotations(day)
    drivers = [_Driver(truck, truck.shift.start) for truck in hub.trucks if truck.shift is not None]
    ready: dict[tuple[str, int], datetime] = {}
    out: dict[str, Service] = {}
    for service in sorted(services, key=lambda row: (_opens(known[row.aircraft], row.turn), row.tank, row.id)):
        rotation = known[service.aircraft]
        turn, key = rotation.turns[service.turn], (service.aircraft, service.turn)
        minutes = service_minutes(rotation.fit, service)
        start = max(_opens(rotation, service.turn) + timedelta(minutes=3), ready.get(key, _DAWN))
        decided = hub.planned_until is None or _opens(rotation, service.turn) < hub.planned_until
        mine = drivers if turn.station == HUB and decided else []
        driver, start = _first_free(day, turn, service, minutes, start, mine, hub)
        if driver is not None:
            litres = rotation.fit.capacity_l(service.tank) * 0.6
            driver.take(start, minutes, litres, timedelta(minutes=2 * hub.default_travel_min + 8))
        ready[key] = _minute(start + timedelta(minutes=minutes + 1))
        truck = driver.truck.id if driver is not None else None
        out[service.id] = service.model_copy(update={"start": _minute(start), "truck": truck})
    return [out[service.id] for service in services]


_DAWN: Final = datetime(1970, 1, 1, tzinfo=UTC)


def _opens(rotation: Rotation, number: int) -> datetime:
    """When a turn begins; before the first leg, an hour before it."""
    turn = rotation.turns[number]
    if turn.start is not None:
        return turn.start
    return rotation.legs[0].std - _BEFORE_FIRST_LEG


def _first_free(
    day: Day, turn: Turn, service: Service, minutes: float, start: datetime, drivers: list[_Driver], hub: Hub
) -> tuple[_Driver | None, datetime]:
    window = turn_window(turn, day.policy)
    latest = window[1] if window is not None else start
    travel = timedelta(minutes=hub.default_travel_min)
    best: tuple[datetime, str, _Driver] | None = None
    for driver in drivers:
        truck = driver.truck
        if truck.tank != service.tank or truck.shift is None:
            continue
        begin = _minute(driver.start(start, minutes, travel))
        end = begin + timedelta(minutes=minutes)
        if end <= min(latest, truck.shift.end) and (best is None or (begin, truck.id) < best[:2]):
            best = (begin, truck.id, driver)
    return (best[2], best[0]) if best is not None else (None, start)


def _minute(moment: datetime) -> datetime:
    """Rounded up to a whole minute."""
    spare = moment.second * 1_000_000 + moment.microsecond
    return moment + timedelta(microseconds=60_000_000 - spare) if spare else moment


def truck(day: date, name: str, litres: float, hours: str, *breaks: str, **more: Any) -> Truck:
    """A truck of the hub: W for water, T for toilets. Its shift and breaks are written "HH:MM-HH:MM"."""
    return Truck(
        id=name,
        tank="fresh" if name.startswith("W") else "waste",
        capacity_l=litres,
        shift=_span(day, hours),
        breaks=tuple(_span(day, text) for text in breaks),
        **more,
    )


def _span(day: date, text: str) -> Span:
    start, end = text.split("-")
    return Span(start=at(day, start), end=at(day, end))
