"""Every plan of a small bank, by trying them all: slow, and written apart from the solver."""

from __future__ import annotations

from itertools import permutations, product

from legtide.plan.bank.problem import Problem, Request, Vehicle

TICK = 0.25


def best_value_by_enumeration(problem: Problem) -> float:
    """Largest value of any plan of a bank without delays, pins, breaks and reloads, with water before toilet.

    Water routes are enumerated first; each complete set of them fixes when the aircraft are free for the toilet
    trucks (a service that has to come first is given its earliest end; all trucks go as early as they can).
    """
    water = [r for r in problem.requests if r.tank == "fresh"]
    toilet = [r for r in problem.requests if r.tank == "waste"]
    best = 0.0
    ends = _fleet_plans(problem, water, {})
    for value, finished in _undominated(ends):
        others = _fleet_plans(problem, toilet, finished)
        best = max(best, value + max((v for v, _ in others), default=0.0))
    return best


def _fleet_plans(
    problem: Problem, rows: list[Request], busy: dict[str, float]
) -> list[tuple[float, dict[str, float]]]:
    """(value, end of each served request) for all ways to serve some of the rows with the trucks of their kind."""
    if not rows:
        return [(0.0, {})]
    trucks = [v for v in problem.vehicles if v.tank == rows[0].tank]
    out = []
    for owners in product(range(len(trucks) + 1), repeat=len(rows)):
        shares = [[row for row, owner in zip(rows, owners, strict=True) if owner == i] for i in range(len(trucks))]
        plans: list[tuple[float, dict[str, float]]] = [(0.0, {})]
        for truck, share in zip(trucks, shares, strict=True):
            routes = _routes(problem, truck, share, busy)
            plans = [(a + v, {**d, **e}) for a, d in plans for v, e in routes]
            if not plans:
                break
        out += plans
    return out


def _routes(
    problem: Problem, truck: Vehicle, share: list[Request], busy: dict[str, float]
) -> list[tuple[float, dict[str, float]]]:
    out = []
    for order in permutations(share):
        for options in product(*(range(len(row.options)) for row in order)):
            end = _drive(problem, truck, list(zip(order, options, strict=True)), busy)
            if end is not None:
                out.append((sum(row.options[o].value for row, o in zip(order, options, strict=True)), end))
    return out


def _up(minutes: float) -> float:
    return -(-(minutes - 1e-9) // TICK) * TICK


def _drive(
    problem: Problem, truck: Vehicle, route: list[tuple[Request, int]], busy: dict[str, float]
) -> dict[str, float] | None:
    names = list(problem.places)
    t, place, litres, ends = _up(truck.available_min), truck.start_place, truck.used_l, {}
    for row, o in route:
        t += _up(problem.travel_min[names.index(place)][names.index(row.place)])
        t = max(t, _up(row.earliest_min))
        for other in problem.requests:
            if other.id in busy and other.group == row.group:
                t = max(t, busy[other.id] + _up(problem.handover_min))
        t += _up(truck.service_min(row.options[o]))
        litres += row.options[o].litres
        if t > row.latest_end_min + 1e-9 or litres > truck.capacity_l:
            return None
        ends[row.id], place = t, row.place
    home = 0.0
    if truck.end_place and route:
        home = _up(problem.travel_min[names.index(place)][names.index(truck.end_place)])
    return ends if t + home <= truck.shift_end_min or not route else None


def _undominated(plans: list[tuple[float, dict[str, float]]]) -> list[tuple[float, dict[str, float]]]:
    """Plans that no other one beats: less value and later ends for more aircraft are of no use."""
    kept: list[tuple[float, dict[str, float]]] = []
    for value, ends in sorted(plans, key=lambda plan: (-plan[0], sorted(plan[1].items()))):
        if not any(
            all(name in ends and end <= ends[name] + 1e-9 for name, end in other.items()) for _, other in kept
        ):
            kept.append((value, ends))
    return kept
