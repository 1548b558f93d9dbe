"""Which services at a station would avoid risk, and how much: by projecting with and without each of them.

Value is risk avoided: the sum over all later legs of the probability of a breach without the service less that with
it, times the policy's price of a breach. All other services stand as the day has them, so an aircraft that is served
at another station later asks less of this one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from legtide.day.document import TANKS, Day, Service, Station, Tank
from legtide.day.rotations import Rotation, rotations, stations
from legtide.day.windows import turn_window
from legtide.engine.projection import project_rotations
from legtide.engine.truck_run import mean_litres
from legtide.engine.types import AircraftProjection, Projection, ServiceResult, to_minutes
from legtide.plan.rotation.proposal import account

ASKED = 1.0
"""Least value of a service that somebody has planned, in price units: a truck that is free does it."""
_ROUNDS = 4
"""Most services of one tank that are proposed for one aircraft at one station."""
_SHORT_LEAST_MIN = 1.0
"""A shorter fill that saves less than this is not offered."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to do a service, with what it leaves and what it is worth."""

    target_percent: float
    litres: float
    value: float
    name: str = "full"


@dataclass(frozen=True, slots=True)
class Need:
    """A service at one turn of the station: planned in the day, or proposed because it would avoid risk."""

    rotation: Rotation
    service: Service
    """The day's row; for a proposal one that is not in the day (its id is empty)."""
    ways: tuple[Way, ...]
    price: float
    window: tuple[float, float]
    """Minutes since 1970-01-01 00:00 UTC, the policy's margins and the station's hours kept."""

    @property
    def id(self) -> str:
        """Name of the request that stands for it."""
        return f"{self.rotation.registration} {self.service.turn} {self.service.tank}"


def station_needs(day: Day, projection: Projection, code: str, propose: bool = True) -> tuple[Need, ...]:
    """All needs at a station, in the order of the day's aircraft and their turns.

    `propose` adds services that are not in the day wherever they avoid more than they cost.
    """
    station = stations(day).get(code)
    if station is None:
        return ()
    views = [
        _View(day, station, projection.aircraft[name], rotation)
        for name, rotation in rotations(day).items()
        if name in projection.aircraft and any(turn.station == code for turn in rotation.turns)
    ]
    if propose:
        _propose(day, views)
    return tuple(need for view in _valued(day, views) for need in view)


def planned_needs(day: Day, projection: Projection, code: str) -> tuple[Need, ...]:
    """The day's own services at a station as they are, whatever they are worth: nothing is projected."""
    station = stations(day).get(code)
    if station is None:
        return ()
    found = (
        needs_as_planned(day, station, rotation, projection.aircraft[name])
        for name, rotation in rotations(day).items()
        if name in projection.aircraft
    )
    return tuple(need for needs in found for need in needs)


def needs_as_planned(
    day: Day, station: Station, rotation: Rotation, projection: AircraftProjection
) -> tuple[Need, ...]:
    """One aircraft's own services at a station as they are."""
    out = []
    for row in rotation.services:
        at = rotation.turns[row.turn].station if row.turn < len(rotation.turns) else ""
        if at == station.code and row.state in ("planned", "done"):
            way = Way(row.target, _litres(projection, row), ASKED)
            window = _window_or_moment(day, station, rotation, row)
            if window is not None:
                out.append(Need(rotation, row, (way,), service_price(day, station, row.tank), window))
    return tuple(out)


class _View:
    """One aircraft seen from a station: its services there, and what could be added."""

    def __init__(self, day: Day, station: Station, projection: AircraftProjection, rotation: Rotation) -> None:
        self.day, self.station, self.rotation = day, station, rotation
        self.turns = [turn for turn in rotation.turns if turn.station == station.code]
        numbers = {turn.number for turn in self.turns}
        self.proposed: list[Service] = []
        self.mine = [row for row in rotation.services if row.turn in numbers and row.state in ("planned", "done")]
        self.projection = projection
        self.settled: set[Tank] = set()

    def with_proposals(self, *more: Service, without: Service | None = None) -> Rotation:
        """The rotation with what is proposed so far and more, and without one service."""
        rows = tuple(row for row in (*self.rotation.services, *self.proposed, *more) if row is not without)
        return replace(self.rotation, services=rows)

    def openings(self, tank: Tank) -> list[Service]:
        """Services of a tank that could be added at turns with legs to come and nothing of the kind planned."""
        taken = {row.turn for row in (*self.mine, *self.proposed) if row.tank == tank}
        return [
            Service(aircraft=self.rotation.registration, turn=turn.number, tank=tank)
            for turn in self.turns
            if turn.number < len(self.rotation.legs)
            and turn.number not in taken
            and service_window(self.day, self.station, self.rotation, turn.number, tank) is not None
        ]


def service_window(
    day: Day, station: Station, rotation: Rotation, turn: int, tank: Tank
) -> tuple[float, float] | None:
    """The longest stretch of a turn in which the station works a service, in minutes; none where it never does."""
    window = turn_window(rotation.turns[turn], day.policy)
    if window is None or (tank == "fresh" and not station.approved_water):
        return None
    spans = []
    for offer in station.offers:
        if offer.tank == tank:
            for opens, closes in [(span.start, span.end) for span in offer.hours] or [window]:
                spans.append((to_minutes(max(window[0], opens)), to_minutes(min(window[1], closes))))
    best = max(spans, key=lambda span: (span[1] - span[0], -span[0]), default=None)
    return best if best is not None and best[1] > best[0] else None


def service_price(day: Day, station: Station, tank: Tank) -> float:
    """The station's price of a service, else the policy's."""
    usual = day.policy.price_fresh_service if tank == "fresh" else day.policy.price_waste_service
    prices = [offer.price for offer in station.offers if offer.tank == tank and offer.price is not None]
    return min(prices, default=usual.value)


def breach_sum(projection: AircraftProjection, tank: Tank, turn: int) -> float:
    """Probabilities of a breach of one tank, added up over the legs from a turn on."""
    legs = projection.legs[turn:]
    return sum(leg.risk_fresh_below_reserve if tank == "fresh" else leg.risk_waste_over_limit for leg in legs)


def _propose(day: Day, views: Sequence[_View]) -> None:
    """Adds to each view, tank by tank, the service that avoids most, as long as one avoids more than it costs."""
    price_breach, places = day.policy.price_breach.value, stations(day)

    def fuel(projection: AircraftProjection) -> float:
        return account(day, projection, 0, places).costs.fuel

    for _ in range(_ROUNDS):
        trials = [(view, row) for view in views for tank in TANKS for row in _open_rows(view, tank)]
        if not trials:
            return
        projected = project_rotations(day, [view.with_proposals(row) for view, row in trials])
        best: dict[tuple[int, Tank], tuple[float, int, Service]] = {}
        for (view, row), trial in zip(trials, projected, strict=True):
            before = breach_sum(view.projection, row.tank, row.turn)
            gain = price_breach * (before - breach_sum(trial, row.tank, row.turn))
            # What a rotation's plan has left out for its fuel is not proposed again.
            if gain > service_price(day, view.station, row.tank) + fuel(trial) - fuel(view.projection):
                key = (views.index(view), row.tank)
                best[key] = max(best.get(key, (0.0, 0, row)), (gain, -row.turn, row), key=lambda found: found[:2])
        _take(day, views, {key: row for key, (_, _, row) in best.items()})


def _open_rows(view: _View, tank: Tank) -> list[Service]:
    return [] if tank in view.settled else view.openings(tank)


def _take(day: Day, views: Sequence[_View], chosen: Mapping[tuple[int, Tank], Service]) -> None:
    changed = []
    for i, view in enumerate(views):
        for tank in TANKS:
            row = chosen.get((i, tank))
            if row is None:
                view.settled.add(tank)
            else:
                view.proposed.append(row)
                changed.append(view)
    unique = list(dict.fromkeys(changed))
    projected = project_rotations(day, [view.with_proposals() for view in unique])
    for view, projection in zip(unique, projected, strict=True):
        view.projection = projection


def _valued(day: Day, views: Iterable[_View]) -> list[list[Need]]:
    """The needs of each view with their values: one projection without each service, one with a shorter fill."""
    rows = [(view, row) for view in views for row in (*view.mine, *view.proposed)]
    without = project_rotations(day, [view.with_proposals(without=row) for view, row in rows])
    shorter = [_shorter(view, row) for view, row in rows]
    trials = [(view, row, short) for (view, row), short in zip(rows, shorter, strict=True) if short is not None]
    found = project_rotations(day, [view.with_proposals(short, without=row) for view, row, short in trials])
    with_short = {id(row): trial for (_, row, _), trial in zip(trials, found, strict=True)}
    out: dict[int, list[Need]] = {id(view): [] for view in views}
    for (view, row), bare, short in zip(rows, without, shorter, strict=True):
        need = _need(day, view, row, bare, short, with_short.get(id(row)))
        if need is not None:
            out[id(view)].append(need)
    return [sorted(needs, key=lambda need: (need.service.turn, need.service.tank)) for needs in out.values()]


def _need(
    day: Day,
    view: _View,
    row: Service,
    bare: AircraftProjection,
    short: Service | None,
    with_short: AircraftProjection | None,
) -> Need | None:
    window = _window_or_moment(day, view.station, view.rotation, row)
    if window is None:
        return None
    price_breach = day.policy.price_breach.value
    before = breach_sum(bare, row.tank, row.turn)
    least = ASKED if row.id else 0.0

    def way(service: Service, projection: AircraftProjection, name: str) -> Way:
        gain = price_breach * (before - breach_sum(projection, row.tank, row.turn))
        return Way(service.target, _litres(projection, service), max(gain, least), name)

    ways = [way(row, view.projection, "full")]
    if short is not None and with_short is not None:
        ways.append(way(short, with_short, "short"))
        ways[1] = replace(ways[1], value=min(ways[1].value, ways[0].value))
    price = service_price(day, view.station, row.tank)
    return Need(view.rotation, row, tuple(ways), price, window)


def _window_or_moment(day: Day, station: Station, rotation: Rotation, row: Service) -> tuple[float, float] | None:
    """The window of a planned service. Where the turn has no room for it, an empty one: a plan then says why."""
    window = service_window(day, station, rotation, row.turn, row.tank)
    if window is not None:
        return window
    turn = rotation.turns[row.turn]
    moment = turn.start or turn.end
    return None if moment is None else (to_minutes(moment), to_minutes(moment))


def _litres(projection: AircraftProjection, service: Service) -> float:
    return next((litres_to_plan(row) for row in projection.services if row.service is service), 0.0)


def litres_to_plan(result: ServiceResult) -> float:
    """Litres to plan a service with: not exceeded three times in four, and never less than its truck's run shows."""
    return max(result.volume.p75, mean_litres(result))


def _shorter(view: _View, row: Service) -> Service | None:
    """A fill that stops half-way, in whole steps of the gauge; none where it saves no time or would not fill."""
    fit = view.rotation.fit
    if row.tank != "fresh" or row.pinned or row.state == "done":
        return None
    full = _litres(view.projection, row)
    step = fit.fresh_gauge.step_percent
    capacity = fit.fresh_capacity_l.value
    target = step * round((row.target - 50.0 * full / capacity) / step)
    saved = (row.target - target) * capacity / 100.0 / fit.fill_flow_l_per_min.value
    if saved < _SHORT_LEAST_MIN or not 0.0 < target < row.target:
        return None
    return Service(
        id=row.id, aircraft=row.aircraft, turn=row.turn, tank="fresh", target_percent=target, start=row.start
    )
