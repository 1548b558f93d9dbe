"""No plan can be worth more than this: a Lagrangian bound.

Left out of account are tanks, breaks, the two services of one aircraft and that a pin must be served; "each
request at most once" is priced instead of kept: a price per request is paid once, and every truck takes its best
path through (request, time) with what is left of the values. Any prices give a valid bound; a subgradient
search makes them better step by step (M. Held, P. Wolfe, H. P. Crowder, Math. Program. 6 (1974) 62-88, from memory).

The best path of a truck is a dynamic program over time in NumPy, in which a request is not taken again straight after
one other (labels with the best and the next best predecessor). Time runs in coarse steps, each duration
rounded so that no real plan is cut off.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from legtide.plan.bank.answer import gap_of
from legtide.plan.bank.problem import Problem
from legtide.plan.bank.ticks import TICK_MIN, Core

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]

_NO = -1e15
_COARSE = 2
"""Ticks in one step of time; more where the bank lasts for days (`_coarse`)."""
_FIRST_STEP, _LEAST_STEP, _PATIENCE = 1.2, 0.02, 6


@dataclass(frozen=True, slots=True)
class _Fleet:
    """Vehicles of one kind that start alike: one dynamic program serves them all."""

    vehicles: tuple[int, ...]
    rows: Ints
    """(n,) request numbers of the kind."""
    slot_row: Ints
    """(s,) row of each slot; a slot is one option of one request."""
    slot_rank: Ints
    """(s,) place of the slot among those of its row."""
    slot_of: Ints
    """(n, ranks) slot of a row's rank."""
    reward: Floats
    """(s,) worth of the slot by itself."""
    lag: Ints
    """(n, s) steps from the end of a row's service to the end of the slot's."""
    first: Ints
    """(s,) earliest end when the slot comes first."""
    low: Ints
    high: Ints
    """(s,) steps between which the slot can end."""
    due: Ints
    drive_cost: Floats
    """(n, s) price of the drive; prohibitive from a row to itself."""
    first_cost: Floats
    last_step: Ints
    """(vehicles, n) latest end of a row as the last service; below zero where it cannot be."""
    home_cost: Floats
    """(vehicles, n)"""


_BEFORE_BITS, _RANK_BITS, _END_BITS = 12, 4, 13
_CODE_BITS = _BEFORE_BITS + _RANK_BITS + _END_BITS
_BEFORE_MASK, _RANK_MASK, _END_MASK = (1 << _BEFORE_BITS) - 1, (1 << _RANK_BITS) - 1, (1 << _END_BITS) - 1
_QUANTUM = 0.01
_NONE = -(1 << 61)
"""Key of a label that does not exist."""


@dataclass(frozen=True, slots=True)
class _Labels:
    """Best and next best (of another predecessor) path that has ended a row by a step, (n, steps) each.

    A label is one integer, so that the better of two is the larger one: its worth in hundredths, then the row served
    before (0 for the start, else one more than the row), the rank of the slot, the step at which the slot ends.
    """

    best: Ints
    other: Ints


def _before(keys: Ints) -> Ints:
    return (keys >> (_CODE_BITS - _BEFORE_BITS)) & _BEFORE_MASK


class Bounding:
    """A running bound: `bound` is the best so far, `step` makes it better at times."""

    def __init__(self, core: Core, worth: float) -> None:
        """`worth` is that of a plan known to be possible: it steers the length of the steps only."""
        self._core = core
        self._fixed = _worth_of_facts(core)
        rows = [r for r in range(len(core.requests)) if core.allowed[r]]
        self._top = {r: max(_slot_worth(core, r, o) for o in core.choices[r]) for r in rows}
        self.bound = self._fixed + sum(max(0.0, top) for top in self._top.values())
        self._coarse = _coarse(core)
        self._fleets = (
            [fleet for tank in (0, 1) for fleet in _fleets(core, tank, self._coarse)] if _held(core) else []
        )
        self._price = np.zeros(len(core.requests))
        for r, top in self._top.items():
            self._price[r] = 0.9 * max(0.0, top)
        self._best_price = self._price.copy()
        self._length, self._without_gain, self._best = _FIRST_STEP, 0, np.inf
        self.steps = 0
        self.done = not self._fleets or self.bound <= worth + 1e-6

    def lower(self, bound: float, worth: float) -> None:
        """Takes a bound that another solver has proven for what is not decided yet."""
        self.bound = min(self.bound, self._fixed + bound)
        self.done = self.done or gap_of(worth, self.bound) == 0.0

    def step(self, worth: float) -> None:
        """One step of the prices; nothing once the bound is met or no longer moves."""
        if self.done:
            return
        self.steps += 1
        value, taken = self._relaxed()
        if value < self._best - 1e-9:
            self._best, self._best_price, self._without_gain = value, self._price.copy(), 0
            self.bound = min(self.bound, value)
        else:
            self._without_gain += 1
            if self._without_gain >= _PATIENCE:
                self._length, self._without_gain = self._length / 2.0, 0
                self._price = self._best_price.copy()
        slack = 1.0 - taken
        slack[(self._price <= 0.0) & (slack > 0.0)] = 0.0
        norm = float(slack @ slack)
        self.done = self.bound <= worth + 1e-6 or self._length < _LEAST_STEP or norm == 0.0
        if not self.done:
            move = self._length * max(value - worth, 0.01 * abs(worth) + 0.01) / norm
            self._price = np.maximum(0.0, self._price - move * slack)

    def _relaxed(self) -> tuple[float, Floats]:
        """Value of the relaxation at the present prices, and how often each request is taken."""
        rows = sorted(self._top)
        taken = np.zeros(len(self._price))
        taken[[r for r in range(len(self._price)) if r not in self._top]] = 1.0
        value = self._fixed + float(self._price[rows].sum())
        for fleet in self._fleets:
            labels = _labels(fleet, self._price, self._delay_price())
            for i in range(len(fleet.vehicles)):
                gain, path = _best_path(fleet, labels, i)
                value += gain
                for row in path:
                    taken[fleet.rows[row]] += 1.0
        return value, taken

    def _delay_price(self) -> float:
        # An aircraft pays for the longer delay of its two services: at least half of both together.
        per_min = self._core.problem.weights.delay_per_min or 0.0
        return 0.5 * per_min * TICK_MIN * self._coarse


def _held(core: Core) -> bool:
    """Whether a label has room for every request and option; if not, the sum of all values stays the bound."""
    options = max((len(choices) for choices in core.choices), default=0)
    return len(core.requests) < _BEFORE_MASK and options <= _RANK_MASK + 1


def _coarse(core: Core) -> int:
    """Ticks in one step of time: as few as a label has room for."""
    return max(_COARSE, -(-max(core.hard, default=0) // _END_MASK))


def bound_of(problem: Problem, worth: float, steps: int = 40) -> float:
    """A bound on the worth of any plan of a problem, where one of some worth is known."""
    bounding = Bounding(Core(problem), worth)
    for _ in range(steps):
        bounding.step(worth)
    return bounding.bound


def _worth_of_facts(core: Core) -> float:
    weights, total = core.problem.weights, 0.0
    for fact in core.facts:
        if fact.pin is not None:
            option = fact.options[fact.pin.option]
            total += option.value
            if weights.ranking == "priced":
                minutes = core.problem.vehicle(fact.pin.truck).service_min(option)
                total -= option.cost + weights.truck_per_min * minutes
    return total


def _slot_worth(core: Core, r: int, o: int, vehicles: list[int] | None = None) -> float:
    """Worth of one option by itself, at best."""
    weights, option = core.problem.weights, core.requests[r].options[o]
    if weights.ranking == "strict":
        return option.value
    minutes = min(core.problem.vehicles[v].service_min(option) for v in vehicles or core.allowed[r])
    return option.value - option.cost - weights.truck_per_min * minutes


def _fleets(core: Core, tank: int, coarse: int) -> list[_Fleet]:
    rows = [r for r in range(len(core.requests)) if core.allowed[r] and core.trucks[core.allowed[r][0]].tank == tank]
    groups: dict[object, list[int]] = {}
    for v, truck in enumerate(core.trucks):
        if truck.tank == tank and truck.end > truck.start:
            vehicle = core.problem.vehicles[v]
            key = (truck.start, truck.place, vehicle.flow_l_per_min, vehicle.setup_min)
            groups.setdefault(key, []).append(v)
    return [_fleet(core, rows, vehicles, coarse) for vehicles in groups.values()] if rows else []


def _fleet(core: Core, rows: list[int], vehicles: list[int], coarse: int) -> _Fleet:
    lead = vehicles[0]
    truck = core.trucks[lead]
    slots = [
        (i, rank, r, o)
        for i, r in enumerate(rows)
        for rank, o in enumerate(core.choices[r])
        if core.earliest[r] + core.duration[lead][r][o] <= core.hard[r]
    ]
    where = np.array([core.location[r] for r in rows])
    travel = np.array(core.travel, dtype=np.int64)
    price = core.problem.weights.truck_per_min if core.problem.weights.ranking == "priced" else 0.0
    minutes = np.array(core.problem.travel_min) * price
    slot_row = np.array([slot[0] for slot in slots], dtype=np.int64)
    ticks = np.array([core.duration[lead][r][o] for _, _, r, o in slots], dtype=np.int64)
    there = where[slot_row] if slots else np.zeros(0, dtype=np.int64)
    early = np.array([core.earliest[r] for _, _, r, _ in slots], dtype=np.int64)
    drive_cost = minutes[np.ix_(where, there)]
    drive_cost[slot_row, np.arange(len(slots))] = -_NO
    slot_of = np.zeros((len(rows), 1 + max((slot[1] for slot in slots), default=0)), dtype=np.int64)
    for number, (row, rank, _, _) in enumerate(slots):
        slot_of[row, rank] = number
    last, home_cost = [], []
    for v in vehicles:
        home = core.trucks[v].home
        back = travel[where, home] if home >= 0 else np.zeros(len(rows), dtype=np.int64)
        last.append((core.trucks[v].end - back) // coarse)
        home_cost.append(minutes[where, home] if home >= 0 else np.zeros(len(rows)))
    return _Fleet(
        tuple(vehicles),
        np.array(rows),
        slot_row,
        np.array([slot[1] for slot in slots], dtype=np.int64),
        slot_of,
        np.array([_slot_worth(core, r, o, vehicles) for _, _, r, o in slots]),
        np.maximum(1, (travel[np.ix_(where, there)] + ticks) // coarse),
        (truck.start + travel[truck.place, there] + ticks) // coarse,
        (early + ticks) // coarse,
        np.array([core.hard[r] // coarse for _, _, r, _ in slots], dtype=np.int64),
        np.array([-(-core.due[r] // coarse) for _, _, r, _ in slots], dtype=np.int64),
        drive_cost,
        minutes[truck.place, there],
        np.array(last),
        np.array(home_cost),
    )


def _labels(fleet: _Fleet, price: Floats, delay_price: float) -> _Labels:
    """All labels of one fleet: block by block of steps, each no longer than the shortest lag."""
    count, slots = len(fleet.rows), len(fleet.slot_row)
    horizon = int(fleet.high.max(initial=0)) + 2
    labels = _Labels(np.full((count, horizon), _NONE), np.full((count, horizon), _NONE))
    if not slots:
        return labels
    reward = fleet.reward - price[fleet.rows[fleet.slot_row]]
    block = max(1, int(fleet.lag[fleet.drive_cost < -_NO / 2].min(initial=horizon)))
    t = max(1, int(fleet.low.min()))
    while t < horizon:
        steps = np.arange(t, min(t + block, horizon))
        active = np.nonzero((fleet.low <= steps[-1]) & (fleet.high >= t))[0]
        for table in (labels.best, labels.other):
            table[:, steps] = table[:, t - 1][:, None]
        if len(active):
            _block(fleet, labels, reward, delay_price, steps, active)
        t = int(steps[-1]) + 1
    return labels


def _block(fleet: _Fleet, labels: _Labels, reward: Floats, delay_price: float, steps: Ints, active: Ints) -> None:
    """Labels of all slots that can end in a block of steps: nothing in it depends on another step of it."""
    count, row = len(fleet.rows), fleet.slot_row[active]
    tau = np.maximum(steps - fleet.lag[:, active][:, :, None], 0)
    rows = np.arange(count)[:, None, None]
    keys = labels.best[rows, tau]
    keys = np.where(_before(keys) == row[:, None] + 1, labels.other[rows, tau], keys)
    value = (keys >> _CODE_BITS) * _QUANTUM - fleet.drive_cost[:, active][:, :, None]
    straight = np.where(steps >= fleet.first[active][:, None], -fleet.first_cost[active][:, None], _NO)
    value = np.concatenate([straight[None], value])
    late = np.maximum(0, steps - fleet.due[active][:, None]) * delay_price
    inside = (steps >= fleet.low[active][:, None]) & (steps <= fleet.high[active][:, None])
    gain = np.where(inside, reward[active][:, None] - late, _NO)
    code = (fleet.slot_rank[active][:, None] << _END_BITS) | steps
    found = []
    for _ in range(2):
        best = value.argmax(axis=0)
        worth = np.take_along_axis(value, best[None], 0)[0] + gain
        # Rounded up: a bound may be too large, never too small.
        whole = np.ceil(np.maximum(worth, _NO) / _QUANTUM - 1e-6).astype(np.int64)
        keys = (whole << _CODE_BITS) | (best << (_CODE_BITS - _BEFORE_BITS)) | code
        found.append(np.where(worth > _NO / 2, keys, _NONE))
        np.put_along_axis(value, best[None], 2 * _NO, 0)
    _merge(labels, steps, row, fleet.slot_rank[active], found[0], found[1])


def _merge(labels: _Labels, steps: Ints, row: Ints, rank: Ints, best: Ints, other: Ints) -> None:
    """Takes a block's new labels in: at each step the two best, of different predecessors, of all until then."""
    touched, place = np.unique(row, return_inverse=True)
    ranks, length = int(rank.max()) + 1, len(steps)
    shape = (len(touched), ranks, length)
    new_best, new_other = np.full(shape, _NONE), np.full(shape, _NONE)
    new_best[place, rank], new_other[place, rank] = best, other
    old = (labels.best[touched, steps[0]], labels.other[touched, steps[0]])
    # One list of candidates per row: what stood before the block, then rank by rank the steps of the block.
    firsts = np.concatenate([old[0][:, None], new_best.reshape(len(touched), -1)], axis=1)
    seconds = np.concatenate([old[1][:, None], new_other.reshape(len(touched), -1)], axis=1)
    since = np.concatenate([[-1], np.tile(np.arange(length), ranks)])
    known = since[None, :] <= np.arange(length)[:, None]
    upto = np.where(known, firsts[:, None, :], _NONE)
    top = upto.max(axis=2)
    same = _before(firsts)[:, None, :] == _before(top)[:, :, None]
    rest = np.where(same, np.where(known, seconds[:, None, :], _NONE), upto)
    labels.best[touched[:, None], steps] = top
    labels.other[touched[:, None], steps] = rest.max(axis=2)


def _best_path(fleet: _Fleet, labels: _Labels, i: int) -> tuple[float, list[int]]:
    """Best path of one vehicle of a fleet: its worth (0 for staying idle) and the rows in reverse order."""
    last = np.minimum(fleet.last_step[i], labels.best.shape[1] - 1)
    keys = labels.best[np.arange(len(last)), np.maximum(last, 0)]
    worth = np.where((last > 0) & (keys > _NONE), (keys >> _CODE_BITS) * _QUANTUM - fleet.home_cost[i], _NO)
    row = int(worth.argmax())
    if worth[row] <= 0.0:
        return 0.0, []
    gain, path, key = float(worth[row]), [row], int(keys[row])
    while before := (key >> (_CODE_BITS - _BEFORE_BITS)) & _BEFORE_MASK:
        slot = fleet.slot_of[row, (key >> _END_BITS) & _RANK_MASK]
        t = (key & _END_MASK) - int(fleet.lag[before - 1, slot])
        key = int(labels.best[before - 1, t])
        if (key >> (_CODE_BITS - _BEFORE_BITS)) & _BEFORE_MASK == row + 1:
            key = int(labels.other[before - 1, t])
        row = before - 1
        path.append(row)
    return gain, path
