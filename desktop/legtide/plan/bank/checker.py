"""Whether a plan keeps every rule: one checker for every solver, which knows nothing of how a plan was made.

It works in plain minutes from the problem alone and recomputes tanks, drives and figures.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from legtide.plan.bank.answer import Assignment, BankPlan, Run
from legtide.plan.bank.problem import Problem, Request, Vehicle, water_first

_EPS = 1e-6
_NEVER = -math.inf


def violations(problem: Problem, plan: BankPlan) -> tuple[str, ...]:
    """Every rule that a plan breaks, in words; empty for a sound plan."""
    unknown = tuple(_unknown(problem, plan))
    if unknown:
        return unknown
    parts = (_windows, _pins, _turns, _trucks, _tanks, _runs, _figures)
    return tuple(text for part in parts for text in part(problem, plan))


def _unknown(problem: Problem, plan: BankPlan) -> Iterator[str]:
    requests = {request.id: request for request in problem.requests}
    trucks = {vehicle.id: vehicle for vehicle in problem.vehicles}
    served = [row.request for row in plan.assignments]
    left = [row.request for row in plan.unserved]
    for name in sorted({*served, *left} - requests.keys()):
        yield f"{name}: no such request"
    for name in sorted(requests):
        if (count := served.count(name) + left.count(name)) != 1:
            yield f"{name}: stands {count} times in the plan"
    for row in plan.assignments:
        if row.truck not in trucks:
            yield f"{row.request}: no such truck as {row.truck}"
        elif row.request in requests:
            request = requests[row.request]
            if trucks[row.truck].tank != request.tank:
                yield f"{row.request}: truck {row.truck} handles {trucks[row.truck].tank} only"
            if not 0 <= row.option < len(request.options):
                yield f"{row.request}: no option {row.option}"


def _started(request: Request) -> bool:
    return request.pin is not None and request.pin.started


def _windows(problem: Problem, plan: BankPlan) -> Iterator[str]:
    late = problem.weights.max_delay_min if problem.weights.delay_per_min is not None else 0.0
    now = _NEVER if problem.now_min is None else problem.now_min
    for row in plan.assignments:
        request, vehicle = problem.request(row.request), problem.vehicle(row.truck)
        minutes = vehicle.service_min(request.options[row.option])
        if abs(row.end_min - row.start_min - minutes) > _EPS:
            yield f"{row.request}: lasts {row.end_min - row.start_min:g} min instead of {minutes:g}"
        if _started(request):
            continue
        if row.start_min < max(request.earliest_min, now) - _EPS:
            yield f"{row.request}: starts before its window"
        if row.end_min > request.latest_end_min + late + _EPS:
            yield f"{row.request}: ends after its window"
        if abs(row.delay_min - max(0.0, row.end_min - request.latest_end_min)) > _EPS:
            yield f"{row.request}: its delay is not {row.delay_min:g} min"


def _pins(problem: Problem, plan: BankPlan) -> Iterator[str]:
    for request in problem.requests:
        pin, row = request.pin, plan.assignment(request.id)
        if pin is None:
            continue
        if row is None:
            if pin.started:
                yield f"{request.id}: has started and is left out"
        elif row.truck != pin.truck or row.option != pin.option or abs(row.start_min - pin.start_min) > _EPS:
            yield f"{request.id}: pinned, and moved"


def _turns(problem: Problem, plan: BankPlan) -> Iterator[str]:
    """The two services of an aircraft: never at once, water first where the windows leave room."""
    rows = {(problem.request(row.request).group, problem.request(row.request).tank): row for row in plan.assignments}
    for (group, tank), water in rows.items():
        toilet = rows.get((group, "waste"))
        if tank != "fresh" or toilet is None:
            continue
        fresh, waste = problem.request(water.request), problem.request(toilet.request)
        if _started(fresh) and _started(waste):
            continue
        gap = problem.handover_min
        if water_first(problem, fresh, waste):
            if toilet.start_min < water.end_min + gap - _EPS:
                yield f"{water.request}: does not come before {toilet.request}"
        elif water.start_min < toilet.end_min + gap - _EPS:
            yield f"{toilet.request}: does not come before {water.request}"


def _rows_of(plan: BankPlan, vehicle: Vehicle) -> list[Assignment]:
    rows = [row for row in plan.assignments if row.truck == vehicle.id]
    return sorted(rows, key=lambda row: (row.start_min, row.end_min))


def _trucks(problem: Problem, plan: BankPlan) -> Iterator[str]:
    """Shifts, breaks, and the way from each stop to the next."""
    number = {name: i for i, name in enumerate(problem.places)}
    now = _NEVER if problem.now_min is None else problem.now_min
    for vehicle in problem.vehicles:
        free, place = vehicle.available_min, vehicle.start_place
        for row in _rows_of(plan, vehicle):
            request = problem.request(row.request)
            if not _started(request):
                free = max(free, now)
                least = _way(problem, number[place], number[request.place], vehicle, row.reload_before)
                if row.start_min < free + least - _EPS:
                    yield f"{row.request}: truck {vehicle.id} cannot be there before {free + least:g}"
                for start, end in vehicle.breaks:
                    if row.start_min < end - _EPS and row.end_min > start + _EPS:
                        yield f"{row.request}: truck {vehicle.id} has its break"
                home = vehicle.end_place
                back = 0.0 if home is None else problem.travel_min[number[request.place]][number[home]]
                if row.end_min + back > vehicle.shift_end_min + _EPS:
                    yield f"{row.request}: truck {vehicle.id} is not back when its shift ends"
            free, place = max(free, row.end_min), request.place


def _way(problem: Problem, a: int, b: int, vehicle: Vehicle, reload: bool) -> float:
    """Least minutes from a to b. What the flow at a fill or dump point takes depends on the tank: left out here."""
    if not reload:
        return problem.travel_min[a][b]
    ways = [
        problem.travel_min[a][p] + point.handling_min + problem.travel_min[p][b]
        for point in problem.reload_points
        if point.tank == vehicle.tank
        for p in [problem.places.index(point.place)]
    ]
    return min(ways, default=math.inf)


def _tanks(problem: Problem, plan: BankPlan) -> Iterator[str]:
    for vehicle in problem.vehicles:
        used = vehicle.used_l
        for row in _rows_of(plan, vehicle):
            request = problem.request(row.request)
            litres = request.options[row.option].litres
            if row.reload_before or (_started(request) and used + litres > vehicle.capacity_l):
                used = 0.0
            used += litres
            if used > vehicle.capacity_l + _EPS and not _started(request):
                yield f"{row.request}: truck {vehicle.id} would use {used:g} L of {vehicle.capacity_l:g} L"


def _runs(problem: Problem, plan: BankPlan) -> Iterator[str]:
    """The runs tell the same story as the assignments, leg by leg, with time for each drive and reload."""
    runs = {run.truck: run for run in plan.runs}
    if sorted(runs) != sorted(vehicle.id for vehicle in problem.vehicles) or len(runs) != len(plan.runs):
        yield "runs: not one for each truck"
        return
    for vehicle in problem.vehicles:
        run, rows = runs[vehicle.id], _rows_of(plan, vehicle)
        if list(run.services) != [row.request for row in rows]:
            yield f"truck {vehicle.id}: its run does not serve what it is assigned"
            continue
        yield from _run_legs(problem, vehicle, run, rows)


def _run_legs(problem: Problem, vehicle: Vehicle, run: Run, rows: list[Assignment]) -> Iterator[str]:
    number = {name: i for i, name in enumerate(problem.places)}
    by_request = {row.request: row for row in rows}
    points = {point.place: point for point in problem.reload_points if point.tank == vehicle.tank}
    place, t, used, reloaded = vehicle.start_place, None, vehicle.used_l, False
    for leg in run.legs:
        where = f"truck {vehicle.id} at {leg.start_min:g}"
        fact = bool(leg.request) and _started(problem.request(leg.request))
        if leg.origin != place or (t is not None and abs(leg.start_min - t) > _EPS and not fact):
            yield f"{where}: the run has a gap"
        minutes = leg.end_min - leg.start_min
        planned = problem.now_min is None or leg.start_min >= problem.now_min - _EPS
        if leg.kind not in ("wait", "break") and planned and _in_break(vehicle, leg.start_min, leg.end_min):
            yield f"{where}: the truck has its break"
        if leg.kind == "drive" and planned and not _any_fact_ahead(problem, rows, leg.end_min):
            if minutes < problem.travel_min[number[leg.origin]][number[leg.destination]] - _EPS:
                yield f"{where}: the drive is too short"
        elif leg.kind == "reload":
            if leg.origin not in points or minutes < points[leg.origin].minutes(used) - _EPS:
                yield f"{where}: the reload is too short, or at no place for it"
            used, reloaded = 0.0, True
        elif leg.kind == "service":
            row = by_request[leg.request]
            if abs(row.start_min - leg.start_min) + abs(row.end_min - leg.end_min) > _EPS:
                yield f"{where}: {leg.request} stands at another time in the run"
            if leg.origin != problem.request(leg.request).place:
                yield f"{where}: {leg.request} is elsewhere"
            if row.reload_before != reloaded:
                yield f"{where}: a reload before {leg.request} is on one side only"
            litres = problem.request(leg.request).options[row.option].litres
            if fact and used + litres > vehicle.capacity_l:
                used = 0.0
            used, reloaded = used + litres, False
        place, t = leg.destination, leg.end_min
    if run.legs and vehicle.end_place is not None and place != vehicle.end_place and _any_planned(problem, rows):
        yield f"truck {vehicle.id}: does not come home"


def _any_planned(problem: Problem, rows: list[Assignment]) -> bool:
    return any(not _started(problem.request(row.request)) for row in rows)


def _any_fact_ahead(problem: Problem, rows: list[Assignment], minutes: float) -> bool:
    """Whether a service that has started lies after a moment: what led to it is not questioned."""
    return any(_started(problem.request(row.request)) and row.start_min >= minutes - _EPS for row in rows)


def _in_break(vehicle: Vehicle, start_min: float, end_min: float) -> bool:
    return any(start_min < end - _EPS and end_min > start + _EPS for start, end in vehicle.breaks)


def _figures(problem: Problem, plan: BankPlan) -> Iterator[str]:
    value = sum(problem.request(row.request).options[row.option].value for row in plan.assignments)
    cost = sum(problem.request(row.request).options[row.option].cost for row in plan.assignments)
    late: dict[tuple[str, int], float] = {}
    for row in plan.assignments:
        group = problem.request(row.request).group
        late[group] = max(late.get(group, 0.0), row.delay_min)
    busy = sum(
        leg.end_min - leg.start_min
        for run in plan.runs
        for leg in run.legs
        if leg.kind in ("drive", "reload", "service")
    )
    told = plan.figures
    pairs = ((told.value, value), (told.cost, cost), (told.delay_min, sum(late.values())), (told.truck_min, busy))
    if any(abs(a - b) > 1e-6 * max(1.0, abs(b)) for a, b in pairs):
        yield "figures: they are not those of the assignments"
