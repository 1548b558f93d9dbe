"""From the routes of a search to a plan in minutes."""

from __future__ import annotations

from legtide.plan.bank.answer import Assignment, BankPlan, Figures, LegKind, Run, RunLeg, Unserved
from legtide.plan.bank.problem import Problem, Request
from legtide.plan.bank.routes import Routes
from legtide.plan.bank.ticks import Core, clear, latest_clear

_EPS = 1e-9


def plan_of(routes: Routes, unserved: tuple[Unserved, ...] = ()) -> BankPlan:
    """The plan that the routes stand for. Stops are held at the start of the plan to stay close to, if any."""
    core = routes.core
    starts = held_starts(routes)
    runs = tuple(_run(routes, v, starts) for v in range(len(core.trucks)))
    rows = [_fact(core.problem, fact) for fact in core.facts]
    rows += [_assignment(routes, r, starts[r]) for r, v in enumerate(routes.vehicle) if v >= 0]
    assignments = tuple(sorted(rows, key=lambda row: (row.start_min, row.truck, row.request)))
    figures = figures_of(core.problem, assignments, runs)
    return BankPlan(assignments, runs, unserved, figures, worth_of(core.problem, figures))


def figures_of(problem: Problem, assignments: tuple[Assignment, ...], runs: tuple[Run, ...]) -> Figures:
    """The objective of a plan, part by part."""
    requests = {request.id: request for request in problem.requests}
    late: dict[tuple[str, int], float] = {}
    value = cost = 0.0
    for row in assignments:
        request = requests[row.request]
        option = request.options[row.option]
        value, cost = value + option.value, cost + option.cost
        late[request.group] = max(late.get(request.group, 0.0), row.delay_min)
    return Figures(sum(late.values()), value, cost, sum(run.busy_min for run in runs))


def worth_of(problem: Problem, figures: Figures) -> float:
    """The figure that the bound bounds."""
    weights = problem.weights
    worth = figures.value - (weights.delay_per_min or 0.0) * figures.delay_min
    if weights.ranking == "priced":
        worth -= figures.cost + weights.truck_per_min * figures.truck_min
    return worth


def held_starts(routes: Routes) -> list[int]:
    """Start of each stop in ticks: the earliest, or that of the plan to stay close to where it can be held."""
    core = routes.core
    if not core.has_reference:
        return routes.start[:]
    starts = routes.start[:]
    order = sorted((r for r, v in enumerate(routes.vehicle) if v >= 0), key=lambda r: (routes.start[r], r))
    for r in order:
        v = routes.vehicle[r]
        at = max(starts[r], _arrival(routes, r, starts))
        if core.reference_truck[r] == v and not core.pinned[r]:
            wanted = min(core.reference_start[r], routes.latest[r], _undelayed(routes, r))
            at = max(at, wanted)
        starts[r] = clear(core.trucks[v].breaks, at, core.duration[v][r][routes.option[r]])
    # A stop that is held may push those after it past their own old starts: then none is held.
    return min((starts, routes.start[:]), key=lambda each: _moved(routes, each))


def _moved(routes: Routes, starts: list[int]) -> int:
    """How many stops start at another time than in the plan to stay close to."""
    core = routes.core
    return sum(
        abs(starts[r] - core.reference_start[r]) > core.tolerance
        for r, v in enumerate(routes.vehicle)
        if v >= 0 and core.reference_truck[r] == v
    )


def _undelayed(routes: Routes, r: int) -> int:
    """Latest start that makes a departure no later than it is already."""
    core = routes.core
    return max(core.due[r], routes.end[r]) - core.duration[routes.vehicle[r]][r][routes.option[r]]


def _arrival(routes: Routes, r: int, starts: list[int]) -> int:
    """When the truck is there and the aircraft's other service out of the way, given the starts before."""
    core, v = routes.core, routes.vehicle[r]
    truck, stops = core.trucks[v], routes.stops[v]
    at = stops.index(r)
    t, place, used = truck.start, truck.place, truck.used
    if at:
        p = stops[at - 1]
        t = starts[p] + core.duration[v][p][routes.option[p]]
        place, used = core.location[p], routes.used[p]
    t = core.arrive(v, t, place, core.location[r], bool(routes.reload[r]), used)
    other = core.first[r]
    if other >= 0 and routes.vehicle[other] >= 0:
        w = routes.vehicle[other]
        t = max(t, starts[other] + core.duration[w][other][routes.option[other]] + core.gap)
    return t


def _assignment(routes: Routes, r: int, start: int) -> Assignment:
    core = routes.core
    v, o, request = routes.vehicle[r], routes.option[r], core.requests[r]
    vehicle = core.problem.vehicles[v]
    at = core.minutes(start) if request.pin is None else request.pin.start_min
    # The minutes themselves, not the whole ticks that the search reserved for them.
    end = at + vehicle.service_min(request.options[o])
    late = max(0.0, end - request.latest_end_min)
    return Assignment(request.id, o, vehicle.id, at, end, bool(routes.reload[r]), late if late > _EPS else 0.0)


def _fact(problem: Problem, request: Request) -> Assignment:
    pin = request.pin
    if pin is None:
        raise ValueError(f"request {request.id} has not started")
    minutes = problem.vehicle(pin.truck).service_min(request.options[pin.option])
    return Assignment(request.id, pin.option, pin.truck, pin.start_min, pin.start_min + minutes)


class _Log:
    """The legs of one run, put together without gaps."""

    def __init__(self, place: str, breaks: tuple[tuple[float, float], ...]) -> None:
        self.place, self.breaks = place, breaks
        self.legs: list[RunLeg] = []
        self.t: float | None = None

    def until(self, minutes: float) -> None:
        """Waits, or has its break."""
        if self.t is None:
            self.t = minutes
        for start, end in sorted(self.breaks):
            if self.t < end - _EPS and start < minutes - _EPS:
                self._still("wait", max(start, self.t))
                self._still("break", min(end, minutes))
        self._still("wait", minutes)

    def _still(self, kind: str, minutes: float) -> None:
        if self.t is not None and minutes > self.t + _EPS:
            leg = RunLeg("wait" if kind == "wait" else "break", self.t, minutes, self.place, self.place)
            self.legs.append(leg)
            self.t = minutes

    def do(self, leg: RunLeg) -> None:
        """Something that takes time, after waiting for its start."""
        self.until(leg.start_min)
        if leg.end_min > leg.start_min + _EPS or leg.kind == "service":
            self.legs.append(leg)
        self.t, self.place = max(leg.end_min, leg.start_min), leg.destination


def _run(routes: Routes, v: int, starts: list[int]) -> Run:
    core = routes.core
    vehicle, truck = core.problem.vehicles[v], core.trucks[v]
    log = _Log(vehicle.start_place, vehicle.breaks)
    _log_facts(core, v, log)
    t, place, used = truck.start, truck.place, truck.used
    for r in routes.stops[v]:
        log.until(core.minutes(t))
        here = core.location[r]
        _log_drive(core, v, log, t, place, here, bool(routes.reload[r]), used, starts[r])
        row = _assignment(routes, r, starts[r])
        log.do(RunLeg("service", row.start_min, row.end_min, log.place, log.place, row.request))
        t = starts[r] + core.duration[v][r][routes.option[r]]
        place, used = here, routes.used[r]
    if routes.stops[v] and truck.home >= 0:
        _log_drive(core, v, log, t, place, truck.home, False, 0, None)
    return Run(vehicle.id, tuple(log.legs))


def _log_facts(core: Core, v: int, log: _Log) -> None:
    """Services that have started, with the drives between them as far as the time left for them tells."""
    vehicle = core.problem.vehicles[v]
    facts = [fact for fact in core.facts if fact.pin is not None and fact.pin.truck == vehicle.id]
    for row in sorted((_fact(core.problem, fact) for fact in facts), key=lambda row: (row.start_min, row.request)):
        place = core.problem.request(row.request).place
        minutes = core.problem.travel_min[core.place[log.place]][core.place[place]]
        free = row.start_min if log.t is None else row.start_min - log.t
        begin = row.start_min - min(minutes, max(free, 0.0))
        log.do(RunLeg("drive", begin, row.start_min, log.place, place))
        log.do(RunLeg("service", row.start_min, row.end_min, place, place, row.request))


def _log_drive(
    core: Core, v: int, log: _Log, t: int, a: int, b: int, reload: bool, used: int, due: int | None
) -> None:
    """The way from a to b from a tick on, by way of a reload where there is one.

    A reload is made at once; the last drive is put off so as to arrive when it is due, so that a truck waits where it
    is and not at an empty stand.
    """
    names, breaks = core.problem.places, core.trucks[v].breaks
    legs: list[tuple[LegKind, int, int, int]] = [("drive", a, b, core.travel[a][b])]
    if reload:
        point = core.best_point(v, t, a, b, used)
        legs = [
            ("drive", a, point.place, core.travel[a][point.place]),
            ("reload", point.place, point.place, point.ticks(used)),
            ("drive", point.place, b, core.travel[point.place][b]),
        ]
    for number, (kind, origin, destination, ticks) in enumerate(legs):
        t = clear(breaks, t, ticks)
        if due is not None and number == len(legs) - 1:
            t = latest_clear(breaks, due - ticks, ticks)
        begin, end = core.minutes(t), core.minutes(t + ticks)
        log.do(RunLeg(kind, begin, end, names[origin], names[destination]))
        t += ticks
