"""Where along a route a truck fills or empties its own tank: the best places for a given order of stops."""

from __future__ import annotations

from dataclasses import dataclass

from legtide.plan.bank.routes import Routes
from legtide.plan.bank.ticks import clear


@dataclass(frozen=True, slots=True)
class _Label:
    """One way to have come so far: the less of each figure the better."""

    end: int
    used: int
    busy: int
    reloads: tuple[int, ...]

    def covers(self, other: _Label) -> bool:
        """Whether it is as good in every respect."""
        return self.end <= other.end and self.used <= other.used and self.busy <= other.busy


def place_reloads(routes: Routes, v: int) -> None:
    """Reloads of one route put anew: least busy time among the ways that keep every rule.

    The other routes stay as they are; a route without reloads is left alone.
    """
    if any(routes.reload[r] for r in routes.stops[v]):
        before = routes.copy()
        if not _place(routes, v):
            routes.restore(before)


def append(routes: Routes, r: int, v: int, option: int) -> bool:
    """Puts a request at the end of a route, the reloads of the whole route put anew for it.

    False, and nothing is changed, when it does not fit there.
    """
    before = routes.copy()
    routes.put(r, v, len(routes.stops[v]), option)
    if _place(routes, v):
        return True
    routes.restore(before)
    return False


def _place(routes: Routes, v: int) -> bool:
    """A dynamic program over the stops with labels (end, tank used, busy). The routes are spoilt where it fails."""
    stops, truck = routes.stops[v], routes.core.trucks[v]
    labels = [_Label(truck.start, truck.used, 0, ())]
    place = truck.place
    for r in stops:
        labels = _kept([new for label in labels for new in _steps(routes, v, r, place, label)])
        place = routes.core.location[r]
    home = truck.home
    if home >= 0:
        labels = [x for x in labels if routes.core.arrive(v, x.end, place, home, False, 0) <= truck.end]
    if not labels:
        return False
    best = min(labels, key=lambda label: (label.busy, label.end, label.used))
    for r, reload in zip(stops, best.reloads, strict=True):
        routes.reload[r] = reload
    return routes.settle([v])


def _steps(routes: Routes, v: int, r: int, place: int, label: _Label) -> list[_Label]:
    """A label carried to the next stop, with and without a reload on the way."""
    core, truck, o = routes.core, routes.core.trucks[v], routes.option[r]
    here, litres, ticks = core.location[r], core.litres[r][o], core.duration[v][r][o]
    lowest, highest = core.earliest[r], core.hard[r]
    other = core.first[r]
    if other >= 0 and routes.vehicle[other] >= 0:
        lowest = max(lowest, routes.end[other] + core.gap)
    other = core.second[r]
    if other >= 0 and routes.vehicle[other] >= 0:
        highest = min(highest, routes.latest[other] - core.gap)
    out = []
    for reload in (False, True):
        if reload and not label.used:
            continue
        used = (0 if reload else label.used) + litres
        if used > truck.capacity:
            continue
        at = max(core.arrive(v, label.end, place, here, reload, label.used), lowest)
        end = clear(truck.breaks, at, ticks) + ticks
        if end <= min(highest, truck.end):
            busy = label.busy + ticks + core.leg_ticks(v, place, here, reload, label.used)
            out.append(_Label(end, used, busy, (*label.reloads, int(reload))))
    return out


def _kept(labels: list[_Label]) -> list[_Label]:
    """The labels that no other one covers."""
    out: list[_Label] = []
    for label in sorted(labels, key=lambda x: (x.end, x.used, x.busy)):
        if not any(other.covers(label) for other in out):
            out.append(label)
    return out
