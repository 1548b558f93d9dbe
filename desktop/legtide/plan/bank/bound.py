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

from legtide.plan.bank.ticks import TICK_MIN, Core

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]

_NO = -1e15
_COARSE = 4
"""Ticks in one step of time."""
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


@dataclass(slots=True)
class _Labels:
    """Best and next best (of another predecessor) value of a path that has ended row r by step t."""

    value: Floats
    before: Ints
    """Row served before, -1 for the start."""
    slot: Ints
    end: Ints
    value2: Floats
    before2: Ints
    slot2: Ints
    end2: Ints


class Bounding:
    """A running bound: `bound` is the best so far, `step` makes it better at times."""

    def __init__(self, core: Core, worth: float) -> None:
        """`worth` is that of a plan known to be possible: it steers the length of the steps only."""
        self._core = core
        self._fixed = _worth_of_facts(core)
        rows = [r for r in range(len(core.requests)) if core.allowed[r]]
        self._top = {r: max(_slot_worth(core, r, o) for o in core.choices[r]) for r in rows}
        self.bound = self._fixed + sum(max(0.0, top) for top in self._top.values())
        self._fleets = [fleet for tank in (0, 1) for fleet in _fleets(core, tank)]
        self._price = np.zeros(len(core.requests))
        for r, top in self._top.items():
            self._price[r] = 0.5 * max(0.0, top)
        self._best_price = self._price.copy()
        self._length, self._without_gain, self._best = _FIRST_STEP, 0, np.inf
        self.steps = 0
        self.done = not self._fleets or self.bound <= worth + 1e-6

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
        return 0.5 * per_min * TICK_MIN * _COARSE


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


def _fleets(core: Core, tank: int) -> list[_Fleet]:
    rows = [r for r in range(len(core.requests)) if core.allowed[r] and core.trucks[core.allowed[r][0]].tank == tank]
    groups: dict[object, list[int]] = {}
    for v, truck in enumerate(core.trucks):
        if truck.tank == tank and truck.end > truck.start:
            vehicle = core.problem.vehicles[v]
            key = (truck.start, truck.place, vehicle.flow_l_per_min, vehicle.setup_min)
            groups.setdefault(key, []).append(v)
    return [_fleet(core, rows, vehicles) for vehicles in groups.values()] if rows else []


def _fleet(core: Core, rows: list[int], vehicles: list[int]) -> _Fleet:
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
    last, home_cost = [], []
    for v in vehicles:
        home = core.trucks[v].home
        back = travel[where, home] if home >= 0 else np.zeros(len(rows), dtype=np.int64)
        last.append((core.trucks[v].end - back) // _COARSE)
        home_cost.append(minutes[where, home] if home >= 0 else np.zeros(len(rows)))
    return _Fleet(
        tuple(vehicles),
        np.array(rows),
        slot_row,
        np.array([slot[1] for slot in slots], dtype=np.int64),
        np.array([_slot_worth(core, r, o, vehicles) for _, _, r, o in slots]),
        np.maximum(1, (travel[np.ix_(where, there)] + ticks) // _COARSE),
        (truck.start + travel[truck.place, there] + ticks) // _COARSE,
        (early + ticks) // _COARSE,
        np.array([core.hard[r] // _COARSE for _, _, r, _ in slots], dtype=np.int64),
        np.array([-(-core.due[r] // _COARSE) for _, _, r, _ in slots], dtype=np.int64),
        drive_cost,
        minutes[truck.place, there],
        np.array(last),
        np.array(home_cost),
    )


def _labels(fleet: _Fleet, price: Floats, delay_price: float) -> _Labels:
    """All labels of one fleet: block by block of steps, each no longer than the shortest lag."""
    count, slots = len(fleet.rows), len(fleet.slot_row)
    horizon = int(fleet.high.max(initial=0)) + 2
    shape = (count, horizon)
    labels = _Labels(
        np.full(shape, _NO), np.full(shape, -2), np.zeros(shape, np.int64), np.zeros(shape, np.int64),
        np.full(shape, _NO), np.full(shape, -2), np.zeros(shape, np.int64), np.zeros(shape, np.int64),
    )  # fmt: skip
    if not slots:
        return labels
    reward = fleet.reward - price[fleet.rows[fleet.slot_row]]
    off_diagonal = fleet.drive_cost < -_NO / 2
    block = max(1, int(fleet.lag[off_diagonal].min(initial=horizon)))
    low = np.maximum(fleet.low, 1)
    t = int(low.min())
    while t < horizon:
        steps = np.arange(t, min(t + block, horizon))
        active = np.nonzero((low <= steps[-1]) & (fleet.high >= t))[0]
        if len(active):
            _block(fleet, labels, reward, delay_price, steps, active)
        else:
            _carry(labels, steps)
        t = int(steps[-1]) + 1
    return labels


def _carry(labels: _Labels, steps: Ints) -> None:
    for table in (
        labels.value, labels.before, labels.slot, labels.end,
        labels.value2, labels.before2, labels.slot2, labels.end2,
    ):  # fmt: skip
        table[:, steps] = table[:, steps[0] - 1][:, None]


def _block(fleet: _Fleet, labels: _Labels, reward: Floats, delay_price: float, steps: Ints, active: Ints) -> None:
    count = len(fleet.rows)
    tau = steps[None, None, :] - fleet.lag[:, active][:, :, None]
    known = tau > 0
    tau = np.where(known, tau, 0)
    rows = np.arange(count)[:, None, None]
    again = labels.before[rows, tau] == fleet.slot_row[active][None, :, None]
    value = np.where(again, labels.value2[rows, tau], labels.value[rows, tau])
    value = np.where(known, value - fleet.drive_cost[:, active][:, :, None], _NO)
    from_start = np.where(steps[None, :] >= fleet.first[active][:, None], -fleet.first_cost[active][:, None], _NO)
    value = np.concatenate([value, from_start[None]])
    late = np.maximum(0, steps[None, :] - fleet.due[active][:, None]) * delay_price
    inside = (steps[None, :] >= fleet.low[active][:, None]) & (steps[None, :] <= fleet.high[active][:, None])
    gain = np.where(inside, reward[active][:, None] - late, _NO)
    best = value.argmax(axis=0)
    top = np.take_along_axis(value, best[None], 0)[0] + gain
    np.put_along_axis(value, best[None], _NO, 0)
    second = value.argmax(axis=0)
    next_top = np.take_along_axis(value, second[None], 0)[0] + gain
    best[best == count], second[second == count] = -1, -1
    ranks = fleet.slot_rank[active]
    groups = [np.nonzero(ranks == rank)[0] for rank in np.unique(ranks)]
    for k, t in enumerate(steps):
        _carry(labels, steps[k : k + 1])
        for group in groups:
            _merge(labels, int(t), fleet.slot_row[active[group]], active[group], top[group, k], best[group, k])
            _merge(labels, int(t), fleet.slot_row[active[group]], active[group], next_top[group, k], second[group, k])


def _merge(labels: _Labels, t: int, rows: Ints, slots: Ints, value: Floats, before: Ints) -> None:
    """Takes new labels of some rows, each row at most once, into the column of a step."""
    old = labels.value[rows, t]
    wins = value > old
    if wins.any():
        # What was best stays as next best where it comes from another predecessor.
        shift = wins & (labels.before[rows, t] != before)
        r = rows[shift]
        labels.value2[r, t], labels.before2[r, t] = labels.value[r, t], labels.before[r, t]
        labels.slot2[r, t], labels.end2[r, t] = labels.slot[r, t], labels.end[r, t]
        r = rows[wins]
        labels.value[r, t], labels.before[r, t], labels.slot[r, t] = value[wins], before[wins], slots[wins]
        labels.end[r, t] = t
    nexts = ~wins & (labels.before[rows, t] != before) & (value > labels.value2[rows, t])
    if nexts.any():
        r = rows[nexts]
        labels.value2[r, t], labels.before2[r, t], labels.slot2[r, t] = value[nexts], before[nexts], slots[nexts]
        labels.end2[r, t] = t


def _best_path(fleet: _Fleet, labels: _Labels, i: int) -> tuple[float, list[int]]:
    """Best path of one vehicle of a fleet: its worth (0 for staying idle) and the rows in reverse order."""
    horizon = labels.value.shape[1]
    last = np.minimum(fleet.last_step[i], horizon - 1)
    worth = np.where(last > 0, labels.value[np.arange(len(last)), np.maximum(last, 0)] - fleet.home_cost[i], _NO)
    row = int(worth.argmax())
    if worth[row] <= 0.0:
        return 0.0, []
    path, t, banned = [], int(last[row]), -2
    gain = float(worth[row])
    while True:
        path.append(row)
        if labels.before[row, t] == banned:
            before, slot, end = labels.before2[row, t], labels.slot2[row, t], labels.end2[row, t]
        else:
            before, slot, end = labels.before[row, t], labels.slot[row, t], labels.end[row, t]
        if before < 0:
            return gain, path
        t = int(end - fleet.lag[before, slot])
        row, banned = int(before), row
