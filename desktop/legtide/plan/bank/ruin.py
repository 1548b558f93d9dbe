"""Ruin and recreate: the anytime search that a plan is improved with.

One step takes some stops out of the routes and puts every unserved request back where it gains most, in a
randomised order. Steps are accepted by late acceptance (E. K. Burke, Y. Bykov, Eur. J. Oper. Res. 258 (2017)
70-78: better than the score of so many steps ago, from memory), strings of stops are removed round a request as in
J. Christiaens, G. Vanden Berghe, Transp. Sci. 54 (2020) 417-433 (from memory). Everything random comes from one
seeded stream, and no clock is read: the same steps give the same plan.
"""

from __future__ import annotations

import random

from legtide.plan.bank.first import density_of, open_requests, value_of
from legtide.plan.bank.reloads import place_reloads
from legtide.plan.bank.routes import Copy, Routes
from legtide.plan.bank.spots import best_spot
from legtide.plan.bank.ticks import Core

_MEMORY = 60
"""Steps that late acceptance looks back."""
_RESTART = 1500
"""Steps without gain after which the search goes back to the best plan."""
_MOST = 16
"""Most stops that one step takes out."""


class Search:
    """A running search. `best` and `best_score` are the best routes so far."""

    def __init__(self, routes: Routes, seed: int) -> None:
        # Seeded with a name, so that another stream of the same seed draws other numbers.
        self._random = random.Random(f"bank-ruin-{seed}")
        self.routes = routes
        self.score = self.best_score = routes.score()
        self.best: Copy = routes.copy()
        self.iterations = 0
        self._history = [self.score] * _MEMORY
        self._since_gain = 0
        self._near = _neighbours(routes.core)
        core = routes.core
        self._value = [value_of(core, r) for r in range(len(core.requests))]
        self._density = [density_of(core, r) for r in range(len(core.requests))]

    def step(self) -> bool:
        """One ruin and recreate; true when it found a better plan than any before."""
        self.iterations += 1
        routes, before = self.routes, self.routes.copy()
        self._ruin()
        self._recreate()
        score = routes.score()
        slot = self.iterations % _MEMORY
        better = score > self.best_score
        if score >= self.score or score >= self._history[slot]:
            self.score = score
        else:
            routes.restore(before)
        self._history[slot] = self.score
        self._since_gain += 1
        if better:
            self.best_score, self.best, self._since_gain = score, routes.copy(), 0
        elif self._since_gain >= _RESTART:
            routes.restore(self.best)
            self.score, self._since_gain = self.best_score, 0
            self._history = [self.score] * _MEMORY
        return better

    def best_routes(self) -> Routes:
        """The best routes, as a state of their own."""
        routes = Routes(self.routes.core)
        routes.restore(self.best)
        return routes

    def take(self, routes: Routes) -> bool:
        """Goes on from routes that another search has found; true when they are the best so far."""
        score = routes.score()
        if score <= self.best_score:
            return False
        self.best, self.best_score, self._since_gain = routes.copy(), score, 0
        self.routes.restore(self.best)
        self.score = score
        return True

    # ruin -----------------------------------------------------------------------------------------------

    def _ruin(self) -> None:
        routes, rng = self.routes, self._random
        served = [r for r, v in enumerate(routes.vehicle) if v >= 0 and not routes.core.pinned[r]]
        if not served:
            return
        count = rng.randint(1, max(4, min(_MOST, len(served) // 2)))
        way = rng.random()
        if way < 0.45:
            gone = self._strings(count)
        elif way < 0.75:
            gone = self._related(served, count)
        elif way < 0.88:
            gone = self._stretch(served, count)
        else:
            gone = set(rng.sample(served, min(count, len(served))))
        if gone:
            touched = sorted({routes.vehicle[r] for r in gone})
            if routes.remove(gone):
                for v in touched:
                    place_reloads(routes, v)

    def _seed(self) -> int:
        return self._random.randrange(len(self.routes.core.requests))

    def _strings(self, count: int) -> set[int]:
        """Runs of stops on several routes, round one request."""
        routes, rng = self.routes, self._random
        seed = self._seed()
        gone: set[int] = set()
        ruined: set[int] = set()
        for r in [seed, *self._near[seed]]:
            v = routes.vehicle[r]
            if v < 0 or v in ruined or len(gone) >= count:
                continue
            stops = routes.stops[v]
            length = min(len(stops), rng.randint(1, max(1, count // 2)))
            at = stops.index(r)
            begin = rng.randint(max(0, at - length + 1), min(at, len(stops) - length))
            gone.update(x for x in stops[begin : begin + length] if not routes.core.pinned[x])
            ruined.add(v)
        return gone

    def _related(self, served: list[int], count: int) -> set[int]:
        """Stops near one request in time and place, some of the nearest passed over."""
        routes, rng = self.routes, self._random
        seed = self._seed()
        gone: set[int] = set()
        for r in [seed, *self._near[seed]]:
            if routes.vehicle[r] >= 0 and not routes.core.pinned[r] and rng.random() < 0.7:
                gone.add(r)
                if len(gone) >= count:
                    break
        return gone or {served[0]}

    def _stretch(self, served: list[int], count: int) -> set[int]:
        """A run of one route, up to the whole of it."""
        routes, rng = self.routes, self._random
        stops = routes.stops[routes.vehicle[rng.choice(served)]]
        begin = rng.randrange(len(stops))
        return {r for r in stops[begin : begin + count] if not routes.core.pinned[r]}

    # recreate -------------------------------------------------------------------------------------------

    def _recreate(self) -> None:
        routes, rng = self.routes, self._random
        for r in self._order(open_requests(routes)):
            spot = best_spot(routes, r, rng)
            if spot is not None:
                routes.insert(r, spot)

    def _order(self, waiting: list[int]) -> list[int]:
        rng, core = self._random, self.routes.core
        way = rng.random()
        if way < 0.35:
            return sorted(waiting, key=lambda r: -self._value[r] * rng.uniform(0.7, 1.3))
        if way < 0.60:
            return sorted(waiting, key=lambda r: -self._density[r] * rng.uniform(0.7, 1.3))
        if way < 0.75:
            return sorted(waiting, key=lambda r: core.due[r] + rng.uniform(0.0, 40.0))
        if way < 0.85:
            return sorted(waiting, key=lambda r: core.earliest[r] + rng.uniform(0.0, 40.0))
        rng.shuffle(waiting)
        return waiting


def _neighbours(core: Core) -> list[list[int]]:
    """Each request's others, the nearest in time and place first; the aircraft's other service comes first of all."""
    middle = [(a + b) / 2.0 for a, b in zip(core.earliest, core.due, strict=True)]
    numbers = range(len(core.requests))

    def distance(r: int, x: int) -> tuple[float, int]:
        if core.mate[r] == x:
            return (-1.0, x)
        apart = abs(middle[r] - middle[x]) + 2.0 * core.travel[core.location[r]][core.location[x]]
        return (apart if core.requests[r].tank == core.requests[x].tank else 1.3 * apart, x)

    return [sorted((x for x in numbers if x != r), key=lambda x: distance(r, x)) for r in numbers]
