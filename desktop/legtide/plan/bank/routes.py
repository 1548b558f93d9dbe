"""The state of a search: a route per truck, with the times that follow from the routes.

Every stop carries its earliest start and end, and the latest start with which all that comes after it (on its
route, and the aircraft's other service) still holds. So whether a request fits between two stops is answered
without walking the routes; only a change walks those that it touches.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from legtide.plan.bank.ticks import Core, clear, latest_clear

_UNKNOWN = -(1 << 30)
Copy: TypeAlias = tuple[list[list[int]], tuple[list[int], ...], list[int]]


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in the routes where a request fits."""

    gain: int
    """Change of the score."""
    vehicle: int
    position: int
    option: int
    reload: bool
    """The truck reloads before the request."""
    reload_next: bool
    """The truck reloads after it."""


class Routes:
    """Routes of one compiled problem. `vehicle[r]` is -1 for a request that is not served."""

    def __init__(self, core: Core) -> None:
        count = len(core.requests)
        self.core = core
        self.stops: list[list[int]] = [[] for _ in core.trucks]
        self.busy = [0] * len(core.trucks)
        """Ticks in which a truck drives, reloads or serves."""
        self.vehicle = [-1] * count
        self.option = [0] * count
        self.reload = [0] * count
        """Whether the truck reloads before the stop."""
        self.start = [0] * count
        self.end = [_UNKNOWN] * count
        self.latest = [_UNKNOWN] * count
        """Latest start of a stop."""
        self.used = [0] * count
        """Tank used up when leaving the stop, in tenths of a litre."""
        self.tail = [0] * count
        """Tank that later stops use before the next reload."""
        self.reloads_later = [0] * count

    def copy(self) -> Copy:
        """All that a later `restore` needs."""
        lists = (
            self.vehicle, self.option, self.reload, self.start, self.end,
            self.latest, self.used, self.tail, self.reloads_later,
        )  # fmt: skip
        return [stops[:] for stops in self.stops], tuple(numbers[:] for numbers in lists), self.busy[:]

    def restore(self, copy: Copy) -> None:
        """Back to a copy. The copy stays good."""
        stops, lists, busy = copy
        self.stops, self.busy = [row[:] for row in stops], busy[:]
        (
            self.vehicle, self.option, self.reload, self.start, self.end,
            self.latest, self.used, self.tail, self.reloads_later,
        ) = (numbers[:] for numbers in lists)  # fmt: skip

    # changes --------------------------------------------------------------------------------------------

    def insert(self, r: int, spot: Spot) -> bool:
        """Puts a request at a spot. False, and nothing is changed, when the times do not work out."""
        before = self.copy()
        stops = self.stops[spot.vehicle]
        following = stops[spot.position] if spot.position < len(stops) else -1
        self.put(r, spot.vehicle, spot.position, spot.option)
        self.reload[r] = int(spot.reload)
        if following >= 0:
            self.reload[following] = int(spot.reload_next)
        if self.settle([spot.vehicle]):
            return True
        self.restore(before)
        return False

    def put(self, r: int, v: int, position: int, option: int) -> None:
        """Puts a request into a route without a look at the times: `settle` has to follow."""
        self.stops[v].insert(position, r)
        self.vehicle[r], self.option[r], self.reload[r] = v, option, 0
        # Times from an earlier stay must not look as if nothing had moved.
        self.end[r] = self.latest[r] = _UNKNOWN

    def remove(self, requests: set[int]) -> bool:
        """Takes requests out; a reload before one of them stays before the stop that follows.

        False, and nothing is changed, when the rest does not hold without them: beside a break the direct drive
        may fit worse than two short ones.
        """
        before = self.copy()
        touched = sorted({self.vehicle[r] for r in requests})
        for v in touched:
            kept, carry = [], 0
            for r in self.stops[v]:
                if r in requests:
                    carry |= self.reload[r]
                    self.vehicle[r] = -1
                    self.reload[r] = 0
                else:
                    self.reload[r] |= carry
                    carry = 0
                    kept.append(r)
            self.stops[v] = kept
        mates = {self.vehicle[self.core.mate[r]] for r in requests if self.core.mate[r] >= 0}
        if self.settle(sorted({*touched, *mates} - {-1})):
            return True
        self.restore(before)
        return False

    def settle(self, vehicles: list[int]) -> bool:
        """Times of some routes, and of those that they touch, anew. False when a rule cannot hold."""
        core, limit = self.core, 20 * len(self.core.trucks) + 20
        queue, seen = list(vehicles), list(vehicles)
        while queue:
            limit -= 1
            moved = self._forward(queue.pop(0)) if limit else None
            if moved is None:
                return False
            for r in moved:
                other = core.second[r]
                v = self.vehicle[other] if other >= 0 else -1
                if v >= 0 and v not in queue:
                    queue.append(v)
                    if v not in seen:
                        seen.append(v)
        limit += 20 * len(core.trucks) + 20
        while seen:
            limit -= 1
            if not limit:
                return False
            for r in self._backward(seen.pop(0)):
                v = self.vehicle[core.first[r]]
                if v not in seen:
                    seen.append(v)
        return True

    def _forward(self, v: int) -> list[int] | None:
        """Earliest times of a route: the stops that the aircraft's other service waits for and that moved."""
        core = self.core
        truck, travel, duration = core.trucks[v], core.travel, core.duration[v]
        breaks, earliest, hard, location = truck.breaks, core.earliest, core.hard, core.location
        start, end, vehicle, option, used_at = self.start, self.end, self.vehicle, self.option, self.used
        t, place, used, busy, gap = truck.start, truck.place, truck.used, 0, core.gap
        moved = []
        for r in self.stops[v]:
            here = location[r]
            if self.reload[r]:
                busy += core.leg_ticks(v, place, here, True, used)
                t = core.arrive(v, t, place, here, True, used)
                used = 0
            else:
                drive = travel[place][here]
                busy += drive
                t = clear(breaks, t, drive) + drive if breaks else t + drive
            t = max(t, earliest[r])
            other = core.first[r]
            if other >= 0 and vehicle[other] >= 0:
                t = max(t, end[other] + gap)
            o = option[r]
            ticks = duration[r][o]
            if breaks:
                t = clear(breaks, t, ticks)
            start[r] = t
            t += ticks
            used += core.litres[r][o]
            if t > hard[r] or used > truck.capacity:
                return None
            if end[r] != t:
                end[r] = t
                if core.second[r] >= 0:
                    moved.append(r)
            busy += ticks
            used_at[r] = used
            place = here
        if self.stops[v] and truck.home >= 0:
            busy += travel[place][truck.home]
            t = core.arrive(v, t, place, truck.home, False, 0)
        if t > truck.end and self.stops[v]:
            return None
        self.busy[v] = busy
        return moved

    def _backward(self, v: int) -> list[int]:
        """Latest starts of a route: the stops whose latest start moved and that wait for another service."""
        core = self.core
        truck, travel, location, duration = core.trucks[v], core.travel, core.location, core.duration[v]
        latest, vehicle, breaks = self.latest, self.vehicle, truck.breaks
        changed, following = [], -1
        for r in reversed(self.stops[v]):
            if following < 0:
                by = truck.end if truck.home < 0 else core.leave(v, truck.end, location[r], truck.home, False, 0)
                self.tail[r] = self.reloads_later[r] = 0
            elif self.reload[following]:
                by = core.leave(v, latest[following], location[r], location[following], True, self.used[r])
                self.tail[r], self.reloads_later[r] = 0, 1
            else:
                if breaks:
                    by = core.leave(v, latest[following], location[r], location[following], False, 0)
                else:
                    by = latest[following] - travel[location[r]][location[following]]
                self.tail[r] = self.tail[following] + core.litres[following][self.option[following]]
                self.reloads_later[r] = self.reloads_later[following]
            by = min(by, core.hard[r])
            other = core.second[r]
            if other >= 0 and vehicle[other] >= 0:
                by = min(by, latest[other] - core.gap)
            ticks = duration[r][self.option[r]]
            by -= ticks
            if breaks:
                by = latest_clear(breaks, by, ticks)
            if latest[r] != by:
                latest[r] = by
                if core.first[r] >= 0 and vehicle[core.first[r]] >= 0:
                    changed.append(r)
            following = r
        return changed

    # worth ----------------------------------------------------------------------------------------------

    def score(self) -> int:
        """What the search makes as large as it can."""
        core = self.core
        total = -core.tick_weight * sum(self.busy)
        for r, v in enumerate(self.vehicle):
            if v >= 0:
                total += core.gain[r][self.option[r]]
        if core.delay_weight:
            total -= core.delay_weight * self.delay_ticks()
        if core.has_reference:
            total += sum(
                self.change_worth(r, v, self.option[r], self.start[r], self.latest[r])
                for r, v in enumerate(self.vehicle)
                if v >= 0
            )
        return total

    def delay_ticks(self) -> int:
        """Ticks of departure delay, each aircraft's longest."""
        core, total = self.core, 0
        for r, v in enumerate(self.vehicle):
            late = self._late(r) if v >= 0 else 0
            if late > 0:
                other = core.mate[r]
                served = other >= 0 and self.vehicle[other] >= 0
                rival = self._late(other) if served else 0
                if rival < late or (rival == late and r < other):
                    total += late
        return total

    def _late(self, r: int) -> int:
        return max(0, self.end[r] - self.core.due[r])

    def change_worth(self, r: int, v: int, o: int, start: int, latest: int) -> int:
        """Bonus of a request that stays as it was, less what a change costs: another truck or time, or a new request.

        A stop can be held at its old start when that lies between its earliest and its latest start.
        """
        core = self.core
        if core.pinned[r]:
            return 0
        if core.reference_truck[r] != v:
            return -core.keep_weight
        was = core.reference_start[r]
        moved = max(start - was, was - latest) - core.tolerance
        if moved > 0:
            return -core.move_weight * moved
        return core.keep_weight if core.reference_option[r] == o else 0

    def timed_worth(self, r: int, v: int, o: int, start: int, end: int) -> int:
        """What the time of a new stop changes in the score, all other stops left where they are."""
        core, worth = self.core, 0
        if core.delay_weight:
            other = core.mate[r]
            borne = self._late(other) if other >= 0 and self.vehicle[other] >= 0 else 0
            worth -= core.delay_weight * max(0, end - core.due[r] - borne)
        if core.has_reference:
            worth += self.change_worth(r, v, o, start, max(start, core.reference_start[r]))
        return worth
