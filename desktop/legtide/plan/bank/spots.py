"""Where a request fits into the routes, and at what gain: the inner loop of every search here."""

from __future__ import annotations

import random
from collections.abc import Iterable

from legtide.plan.bank.routes import Routes, Spot
from legtide.plan.bank.ticks import clear

_PLAIN, _BEFORE, _AFTER = (False, False), (True, False), (False, True)
_BLINK = 0.01
"""Share of the spots that a randomised search passes over, so that the same ruin is not always mended alike."""


def best_spot(routes: Routes, r: int, rng: random.Random | None = None) -> Spot | None:
    """The best place for a request on any truck, if there is one that gains."""
    best: Spot | None = None
    idle: set[int] = set()
    for v in routes.core.allowed[r]:
        if not routes.stops[v]:
            if routes.core.twin[v] in idle:
                continue
            idle.add(routes.core.twin[v])
        spot = best_spot_of(routes, r, v, rng)
        if spot is not None and (best is None or spot.gain > best.gain):
            best = spot
    return best


def best_spot_of(
    routes: Routes, r: int, v: int, rng: random.Random | None = None, *, any_gain: bool = False, append: bool = False
) -> Spot | None:
    """The best place for a request on one truck, if there is one that gains (`any_gain`: or loses).

    `append` tries the end of the route only. A spot keeps every rule as far as the latest starts of the routes
    tell; a reload further on that grows longer may still break one, which `Routes.insert` then finds.
    """
    core = routes.core
    truck, travel, location = core.trucks[v], core.travel, core.location
    end, latest, used = routes.end, routes.latest, routes.used
    breaks, here, stops = truck.breaks, location[r], routes.stops[v]
    lowest, highest = core.earliest[r], core.hard[r]
    other = core.first[r]
    if other >= 0 and routes.vehicle[other] >= 0:
        lowest = max(lowest, end[other] + core.gap)
    other = core.second[r]
    if other >= 0 and routes.vehicle[other] >= 0:
        highest = min(highest, latest[other] - core.gap)
    pinned = core.pinned[r]
    can_reload = bool(core.points[truck.tank])
    last = len(stops)
    best: Spot | None = None
    least = None if any_gain or pinned else 0
    for o in core.choices[r]:
        ticks, litres = core.duration[v][r][o], core.litres[r][o]
        if lowest + ticks > highest or litres > truck.capacity:
            continue
        worth = core.gain[r][o] - core.tick_weight * ticks
        for position in range(last if append else 0, last + 1):
            if position:
                before = stops[position - 1]
                t, place, tank = end[before], location[before], used[before]
            else:
                t, place, tank = truck.start, truck.place, truck.used
            if t + ticks > highest:
                break
            following = stops[position] if position < last else -1
            if following >= 0 and latest[following] < lowest + ticks:
                continue
            # No way of reloading and no break makes it earlier than this: most positions fall here.
            done = max(t + travel[place][here], lowest) + ticks
            if done > highest or (following >= 0 and done + travel[here][location[following]] > latest[following]):
                continue
            if rng is not None and rng.random() < _BLINK:
                continue
            for reload, reload_next in _ways(routes, v, following, tank, litres, can_reload):
                if breaks or reload:
                    at = core.arrive(v, t, place, here, reload, tank)
                else:
                    at = t + travel[place][here]
                at = max(at, lowest)
                if breaks:
                    at = clear(breaks, at, ticks)
                done = at + ticks
                if done > highest:
                    continue
                leaving = litres + (0 if reload else tank)
                if not _goes_on(routes, v, following, done, here, litres, leaving, reload_next):
                    continue
                extra = core.leg_ticks(v, place, here, reload, tank)
                extra += _onward(routes, v, here, following, reload_next, leaving)
                extra -= _onward(
                    routes, v, place, following, following >= 0 and routes.reload[following] > 0, tank, last
                )
                gain = worth - core.tick_weight * extra
                if core.timed:
                    gain += routes.timed_worth(r, v, o, at, done)
                if least is None or gain > least:
                    least = gain
                    best = Spot(gain, v, position, o, reload, reload_next)
    return best


def _ways(
    routes: Routes, v: int, following: int, tank: int, litres: int, can_reload: bool
) -> Iterable[tuple[bool, bool]]:
    """The ways of reloading around a new stop that the tank allows: (before it, after it)."""
    core = routes.core
    capacity = core.trucks[v].capacity
    if following >= 0 and routes.reload[following]:
        # The reload that is there comes after the new stop, or before it.
        if tank + litres <= capacity:
            yield _AFTER
        if litres + _load(routes, following) <= capacity:
            yield _BEFORE
        return
    behind = _load(routes, following) if following >= 0 else 0
    if tank + litres + behind <= capacity:
        yield _PLAIN
        return
    if not can_reload:
        return
    if tank and litres + behind <= capacity:
        yield _BEFORE
    if following >= 0 and tank + litres <= capacity:
        yield _AFTER


def _load(routes: Routes, r: int) -> int:
    """Tank that a stop and those after it use before the next reload."""
    return routes.core.litres[r][routes.option[r]] + routes.tail[r]


def _goes_on(
    routes: Routes, v: int, following: int, done: int, here: int, litres: int, tank: int, reload: bool
) -> bool:
    """Whether the route can go on after a new stop that is done at a moment."""
    core, truck = routes.core, routes.core.trucks[v]
    if following < 0:
        return done <= truck.end and (truck.home < 0 or core.arrive(v, done, here, truck.home, False, 0) <= truck.end)
    there = core.location[following]
    if not (reload or truck.breaks):
        at = done + core.travel[here][there]
        if routes.reloads_later[following] and at <= routes.latest[following]:
            # The reload further on takes longer by what the new stop uses.
            at += max(point.ticks(litres) - point.handling for point in core.points[truck.tank])
    else:
        at = core.arrive(v, done, here, there, reload, tank)
    return at <= routes.latest[following]


def _onward(routes: Routes, v: int, place: int, following: int, reload: bool, tank: int, stops: int = 1) -> int:
    """Busy ticks from a place to the stop that follows, or home; none for a truck that has not left."""
    core = routes.core
    if following >= 0:
        return core.leg_ticks(v, place, core.location[following], reload, tank)
    home = core.trucks[v].home
    return core.travel[place][home] if home >= 0 and stops else 0
