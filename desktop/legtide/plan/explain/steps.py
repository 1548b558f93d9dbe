"""Explains services, plans and trigger readings: what was decided, and what the other choice would bring."""

from __future__ import annotations

from dataclasses import replace

from legtide.day.document import Day, Service, Tank
from legtide.day.rotations import Rotation, stations
from legtide.engine.projection import project_rotations
from legtide.engine.types import AircraftProjection, ServiceResult
from legtide.engine.warnings import leg_risk, percent_text
from legtide.language import tr
from legtide.plan.explain.figures import gauge_inputs, limit_inputs, policy_inputs, use_inputs
from legtide.plan.explain.records import Explanation, Input, Part
from legtide.plan.rotation.planner import plan_of
from legtide.plan.rotation.proposal import account
from legtide.plan.rotation.slots import price_of
from legtide.plan.triggers.finder import next_service, rotation_triggers
from legtide.plan.triggers.records import Trigger
from legtide.plan.triggers.report import trigger_text

_PRICES = ("price_breach", "price_fuel_per_kg", "fuel_percent_per_h", "risk_limit")
_OWN_PRICE: dict[Tank, str] = {"fresh": "price_fresh_service", "waste": "price_waste_service"}


def explain_service(day: Day, found: AircraftProjection, row: ServiceResult) -> Explanation:
    """Why a service is there: what the legs up to the tank's next service would risk without it."""
    service, rotation = row.service, found.rotation
    without = project_rotations(day, [_without(rotation, service)])[0]
    following = next_service(rotation, day.policy, service.turn, service.tank)
    legs = range(service.turn, len(rotation.legs) if following is None else following)
    now, then = (_worst(one, legs, service.tank) for one in (found, without))
    places = stations(day)
    before, after = account(day, found, 0, places), account(day, without, 0, places)
    price = price_of(places.get(row.station), service, day.policy)
    word = tr("Water service") if service.tank == "fresh" else tr("Toilet service")
    end = (
        tr("the end of the rotation")
        if following is None
        else tr("the next one at {station}").format(station=rotation.turns[following].station)
    )
    return Explanation(
        what=f"service:{service.id}",
        title=tr("{service} of {aircraft} at {station}: without it {risk} risk up to {end}").format(
            service=word, aircraft=rotation.registration, station=row.station, risk=percent_text(then), end=end
        ),
        value=then - now,
        unit="probability",
        words=tr(
            "The largest risk of the legs up to the tank's next service, without and with this one; it is worth its "
            "price where the limit asks for it, or where the risk it saves on all legs costs more"
        ),
        formula=tr("saved = C0 - C1; C = prices of services + fuel for the mass carried + risks x price of a breach"),
        parts=(
            Part(tr("Largest risk without it"), "P0", then, "probability"),
            Part(tr("Largest risk with it"), "P1", now, "probability"),
            Part(tr("Price of the service"), "c", price, "price unit"),
            Part(tr("Cost of the rotation without it"), "C0", after.costs.total, "price unit"),
            Part(tr("Cost of the rotation with it"), "C1", before.costs.total, "price unit"),
            Part(tr("Saved"), "C0 - C1", after.costs.total - before.costs.total, "price unit"),
        ),
        inputs=(
            Input(tr("Target"), service.target, "% of capacity"),
            Input(tr("State of the service"), tr(service.state)),
            *policy_inputs(day, *_PRICES, _OWN_PRICE[service.tank]),
            *limit_inputs(day, rotation.fit, service.tank),
        ),
        notes=_service_notes(service, then, day.policy.risk_limit.value),
    )


def _worst(found: AircraftProjection, legs: range, tank: Tank) -> float:
    return max((leg_risk(found.legs[leg], tank) for leg in legs), default=0.0)


def _without(rotation: Rotation, service: Service) -> Rotation:
    return replace(rotation, services=tuple(row for row in rotation.services if row is not service))


def _service_notes(service: Service, risk_without: float, limit: float) -> tuple[str, ...]:
    notes = []
    if service.state in ("skipped", "missed"):
        notes.append(
            tr("The service is {state}: it does not happen, and both sides are the same").format(
                state=tr(service.state)
            )
        )
    elif risk_without > limit:
        notes.append(
            tr("Without it the limit of {limit} is passed: the limit asks for it").format(limit=percent_text(limit))
        )
    else:
        notes.append(
            tr("The limit of {limit} would hold without it: only its cost decides").format(limit=percent_text(limit))
        )
    if service.pinned:
        notes.append(tr("It is pinned: a plan leaves it where it is"))
    return tuple(notes)


def explain_plan(day: Day, rotation: Rotation) -> Explanation:
    """What the cheapest plan of a rotation costs, and what binds it."""
    plan = plan_of(day, rotation, None)
    status = (
        tr("cheapest within the limit") if plan.status == "optimal" else tr("least bad, the limit cannot be kept")
    )
    risk = percent_text(plan.worst_risk)
    services = [
        Input(
            tr("{service} at {station}, turn {turn}").format(
                service=tr("Fill") if row.tank == "fresh" else tr("Drain"), station=row.station, turn=row.turn
            ),
            tr("{percent:g} % for {price:g}").format(percent=row.target_percent, price=row.price)
            + (tr(" (fixed)") if row.fixed else ""),
        )
        for row in plan.services
    ]
    return Explanation(
        what=f"plan:{rotation.registration}",
        title=tr("Plan of {aircraft}: cost {cost:.0f}, largest risk {risk}; {status}").format(
            aircraft=rotation.registration, cost=plan.cost, risk=risk, status=status
        ),
        value=plan.cost,
        unit="price unit",
        words=tr(
            "Of all sets of services and fill levels that fit the windows and keep every leg's risk within the "
            "limit, the one with the least sum of service prices, fuel for the mean mass carried, and risk times the "
            "price of a breach (a shortest path over both tanks: nothing cheaper exists)"
        ),
        formula=tr("C = sum of prices + f p sum over legs (m h) + b sum over legs and tanks P"),
        parts=(
            Part(tr("Prices of the services"), tr("sum of prices"), plan.costs.services, "price unit"),
            Part(tr("Fuel for the mass carried"), "f sum (m h)", plan.costs.fuel_kg, "kg"),
            Part(tr("Its cost"), "f p sum (m h)", plan.costs.fuel, "price unit"),
            Part(tr("Price of the risk left"), "b sum P", plan.costs.risk, "price unit"),
            Part(tr("Cost"), "C", plan.cost, "price unit"),
            Part(tr("Largest risk of a leg"), "max P", plan.worst_risk, "probability"),
        ),
        inputs=(*services, *policy_inputs(day, *_PRICES, *_OWN_PRICE.values())),
        notes=(plan.binding,) if plan.binding else (),
    )


def explain_trigger(day: Day, rotation: Rotation, turn: int, tank: Tank) -> Explanation:
    """The gauge reading that decides whether to go on without a service at a turn."""
    row = next(row for row in rotation_triggers(day, rotation) if row.turn == turn and row.tank == tank)
    end = tr("the end of the rotation")
    if row.next_service_turn is not None:
        end = tr("the next service at {station}, turn {turn}").format(
            station=rotation.turns[row.next_service_turn].station, turn=row.next_service_turn
        )
    return Explanation(
        what=f"trigger:{rotation.registration}:{turn}:{tank}",
        title=f"{rotation.registration} at {row.station}: {trigger_text(row)}",
        value=row.trigger_percent,
        unit="% of capacity",
        words=tr(
            "For each step of the gauge: level and day factor given that reading, then the largest risk up to "
            "{end}, without a service here. The trigger is the last step within the limit"
        ).format(end=end),
        formula=tr(
            "P(s) = sum over theta, r of p(theta, r | s) P(U >= r - M | theta); the last s with P(s) <= limit"
        ),
        parts=tuple(_step_parts(row)),
        inputs=(
            *gauge_inputs(rotation.fit.gauge(tank)),
            *limit_inputs(day, rotation.fit, tank),
            *use_inputs(day, rotation, tank),
        ),
        notes=(tr("The operator's manuals decide: the reading is advice"),),
    )


def _step_parts(row: Trigger) -> list[Part]:
    parts = []
    for step in row.steps:
        label = tr("Risk if the gauge shows {percent:g} % ({chance} likely)").format(
            percent=step.percent, chance=percent_text(step.probability)
        )
        parts.append(Part(label, f"P({step.percent:g})", step.risk, "probability"))
    return parts
