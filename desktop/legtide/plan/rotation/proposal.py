"""Proposals: plans for many aircraft, taken into the day as one edit, and shown against what the day has now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import reduce

from legtide.day.document import Day, Service, Station
from legtide.day.edits import rebuilt, replace_services
from legtide.day.rotations import block_hours, rotations, stations
from legtide.engine.course import happens
from legtide.engine.mass import fuel_for_mass_kg, mean_water_kg
from legtide.engine.projection import project_rotations
from legtide.engine.types import AircraftProjection
from legtide.language import tr
from legtide.plan.rotation.lanes import WASTE_KG_PER_L
from legtide.plan.rotation.planner import plan_of
from legtide.plan.rotation.records import FILLS, Costs, PlanError, PlannedService, RotationPlan, Status
from legtide.plan.rotation.situation import find_rotation
from legtide.plan.rotation.slots import price_of


@dataclass(frozen=True, slots=True, eq=False)
class Proposal:
    """Plans for some aircraft of a day, in the order of the day."""

    day: Day
    plans: tuple[RotationPlan, ...]

    @property
    def status(self) -> Status:
        """`optimal` if every plan is."""
        return "optimal" if all(plan.status == "optimal" for plan in self.plans) else "least_bad"

    @property
    def costs(self) -> Costs:
        """All plans' costs."""
        return reduce(Costs.__add__, (plan.costs for plan in self.plans), Costs())

    @property
    def worst_risk(self) -> float:
        """The largest risk that a plan leaves on a leg."""
        return max((plan.worst_risk for plan in self.plans), default=0.0)

    @property
    def services(self) -> tuple[PlannedService, ...]:
        """All plans' services, aircraft by aircraft."""
        return tuple(row for plan in self.plans for row in plan.services)


def propose(
    day: Day,
    registrations: Iterable[str] | None = None,
    now: datetime | None = None,
    fills: Sequence[float] = FILLS,
) -> Proposal:
    """The cheapest plan for each of some aircraft (all of the day by default).

    Stations' trucks are not looked at: what they can really work is the station's plan.

    Raises:
        PlanError: the day has no such aircraft.
    """
    known = rotations(day)
    wanted = set(known if registrations is None else registrations)
    for name in sorted(wanted - set(known)):
        find_rotation(day, name)  # says what is wrong with it
    levels = sorted(set(fills))
    return Proposal(day, tuple(plan_of(day, known[name], now, levels) for name in known if name in wanted))


def apply_proposal(day: Day, proposal: Proposal) -> Day:
    """The day with the proposal's services, as one edit; what is done, pinned, skipped or missed stays as it is.

    Raises:
        PlanError: services of an aircraft have changed since the proposal was made.
    """
    names = {plan.registration for plan in proposal.plans}
    planned = _rows_of(proposal.day, names)
    if _rows_of(day, names) != planned:
        raise PlanError(tr("the services have changed since this plan was made: plan again"))
    gone = {id(row) for plan in proposal.plans for row in plan.replaced}
    chosen = [row for row in proposal.services if not row.fixed]
    kept = {row.service_id: row for row in chosen if row.service_id}
    out: list[Service] = []
    same = iter(planned)
    for row in day.services:
        if row.aircraft not in names or id(next(same)) not in gone:
            out.append(row)
        elif row.id in kept:
            new = kept[row.id]
            out.append(rebuilt(row, target_percent=new.target_percent, start=new.start))
    out.extend(_new_row(row) for row in chosen if not row.service_id)
    return replace_services(day, out)


def _rows_of(day: Day, names: set[str]) -> list[Service]:
    return [row for row in day.services if row.aircraft in names]


def _new_row(row: PlannedService) -> Service:
    return Service(
        aircraft=row.registration, turn=row.turn, tank=row.tank, target_percent=row.target_percent, start=row.start
    )


# the proposal against the day -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Account:
    """What some services come to, from the first planned turn on."""

    services: int
    costs: Costs
    worst_risk: float
    filled_l: float
    """Mean litres filled."""
    drained_l: float
    """Mean litres drained."""

    def __add__(self, other: Account) -> Account:
        return Account(
            self.services + other.services,
            self.costs + other.costs,
            max(self.worst_risk, other.worst_risk),
            self.filled_l + other.filled_l,
            self.drained_l + other.drained_l,
        )


@dataclass(frozen=True, slots=True)
class Comparison:
    """One aircraft, or all of a proposal (registration empty), before and after."""

    registration: str
    before: Account
    after: Account


def compare(proposal: Proposal) -> tuple[Comparison, ...]:
    """Each aircraft of a proposal as the day has it now and as it would be; the last row is all of them together."""
    after = apply_proposal(proposal.day, proposal)
    sides = [_accounts(day, proposal) for day in (proposal.day, after)]
    rows = [
        Comparison(plan.registration, before, then) for plan, before, then in zip(proposal.plans, *sides, strict=True)
    ]
    none = Account(0, Costs(), 0.0, 0.0, 0.0)
    return (*rows, Comparison("", *(sum(side, none) for side in sides)))


def _accounts(day: Day, proposal: Proposal) -> list[Account]:
    known, places = rotations(day), stations(day)
    wanted = [known[plan.registration] for plan in proposal.plans]
    projected = project_rotations(day, wanted)
    return [
        account(day, found, plan.first_turn, places) for found, plan in zip(projected, proposal.plans, strict=True)
    ]


def account(day: Day, found: AircraftProjection, first_turn: int, places: Mapping[str, Station]) -> Account:
    """What one aircraft's services from a turn on come to, from its projection."""
    policy, legs = day.policy, [leg for leg in found.legs if leg.index >= first_turn]
    rows = [
        row
        for row in found.services
        if first_turn <= row.service.turn < len(found.rotation.legs) and happens(row.service, policy) > 0.0
    ]
    risks = [risk for leg in legs for risk in (leg.risk_fresh_below_reserve, leg.risk_waste_over_limit)]
    fuel_kg = 0.0
    for leg in legs:
        waste_kg = WASTE_KG_PER_L * (leg.waste_departure.mean + leg.waste_arrival.mean) / 2.0
        hours = block_hours(found.rotation.legs[leg.index])
        fuel_kg += fuel_for_mass_kg(mean_water_kg(leg) + waste_kg, hours, policy.fuel_percent_per_h.value)
    due = [row for row in rows if row.service.state == "planned"]
    return Account(
        services=len(rows),
        costs=Costs(
            services=sum(price_of(places.get(row.station), row.service, policy) for row in due),
            fuel=fuel_kg * policy.price_fuel_per_kg.value,
            risk=sum(risks) * policy.price_breach.value,
            fuel_kg=fuel_kg,
        ),
        worst_risk=max(risks, default=0.0),
        filled_l=sum(row.volume.mean for row in rows if row.service.tank == "fresh"),
        drained_l=sum(row.volume.mean for row in rows if row.service.tank == "waste"),
    )
