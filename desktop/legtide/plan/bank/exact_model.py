"""The bank as a constraint model for CP-SAT (OR-Tools). Imported by the helper process of `exact` only.

One circuit per kind in which the trucks' starts are chained, the truck of a stop as an integer that arcs carry on,
the tank as a choice on each arc (direct, or by the fill or dump point), one fixed order per aircraft. Two arcs with
one tail and head corrupt memory in version 9.15: each pair has one literal, on which the choice of the way hangs.

The model is a little too generous where whole ticks would need a case more: breaks bind services, not drives,
and a reload takes the least time of any point. So its bound is one for the bank, and its plans are put
together anew by `Routes`, which drops a plan that does not hold.
"""

from __future__ import annotations

import importlib
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from legtide.plan.bank.ticks import TICK_MIN, Core

_QUANTUM = 0.01
_FLOW_SCALE = 1_000_000

RouteRows = list[list[tuple[int, int, int]]]
"""Per vehicle its stops: (request number, option, reload before)."""


@dataclass(slots=True)
class _Stop:
    """The variables of one request."""

    start: Any
    end: Any
    served: Any
    options: list[Any]
    minutes: list[int]
    truck: Any = None
    tank: Any = None
    litres: Any = 0


@dataclass(slots=True)
class BankModel:
    """A built model; `arcs` are (vehicle or -1, from, to, reload, literal), -1 for the base."""

    cp: Any
    core: Core
    model: Any
    stops: dict[int, _Stop] = field(default_factory=dict)
    arcs: list[tuple[int, int, int, int, Any]] = field(default_factory=list)
    terms: list[tuple[int, Any]] = field(default_factory=list)
    """Worth in hundredths of a price unit: what is made as large as possible."""


def build(core: Core, tanks: tuple[int, ...]) -> BankModel:
    """The model of one or both kinds of service."""
    cp = importlib.import_module("ortools.sat.python.cp_model")
    bank = BankModel(cp, core, cp.CpModel())
    for tank in tanks:
        rows = [r for r in range(len(core.requests)) if core.allowed[r] and _tank(core, r) == tank]
        trucks = [v for v, truck in enumerate(core.trucks) if truck.tank == tank and truck.end > truck.start]
        for r in rows:
            _add_stop(bank, r, trucks)
        rows = [r for r in rows if r in bank.stops]
        if rows and trucks:
            _add_tank(bank, rows, trucks)
            _add_circuit(bank, rows, trucks)
            _add_breaks(bank, rows, trucks)
    _add_pairs(bank)
    _add_delays(bank)
    bank.model.maximize(sum(weight * literal for weight, literal in bank.terms))
    return bank


def _tank(core: Core, r: int) -> int:
    return core.trucks[core.allowed[r][0]].tank


def _priced(core: Core) -> bool:
    return core.problem.weights.ranking == "priced"


def _tick_price(core: Core) -> int:
    """Hundredths of a price unit for a busy tick, rounded down: a generous bound."""
    return int(core.problem.weights.truck_per_min * TICK_MIN / _QUANTUM) if _priced(core) else 0


def _add_stop(bank: BankModel, r: int, trucks: list[int]) -> None:
    core, model = bank.core, bank.model
    trucks = [v for v in trucks if v in core.allowed[r]]
    # One duration for all trucks: the shortest. Slower ones are held to theirs below.
    minutes = [min((core.duration[v][r][o] for v in trucks), default=0) for o in core.choices[r]]
    if not trucks or core.hard[r] - min(minutes) < core.earliest[r]:
        return
    served = model.new_bool_var(f"served {r}")
    options = [served] if len(minutes) == 1 else [model.new_bool_var(f"option {r} {o}") for o in core.choices[r]]
    if len(options) > 1:
        model.add(sum(options) == served)
    if core.pinned[r]:
        model.add(served == 1)
    stop = _Stop(
        model.new_int_var(core.earliest[r], core.hard[r] - min(minutes), f"start {r}"),
        model.new_int_var(core.earliest[r] + min(minutes), core.hard[r], f"end {r}"),
        served,
        options,
        minutes,
    )
    for ticks, literal in zip(minutes, options, strict=True):
        model.add(stop.end >= stop.start + ticks).only_enforce_if(literal)
    for o, ticks, literal in zip(core.choices[r], minutes, options, strict=True):
        option = core.requests[r].options[o]
        # Rounded up, so that the bound is one.
        worth = math.ceil(option.value / _QUANTUM)
        if _priced(core):
            worth -= int(option.cost / _QUANTUM) + _tick_price(core) * ticks
        bank.terms.append((worth, literal))
    stop.litres = sum(core.litres[r][o] * literal for o, literal in zip(core.choices[r], options, strict=True))
    stop.truck = model.new_int_var_from_domain(bank.cp.Domain.from_values(trucks), f"truck {r}")
    for v in trucks:
        slower = [(core.duration[v][r][o], o) for o in core.choices[r]]
        if any(ticks > least for (ticks, _), least in zip(slower, minutes, strict=True)):
            here = _on(bank, stop, v, f"on {r} {v}")
            for (ticks, _), literal in zip(slower, options, strict=True):
                model.add(stop.end >= stop.start + ticks).only_enforce_if([here, literal])
    bank.stops[r] = stop


def _on(bank: BankModel, stop: _Stop, v: int, name: str) -> Any:
    """A literal that holds when a stop is on a truck."""
    here = bank.model.new_bool_var(name)
    bank.model.add(stop.truck == v).only_enforce_if(here)
    bank.model.add(stop.truck != v).only_enforce_if(~here)
    return here


def _add_tank(bank: BankModel, rows: list[int], trucks: list[int]) -> None:
    core, model = bank.core, bank.model
    capacity = {v: core.trucks[v].capacity for v in trucks}
    largest = max(capacity.values())
    for r in rows:
        stop = bank.stops[r]
        stop.tank = model.new_int_var(0, largest, f"tank {r}")
        model.add(stop.tank >= stop.litres)
        if min(capacity.values()) < largest:
            limit = model.new_int_var(0, largest, f"limit {r}")
            model.add_element(stop.truck, [capacity.get(v, 0) for v in range(len(core.trucks))], limit)
            model.add(stop.tank <= limit)


def _detour(core: Core, tank: int, a: int, b: int) -> int | None:
    """Ticks of the way by a fill or dump point, its flow left out; none where there is no such point."""
    ways = [core.travel[a][p.place] + p.handling + core.travel[p.place][b] for p in core.points[tank]]
    return min(ways, default=None)


def _add_circuit(bank: BankModel, rows: list[int], trucks: list[int]) -> None:
    core, model = bank.core, bank.model
    node = {r: len(trucks) + i for i, r in enumerate(rows)}
    arcs: list[tuple[int, int, Any]] = [(node[r], node[r], ~bank.stops[r].served) for r in rows]
    for i, v in enumerate(trucks):
        after = (i + 1) % len(trucks)
        arcs.append((i, after, model.new_bool_var(f"idle {v}")))
        for r in rows:
            if v not in core.allowed[r]:
                continue
            arcs += [(i, node[r], literal) for literal in _first_arc(bank, v, r)]
            arcs += [(node[r], after, literal) for literal in _last_arc(bank, v, r)]
    for a in rows:
        for b in rows:
            if a != b:
                arcs += [(node[a], node[b], literal) for literal in _arc(bank, a, b, _tank(core, a))]
    model.add_circuit(arcs)


def _ways(
    bank: BankModel, v: int, a: int, b: int, direct: int, detour: int | None, post: Callable[[int, int, Any], None]
) -> list[Any]:
    """One literal for going from a to b, over the literals of the ways that there are."""
    found = []
    for reload, ticks in ((0, direct), (1, detour)):
        if ticks is not None:
            literal = bank.model.new_bool_var(f"arc {v} {a} {b} {reload}")
            post(reload, ticks, literal)
            bank.arcs.append((v, a, b, reload, literal))
            bank.terms.append((-_tick_price(bank.core) * ticks, literal))
            found.append(literal)
    if len(found) < 2:
        return found
    merged = bank.model.new_bool_var(f"arc {v} {a} {b}")
    bank.model.add(sum(found) == merged)
    return [merged]


def _first_arc(bank: BankModel, v: int, r: int) -> list[Any]:
    core, model, stop = bank.core, bank.model, bank.stops[r]
    truck = core.trucks[v]
    direct = core.travel[truck.place][core.location[r]]
    detour = _detour(core, truck.tank, truck.place, core.location[r]) if truck.used else None
    if truck.start + direct + min(stop.minutes) > core.hard[r]:
        return []

    def post(reload: int, ticks: int, literal: Any) -> None:
        flow = min(p.ticks(truck.used) - p.handling for p in core.points[truck.tank]) if reload else 0
        model.add(stop.start >= truck.start + ticks + flow).only_enforce_if(literal)
        model.add(stop.truck == v).only_enforce_if(literal)
        if not reload:
            model.add(stop.tank >= truck.used + stop.litres).only_enforce_if(literal)

    return _ways(bank, v, -1, r, direct, detour, post)


def _last_arc(bank: BankModel, v: int, r: int) -> list[Any]:
    core, model, stop = bank.core, bank.model, bank.stops[r]
    truck = core.trucks[v]
    home = 0 if truck.home < 0 else core.travel[core.location[r]][truck.home]
    if core.earliest[r] + min(stop.minutes) + home > truck.end:
        return []

    def post(reload: int, ticks: int, literal: Any) -> None:
        model.add(stop.end + ticks <= truck.end).only_enforce_if(literal)
        model.add(stop.truck == v).only_enforce_if(literal)

    return _ways(bank, v, r, -1, home, None, post)


def _arc(bank: BankModel, a: int, b: int, tank: int) -> list[Any]:
    core, model = bank.core, bank.model
    stop, following = bank.stops[a], bank.stops[b]
    direct = core.travel[core.location[a]][core.location[b]]
    detour = _detour(core, tank, core.location[a], core.location[b])
    done = core.earliest[a] + min(stop.minutes)
    if done + direct + min(following.minutes) > core.hard[b] or not set(core.allowed[a]) & set(core.allowed[b]):
        return []
    if detour is not None and done + detour + min(following.minutes) > core.hard[b]:
        detour = None

    def post(reload: int, ticks: int, literal: Any) -> None:
        model.add(stop.truck == following.truck).only_enforce_if(literal)
        if reload:
            per_litre = int(min(p.per_litre for p in core.points[tank]) * _FLOW_SCALE)
            room = (following.start - stop.end - ticks) * _FLOW_SCALE
            model.add(room >= per_litre * stop.tank).only_enforce_if(literal)
        else:
            model.add(following.start >= stop.end + ticks).only_enforce_if(literal)
            model.add(following.tank >= stop.tank + following.litres).only_enforce_if(literal)

    return _ways(bank, -1, a, b, direct, detour, post)


def _add_breaks(bank: BankModel, rows: list[int], trucks: list[int]) -> None:
    for v in trucks:
        for begin, end in bank.core.trucks[v].breaks:
            for r in rows:
                stop = bank.stops[r]
                if v not in bank.core.allowed[r] or bank.core.hard[r] <= begin or bank.core.earliest[r] >= end:
                    continue
                here = _on(bank, stop, v, f"on {r} {v} {begin}")
                before = bank.model.new_bool_var(f"before {r} {v} {begin}")
                bank.model.add(stop.end <= begin).only_enforce_if([here, stop.served, before])
                bank.model.add(stop.start >= end).only_enforce_if([here, stop.served, ~before])


def _add_pairs(bank: BankModel) -> None:
    core = bank.core
    for r, stop in bank.stops.items():
        first = bank.stops.get(core.first[r]) if core.first[r] >= 0 else None
        if first is not None:
            bank.model.add(stop.start >= first.end + core.gap).only_enforce_if([stop.served, first.served])


def _add_delays(bank: BankModel) -> None:
    core = bank.core
    price = core.problem.weights.delay_per_min
    if price is None:
        return
    groups: dict[tuple[str, int], list[int]] = {}
    for r in bank.stops:
        groups.setdefault(core.requests[r].group, []).append(r)
    for rows in groups.values():
        late = bank.model.new_int_var(0, max(0, *(core.hard[r] - core.due[r] for r in rows)), "late")
        for r in rows:
            bank.model.add(late >= bank.stops[r].end - core.due[r]).only_enforce_if(bank.stops[r].served)
        bank.terms.append((-int(price * TICK_MIN / _QUANTUM), late))


def add_hint(bank: BankModel, rows: RouteRows, starts: list[int]) -> None:
    """A plan to begin from."""
    core, model = bank.core, bank.model
    served = {r: (v, o) for v, stops in enumerate(rows) for r, o, _ in stops}
    for r, stop in bank.stops.items():
        model.add_hint(stop.served, int(r in served))
        if len(stop.options) > 1:
            for o, literal in zip(core.choices[r], stop.options, strict=True):
                model.add_hint(literal, int(r in served and served[r][1] == o))
        if r in served:
            v, o = served[r]
            model.add_hint(stop.truck, v)
            model.add_hint(stop.start, starts[r])
            model.add_hint(stop.end, starts[r] + core.duration[v][r][o])
    taken: set[tuple[int, int, int, int]] = set()
    for v, stops in enumerate(rows):
        before = -1
        for r, _, reload in stops:
            taken.add((v if before < 0 else -1, before, r, reload))
            before = r
        if before >= 0:
            taken.add((v, before, -1, 0))
    for v, a, b, reload, literal in bank.arcs:
        model.add_hint(literal, int((v, a, b, reload) in taken))


def read_routes(bank: BankModel, value: Callable[[Any], int]) -> RouteRows:
    """The routes of a solution."""
    core = bank.core
    following: dict[int, tuple[int, int]] = {}
    firsts: dict[int, tuple[int, int]] = {}
    for v, a, b, reload, literal in bank.arcs:
        if b >= 0 and value(literal):
            if a < 0:
                firsts[v] = (b, reload)
            else:
                following[a] = (b, reload)
    rows: RouteRows = [[] for _ in core.trucks]
    for v, step in firsts.items():
        at: tuple[int, int] | None = step
        while at is not None:
            r, reload = at
            stop = bank.stops[r]
            chosen = next(o for o, literal in zip(core.choices[r], stop.options, strict=True) if value(literal))
            rows[v].append((r, chosen, reload))
            at = following.get(r)
    return rows


def run(bank: BankModel, solver: Any, on_routes: Callable[[RouteRows], None] | None) -> Any:
    """Solves; every better plan is told. Gives the solver's status."""
    if on_routes is None:
        return solver.solve(bank.model)
    tell = on_routes

    class Teller(bank.cp.CpSolverSolutionCallback):  # type: ignore[name-defined,misc]
        """Tells every better plan."""

        def on_solution_callback(self) -> None:
            tell(read_routes(bank, self.value))

    return solver.solve(bank.model, Teller())
