"""The first complete plan: several quick rules, the best of them taken."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from legtide.plan.bank.answer import BankPlan
from legtide.plan.bank.reloads import append
from legtide.plan.bank.routes import Copy, Routes, Spot
from legtide.plan.bank.spots import best_spot, best_spot_of
from legtide.plan.bank.ticks import Core


def first_routes(core: Core, start: BankPlan | None = None) -> Routes:
    """Routes from the best of the quick rules, or from a plan to start from where that is better."""
    best: tuple[int, Copy] | None = None
    routes = pinned_routes(core)
    empty = routes.copy()
    rules: list[Callable[[Routes], None]] = [by_value, by_density, by_due, by_regret, dispatch]
    if start is not None:
        rules.insert(0, partial(follow, start=start))
    for rule in rules:
        routes.restore(empty)
        rule(routes)
        score = routes.score()
        if best is None or score > best[0]:
            best = (score, routes.copy())
    if best is not None:
        routes.restore(best[1])
    return routes


def pinned_routes(core: Core) -> Routes:
    """Routes that hold the pinned services only. One that cannot be kept beside the others is left out."""
    routes = Routes(core)
    for r in sorted((r for r, pinned in enumerate(core.pinned) if pinned), key=lambda r: (core.earliest[r], r)):
        for v in core.allowed[r]:
            spot = best_spot_of(routes, r, v, any_gain=True)
            if spot is None or not routes.insert(r, spot):
                append(routes, r, v, core.choices[r][0])
    return routes


def open_requests(routes: Routes) -> list[int]:
    """Numbers of the requests that are not served and could be."""
    return [r for r, v in enumerate(routes.vehicle) if v < 0 and routes.core.allowed[r]]


def insert_in_order(routes: Routes, order: list[int]) -> None:
    """Each request in turn to its best place."""
    for r in order:
        spot = best_spot(routes, r)
        if spot is not None:
            routes.insert(r, spot)


def value_of(core: Core, r: int) -> float:
    """Value of a request's best option in price units."""
    return core.requests[r].best_value


def density_of(core: Core, r: int) -> float:
    """Best value of a request per minute at the aircraft, with four minutes for getting there."""
    return max((o.value / (o.connect_min + o.pump_min + 4.0) for o in core.requests[r].options), default=0.0)


def by_value(routes: Routes) -> None:
    """Highest risk first."""
    insert_in_order(routes, sorted(open_requests(routes), key=lambda r: (-value_of(routes.core, r), r)))


def by_density(routes: Routes) -> None:
    """Highest risk per minute first."""
    insert_in_order(routes, sorted(open_requests(routes), key=lambda r: (-density_of(routes.core, r), r)))


def by_due(routes: Routes) -> None:
    """Earliest deadline first, each to its best place."""
    insert_in_order(routes, sorted(open_requests(routes), key=lambda r: (routes.core.due[r], r)))


def dispatch(routes: Routes) -> None:
    """Earliest deadline first, each to the truck that can start it first, at the end of its run."""
    core = routes.core
    for r in sorted(open_requests(routes), key=lambda r: (core.due[r], r)):
        found = [
            (spot.option, _start_at_end(routes, r, spot), v, spot)
            for v in core.allowed[r]
            if (spot := best_spot_of(routes, r, v, append=True)) is not None
        ]
        if found:
            routes.insert(r, min(found, key=lambda row: row[:3])[3])


def _start_at_end(routes: Routes, r: int, spot: Spot) -> int:
    core, stops, truck = routes.core, routes.stops[spot.vehicle], routes.core.trucks[spot.vehicle]
    t, place, used = truck.start, truck.place, truck.used
    if stops:
        t, place, used = routes.end[stops[-1]], core.location[stops[-1]], routes.used[stops[-1]]
    return max(core.earliest[r], core.arrive(spot.vehicle, t, place, core.location[r], spot.reload, used))


def follow(routes: Routes, start: BankPlan) -> None:
    """As in a plan made before, as far as its assignments still hold; then what no longer does; the rest by value."""
    for r, v in hold(routes, start):
        spot = best_spot_of(routes, r, v)
        if spot is not None:
            routes.insert(r, spot)
    by_value(routes)


def hold(routes: Routes, start: BankPlan) -> list[tuple[int, int]]:
    """Puts in what still holds of a plan made before; the request and truck of what does not."""
    core = routes.core
    number = {request.id: r for r, request in enumerate(core.requests)}
    names = {vehicle.id: v for v, vehicle in enumerate(core.problem.vehicles)}
    broken = []
    for row in sorted(start.assignments, key=lambda row: (row.start_min, row.truck, row.request)):
        r, v = number.get(row.request, -1), names.get(row.truck, -1)
        if r < 0 or routes.vehicle[r] >= 0 or v not in core.allowed[r] or row.option not in core.choices[r]:
            continue
        # In its old place a service whose window has moved would hold up all that comes after it.
        late = core.earliest[r] > core.at(row.start_min)
        if late or not _put_last(routes, r, v, row.option, row.reload_before):
            broken.append((r, v))
    return broken


def _put_last(routes: Routes, r: int, v: int, option: int, reload: bool) -> bool:
    """Puts a request at the end of a route. Where the plan does not say where trucks reload, that is looked for."""
    reload = reload and bool(routes.core.points[routes.core.trucks[v].tank])
    as_planned = Spot(0, v, len(routes.stops[v]), option, reload, False)
    return routes.insert(r, as_planned) or append(routes, r, v, option)


def by_regret(routes: Routes) -> None:
    """Always next the request that would lose most if its best truck were taken from it."""
    core = routes.core
    waiting = open_requests(routes)
    spots: dict[int, dict[int, Spot]] = {r: {} for r in waiting}
    stale = list(range(len(core.trucks)))
    while waiting:
        for r in waiting:
            for v in stale:
                if v in core.allowed[r]:
                    spot = best_spot_of(routes, r, v)
                    if spot is None:
                        spots[r].pop(v, None)
                    else:
                        spots[r][v] = spot
        waiting = [r for r in waiting if spots[r]]
        if not waiting:
            return
        r = max(waiting, key=lambda r: (_regret(spots[r]), -r))
        spot = max(spots[r].values(), key=lambda spot: (spot.gain, -spot.vehicle))
        other = routes.core.mate[r]
        if routes.insert(r, spot):
            waiting.remove(r)
        else:
            del spots[r][spot.vehicle]
            stale = []
            continue
        # The aircraft's other service now has another window on every truck.
        stale = [spot.vehicle]
        if other in spots:
            for v in core.allowed[other]:
                fresh = best_spot_of(routes, other, v) if routes.vehicle[other] < 0 else None
                if fresh is None:
                    spots[other].pop(v, None)
                else:
                    spots[other][v] = fresh


def _regret(spots: dict[int, Spot]) -> int:
    gains = sorted((spot.gain for spot in spots.values()), reverse=True)
    return gains[0] if len(gains) == 1 else 2 * gains[0] - gains[1]
