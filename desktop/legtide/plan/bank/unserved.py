"""Why a request is left out, and what would make it possible: computed on the plan as it stands."""

from __future__ import annotations

import copy
import math
from dataclasses import replace

from legtide.language import tr
from legtide.plan.bank.answer import BankPlan, Reason, Unserved
from legtide.plan.bank.first import hold, pinned_routes
from legtide.plan.bank.problem import Problem, water_first
from legtide.plan.bank.routes import Routes
from legtide.plan.bank.spots import best_spot_of
from legtide.plan.bank.ticks import TICK_MIN, Core

_WORDS = {"fresh": "water truck", "waste": "toilet truck"}
_FAR = 4 * 60 * 24
"""Delays beyond a day are no way out."""


def explain_unserved(routes: Routes) -> tuple[Unserved, ...]:
    """Every request that the routes leave out, with its reason, in the order of the problem."""
    core = routes.core
    return tuple(_explain(routes, r) for r in range(len(core.requests)) if routes.vehicle[r] < 0)


def explain_beside(problem: Problem, plan: BankPlan, request_id: str) -> Unserved:
    """Why a request cannot be served beside a plan that knows nothing of it. Raises KeyError for an unknown one."""
    core = Core(problem)
    routes = pinned_routes(core)
    hold(routes, plan)
    number = {request.id: r for r, request in enumerate(core.requests)}
    return _explain(routes, number[request_id])


def _explain(routes: Routes, r: int) -> Unserved:
    core, request = routes.core, routes.core.requests[r]
    truck = tr(_WORDS[request.tank])
    extra = another_truck_min(routes, r)
    delay = smallest_delay_min(routes, r)
    reason, text = _reason(routes, r, truck)
    ways = []
    if extra is not None and reason not in ("pin_broken", "not_worth"):
        ways.append(tr("another {truck} for {minutes} min").format(truck=truck, minutes=math.ceil(extra)))
    if reason == "no_truck":
        least = min(row.connect_min + row.pump_min for row in request.options)
        ways.append(tr("a {truck} for {minutes} min").format(truck=truck, minutes=math.ceil(least)))
    if delay is not None:
        ways.append(tr("a delay of {minutes} min").format(minutes=math.ceil(delay)))
    if ways:
        text = tr("{reason}; possible with {ways}").format(reason=text, ways=tr(" or ").join(ways))
    return Unserved(core.requests[r].id, reason, text, extra, delay)


def _reason(routes: Routes, r: int, truck: str) -> tuple[Reason, str]:
    core, request = routes.core, routes.core.requests[r]
    pin = request.pin
    if pin is not None:
        why = (
            tr("outside its ground window") if request.id in core.broken else tr("where the truck cannot be in time")
        )
        return "pin_broken", tr("pinned to truck {truck} at a time {why}").format(truck=pin.truck, why=why)
    if not core.allowed[r]:
        return "no_truck", tr("the station has no {truck}").format(truck=truck)
    shortest = min(core.duration[v][r][o] for v in core.allowed[r] for o in core.choices[r])
    window = core.hard[r] - core.earliest[r]
    if shortest > window:
        need, have = shortest * TICK_MIN, max(window, 0) * TICK_MIN
        return "window_too_short", tr(
            "its window of {have:g} min is shorter than the {need:g} min at the aircraft"
        ).format(have=have, need=need)
    if min(core.litres[r]) > max(core.trucks[v].capacity for v in core.allowed[r]):
        return "too_large", tr("no {truck} carries the {litres:.0f} L").format(
            truck=truck, litres=min(o.litres for o in request.options)
        )
    alone = Routes(core)
    if all(best_spot_of(alone, r, v, any_gain=True) is None for v in core.allowed[r]):
        return "out_of_reach", tr("no {truck} on shift can be there within its window").format(truck=truck)
    if any(best_spot_of(routes, r, v, any_gain=True) is not None for v in core.allowed[r]):
        return "not_worth", tr("the risk it avoids is not worth its price")
    return "trucks_busy", tr("every {truck} is then busy with services that avoid more risk").format(truck=truck)


def another_truck_min(routes: Routes, r: int) -> float | None:
    """Minutes that one more truck like the best of its kind would be busy with the request, from its base and back.

    None where such a truck would not help either: the aircraft's other service or the window stands against it.
    """
    core = routes.core
    lowest, highest = _free_window(routes, r)
    best: int | None = None
    for v in core.allowed[r]:
        vehicle, truck = core.problem.vehicles[v], core.trucks[v]
        base = core.place[vehicle.start_place]
        drive, back = core.travel[base][core.location[r]], core.travel[core.location[r]][base]
        for o in core.choices[r]:
            ticks = core.duration[v][r][o]
            fits = core.litres[r][o] <= truck.capacity and lowest + ticks <= highest
            if fits and (best is None or drive + ticks + back < best):
                best = drive + ticks + back
    return None if best is None or core.pinned[r] else best * TICK_MIN


def _free_window(routes: Routes, r: int) -> tuple[int, int]:
    """Window of a request beside the aircraft's other service as planned."""
    core = routes.core
    lowest, highest = core.earliest[r], core.hard[r]
    first, second = core.first[r], core.second[r]
    if first >= 0 and routes.vehicle[first] >= 0:
        lowest = max(lowest, routes.end[first] + core.gap)
    if second >= 0 and routes.vehicle[second] >= 0:
        highest = min(highest, routes.latest[second] - core.gap)
    return lowest, highest


def smallest_delay_min(routes: Routes, r: int) -> float | None:
    """Smallest delay of the departure with which a planned truck could serve the request as well.

    All other services keep their windows, trucks and order. None where no delay within a day helps.
    """
    core = routes.core
    if core.pinned[r]:
        return None
    low, high = 0, _FAR
    if not _fits_with(routes, r, high):
        return None
    while low < high:
        middle = (low + high) // 2
        if _fits_with(routes, r, middle):
            high = middle
        else:
            low = middle + 1
    return None if low == 0 else low * TICK_MIN


def _fits_with(routes: Routes, r: int, delay: int) -> bool:
    """Whether a truck could serve the request as well if its departure were so many ticks later."""
    core = copy.copy(routes.core)
    core.due, core.hard = core.due[:], core.hard[:]
    core.due[r] += delay
    core.hard[r] = core.due[r]
    _order_anew(core, r, delay)
    trial = Routes(core)
    trial.restore(routes.copy())
    for v in core.allowed[r]:
        spot = best_spot_of(trial, r, v, any_gain=True)
        if spot is not None and trial.insert(r, spot):
            return True
    return False


def _order_anew(core: Core, r: int, delay: int) -> None:
    """The order of the aircraft's two services once r may end later: there may now be room for water first."""
    mate, request = core.mate[r], core.requests[r]
    if mate >= 0 and request.tank == "waste":
        later = replace(request, latest_end_min=request.latest_end_min + delay * TICK_MIN)
        if water_first(core.problem, core.requests[mate], later):
            core.first, core.second = core.first[:], core.second[:]
            core.first[r], core.second[r] = mate, -1
            core.first[mate], core.second[mate] = -1, r
