"""When the services of one turn can take place, and at which price.

A turn has a window inside the policy's margins, a station has offers with hours and prices, and what is done or
pinned at the turn takes its time. All times are minutes since 1970-01-01 00:00 UTC.

Where several offers of a station would do, the cheapest is taken, then the earliest start. Where both services of a
turn are planned, water comes first if that fits; one follows the other, at the next whole minute if that fits.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from legtide.day.document import Fit, Policy, Service, Station, Tank
from legtide.day.rotations import Turn, service_minutes
from legtide.day.windows import turn_window
from legtide.engine.types import to_minutes

Interval: TypeAlias = tuple[float, float]
_CREWS_ARE_THERE_MIN: Final = 60.0  # before the first leg: how long before off blocks a service is put
_SLACK: Final = 1e-6  # minutes: rounding of times that were datetimes
_FILL = Service(aircraft="-", turn=0, tank="fresh")
_DRAIN = Service(aircraft="-", turn=0, tank="waste")


@dataclass(frozen=True, slots=True)
class Slot:
    """A place in time for one service."""

    start: float
    end: float
    price: float

    def moved(self, start: float) -> Slot:
        """The same service at another time."""
        return Slot(start, start + self.end - self.start, self.price)


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of a turn in which a station works one service, at one price."""

    first: float
    last: float
    price: float


Pair: TypeAlias = tuple[Slot, Slot]


@dataclass(frozen=True, slots=True)
class Openings:
    """What can be planned at one turn; fills in the order of the fill levels."""

    fresh: tuple[Slot | None, ...]
    waste: Slot | None
    both: tuple[Pair | None, ...]


def fill_minutes(fit: Fit, target_percent: float) -> float:
    """Duration of a fill, as if the tank were empty."""
    return service_minutes(fit, _FILL, fit.fresh_capacity_l.value * target_percent / 100.0)


def drain_minutes(fit: Fit) -> float:
    """Duration of a drain."""
    return service_minutes(fit, _DRAIN)


def window_minutes(turn: Turn, policy: Policy) -> Interval | None:
    """The turn's window inside the policy's margins."""
    window = turn_window(turn, policy)
    return None if window is None else (to_minutes(window[0]), to_minutes(window[1]))


def spans(
    window: Interval | None, station: Station | None, tank: Tank, policy: Policy, earliest: float
) -> list[Span]:
    """Where in a turn's window a station works a service, not before `earliest`. Water only from approved points."""
    if station is None or window is None or (tank == "fresh" and not station.approved_water):
        return []
    found = []
    for offer in station.offers:
        if offer.tank != tank:
            continue
        price = _usual(tank, policy) if offer.price is None else offer.price
        hours = [(to_minutes(span.start), to_minutes(span.end)) for span in offer.hours] or [window]
        for opens, closes in hours:
            first, last = max(window[0], opens, earliest), min(window[1], closes)
            if last > first:
                found.append(Span(first, last, price))
    return found


def _usual(tank: Tank, policy: Policy) -> float:
    return policy.price_fresh_service.value if tank == "fresh" else policy.price_waste_service.value


def price_of(station: Station | None, service: Service, policy: Policy) -> float:
    """Price of a service of the day: of the offer in whose hours it starts, else of the first, else the policy's."""
    offers = [row for row in station.offers if row.tank == service.tank] if station is not None else []
    at = service.start
    fitting = [row for row in offers if at is None or any(span.start <= at <= span.end for span in row.hours)]
    chosen = next(iter(fitting or offers), None)
    return _usual(service.tank, policy) if chosen is None or chosen.price is None else chosen.price


def preferred(found: list[Span], turn: Turn) -> list[Span]:
    """The spans in which a service is put if it fits: before the first leg not long before off blocks."""
    if turn.start is not None or turn.end is None:
        return found
    at = to_minutes(turn.end) - _CREWS_ARE_THERE_MIN
    return [Span(max(span.first, at), span.last, span.price) for span in found if span.last > at]


def single(found: Sequence[Span], minutes: float, busy: Sequence[Interval]) -> Slot | None:
    """The cheapest, then earliest place for one service beside what is busy (in time order)."""
    best: Slot | None = None
    for span in found:
        at = span.first
        for start, end in busy:
            if at + minutes > start + _SLACK and at < end - _SLACK:
                at = max(at, end)
        if at + minutes <= span.last + _SLACK:
            slot = Slot(at, at + minutes, span.price)
            if best is None or (slot.price, slot.start) < (best.price, best.start):
                best = slot
    return best


def pair(
    water: Sequence[Span], toilet: Sequence[Span], minutes: tuple[float, float], busy: Sequence[Interval]
) -> Pair | None:
    """Places for both services of a turn, one after the other; none if only one of them fits."""
    for whole in (True, False):
        found = list(_pairs(water, toilet, minutes, busy, whole))
        if found:
            return min(found, key=_rank)
    return None


def _rank(found: Pair) -> tuple[float, bool, float, float]:
    water, toilet = found
    return water.price + toilet.price, toilet.start < water.start, water.start, toilet.start


def _pairs(
    water: Sequence[Span], toilet: Sequence[Span], minutes: tuple[float, float], busy: Sequence[Interval], whole: bool
) -> Iterator[Pair]:
    """Every arrangement in which no service can start earlier: one of them has the best of them."""
    for first, then, durations, swapped in (
        (water, toilet, minutes, False),
        (toilet, water, (minutes[1], minutes[0]), True),
    ):
        for one in _starts(first, durations[0], busy):
            after = math.ceil(one.end - _SLACK) if whole else one.end
            taken = sorted([*busy, (one.start, max(one.end, after))])
            for other in _starts(then, durations[1], taken):
                yield (other, one) if swapped else (one, other)


def _starts(found: Sequence[Span], minutes: float, busy: Sequence[Interval]) -> Iterator[Slot]:
    for span in found:
        for at in [span.first, *(end for _, end in busy if end > span.first)]:
            if at + minutes <= span.last + _SLACK and free(at, at + minutes, busy):
                yield Slot(at, at + minutes, span.price)


def free(start: float, end: float, busy: Sequence[Interval]) -> bool:
    """Whether nothing of what is busy overlaps."""
    return all(end <= first + _SLACK or start >= last - _SLACK for first, last in busy)


def openings(
    water: list[Span], toilet: list[Span], turn: Turn, fit: Fit, fills: Sequence[float], busy: Sequence[Interval]
) -> Openings:
    """What a turn can take, given the spans of both services."""
    drain = drain_minutes(fit)
    if len(water) <= 1 and len(toilet) <= 1 and not busy and turn.start is not None:
        return _plain_openings(water, toilet, [fill_minutes(fit, target) for target in fills], drain)
    close = (preferred(water, turn), preferred(toilet, turn))
    fresh: list[Slot | None] = []
    both: list[Pair | None] = []
    for target in fills:
        fill = fill_minutes(fit, target)
        fresh.append(single(close[0], fill, busy) or single(water, fill, busy))
        both.append(pair(*close, (fill, drain), busy) or pair(water, toilet, (fill, drain), busy))
    return Openings(tuple(fresh), single(close[1], drain, busy) or single(toilet, drain, busy), tuple(both))


def _plain_openings(water: list[Span], toilet: list[Span], pours: Sequence[float], drain: float) -> Openings:
    """The same for the common turn, at which nothing else takes place and each service has one price, or none."""
    fresh = [single(water, pour, ()) for pour in pours]
    waste = single(toilet, drain, ())
    both: list[Pair | None] = []
    for pour, slot in zip(pours, fresh, strict=True):
        after = math.ceil(slot.end - _SLACK) if slot is not None else 0.0
        if slot is not None and waste is not None and waste.start <= after and after + drain <= toilet[0].last:
            both.append((slot, Slot(float(after), after + drain, waste.price)))
        else:
            both.append(pair(water, toilet, (pour, drain), ()) if slot is not None and waste is not None else None)
    return Openings(tuple(fresh), waste, tuple(both))


def extra_prices(found: Openings) -> list[float]:
    """For each fill level what it costs more to have a drain at the same turn; infinite where both do not fit."""
    out = []
    for alone, both in zip(found.fresh, found.both, strict=True):
        if alone is None or found.waste is None:
            out.append(0.0)
        elif both is None:
            out.append(math.inf)
        else:
            out.append(round(both[0].price + both[1].price - alone.price - found.waste.price, 9))
    return out
