"""A second opinion on truck plans, written apart from the program's own checker: minute by minute, tank by tank.

It takes the plan's runs at face value and replays each truck; it shares no code with the package but the records.
"""

from __future__ import annotations

from itertools import pairwise

from legtide.plan.bank.answer import BankPlan, Run
from legtide.plan.bank.problem import Problem, Request, Vehicle

SLACK = 1e-6


def broken_rules(problem: Problem, plan: BankPlan) -> list[str]:
    """Every broken rule, in words."""
    requests = {request.id: request for request in problem.requests}
    trouble: list[str] = []
    for run in plan.runs:
        truck = next(vehicle for vehicle in problem.vehicles if vehicle.id == run.truck)
        trouble += _replay(problem, truck, run, requests)
    trouble += _aircraft(problem, plan, requests)
    trouble += _books(plan, requests)
    return trouble


def _minutes_apart(problem: Problem, a: str, b: str) -> float:
    return problem.travel_min[problem.places.index(a)][problem.places.index(b)]


def _replay(problem: Problem, truck: Vehicle, run: Run, requests: dict[str, Request]) -> list[str]:
    """Drives the run again: where the truck is, what its tank holds, when it may move."""
    trouble = []
    started = {name for name, request in requests.items() if request.pin is not None and request.pin.started}
    left = [leg for leg in run.legs if leg.start_min >= _resume(run, started) - SLACK]
    history = [leg for leg in run.legs if leg not in left]
    level = truck.aboard_l
    for leg in history:
        if leg.kind == "service":
            litres = requests[leg.request].options[requests[leg.request].pin.option].litres
            if truck.tank == "fresh":
                level = level - litres if level >= litres - SLACK else truck.capacity_l - litres
            else:
                level = level + litres if level + litres <= truck.capacity_l + SLACK else litres
    for before, after in pairwise(left):
        if abs(before.end_min - after.start_min) > SLACK or before.destination != after.origin:
            trouble.append(f"{run.truck}: the run jumps at {before.end_min}")
    for leg in left:
        if leg.kind in ("drive", "reload", "service"):
            if leg.start_min < truck.available_min - SLACK or leg.end_min > truck.shift_end_min + SLACK:
                trouble.append(f"{run.truck}: works outside its shift at {leg.start_min}")
            if problem.now_min is not None and leg.start_min < problem.now_min - SLACK:
                trouble.append(f"{run.truck}: moves in the past at {leg.start_min}")
            if any(leg.start_min < b - SLACK and leg.end_min > a + SLACK for a, b in truck.breaks):
                trouble.append(f"{run.truck}: works in its break at {leg.start_min}")
        if (
            leg.kind == "drive"
            and leg.end_min - leg.start_min < _minutes_apart(problem, leg.origin, leg.destination) - SLACK
        ):
            trouble.append(f"{run.truck}: drives too fast at {leg.start_min}")
        if leg.kind == "reload":
            point = next((p for p in problem.reload_points if p.place == leg.origin and p.tank == truck.tank), None)
            moved = truck.capacity_l - level if truck.tank == "fresh" else level
            if (
                point is None
                or leg.end_min - leg.start_min < point.handling_min + moved / point.flow_l_per_min - SLACK
            ):
                trouble.append(f"{run.truck}: reloads too fast at {leg.start_min}")
            level = truck.capacity_l if truck.tank == "fresh" else 0.0
        if leg.kind == "service":
            request = requests[leg.request]
            if request.tank != truck.tank or leg.origin != request.place:
                trouble.append(f"{run.truck}: {leg.request} is not its work, or is elsewhere")
            option = _option_of(request, truck, leg.end_min - leg.start_min)
            if option is None:
                trouble.append(f"{leg.request}: no way of doing it lasts {leg.end_min - leg.start_min}")
                continue
            level += -option if truck.tank == "fresh" else option
            if not -SLACK <= level <= truck.capacity_l + SLACK:
                trouble.append(f"{run.truck}: its tank would hold {level} L after {leg.request}")
    home = truck.end_place
    if home is not None and any(leg.kind == "service" for leg in left) and left[-1].destination != home:
        trouble.append(f"{run.truck}: is not home at the end")
    return trouble


def _resume(run: Run, started: set[str]) -> float:
    """When the history of a run ends."""
    return max((leg.end_min for leg in run.legs if leg.request in started), default=float("-inf"))


def _option_of(request: Request, truck: Vehicle, minutes: float) -> float | None:
    for option in request.options:
        pump = option.pump_min
        if truck.flow_l_per_min:
            pump = max(pump, option.litres / truck.flow_l_per_min)
        if abs(truck.setup_min + option.connect_min + pump - minutes) < 1e-5:
            return option.litres
    return None


def _aircraft(problem: Problem, plan: BankPlan, requests: dict[str, Request]) -> list[str]:
    trouble = []
    rows = {row.request: row for row in plan.assignments}
    late = problem.weights.max_delay_min if problem.weights.delay_per_min is not None else 0.0
    for name, row in rows.items():
        request = requests[name]
        fact = request.pin is not None and request.pin.started
        if request.pin is not None and (row.truck, row.start_min) != (request.pin.truck, request.pin.start_min):
            trouble.append(f"{name}: was pinned")
        if not fact and not (
            request.earliest_min - SLACK <= row.start_min and row.end_min <= request.latest_end_min + late + SLACK
        ):
            trouble.append(f"{name}: outside the ground window")
        for other, second in rows.items():
            if other <= name or requests[other].group != request.group:
                continue
            apart = max(second.start_min - row.end_min, row.start_min - second.end_min)
            both_facts = fact and requests[other].pin is not None and requests[other].pin.started
            if apart < problem.handover_min - SLACK and not both_facts:
                trouble.append(f"{name} and {other}: at one aircraft at once")
            water, toilet = (row, second) if request.tank == "fresh" else (second, row)
            roomy = _roomy(problem, requests[water.request], requests[toilet.request])
            if roomy and toilet.start_min < water.start_min and not both_facts:
                trouble.append(f"{toilet.request}: toilet before water although there is room")
    return trouble


def _roomy(problem: Problem, water: Request, toilet: Request) -> bool:
    """Whether water first fits into the windows with the shortest services of both (pins as they are)."""

    def shortest(request: Request) -> float:
        trucks = [truck for truck in problem.vehicles if truck.tank == request.tank]
        options = request.options
        if request.pin is not None:
            trucks = [truck for truck in trucks if truck.id == request.pin.truck]
            options = (request.options[request.pin.option],)
        return min(truck.service_min(option) for truck in trucks for option in options)

    begin = water.pin.start_min if water.pin else max(water.earliest_min, problem.now_min or float("-inf"))
    end = toilet.pin.start_min + shortest(toilet) if toilet.pin else toilet.latest_end_min
    return begin + shortest(water) + problem.handover_min + shortest(toilet) <= end + 1e-9


def _books(plan: BankPlan, requests: dict[str, Request]) -> list[str]:
    served, open_ = [row.request for row in plan.assignments], [row.request for row in plan.unserved]
    trouble = [] if sorted(served + open_) == sorted(requests) else ["the plan does not name each request once"]
    value = sum(requests[row.request].options[row.option].value for row in plan.assignments)
    if abs(value - plan.figures.value) > 1e-6:
        trouble.append("the value told is not the value served")
    on_runs = [leg.request for run in plan.runs for leg in run.legs if leg.kind == "service"]
    if sorted(on_runs) != sorted(served):
        trouble.append("runs and assignments differ")
    return trouble
