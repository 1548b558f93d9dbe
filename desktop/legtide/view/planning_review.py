"""A proposal against the present plan: figures now and then, changes in sentences, what stays open and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce

from legtide.day.document import Day, Service
from legtide.day.edits import replace_services
from legtide.day.rotations import stations
from legtide.draw.words import NBSP, likely
from legtide.engine.projection import project
from legtide.engine.types import Projection
from legtide.language import counted, tr
from legtide.plan.network import NetworkPlan
from legtide.plan.rotation.proposal import Account, Proposal, account, apply_proposal
from legtide.plan.rotation.records import Costs, PlannedService, RotationPlan
from legtide.plan.station import apply_station_plan
from legtide.view.planning_moves import as_service, network_verdict, objective_sentence, with_moves
from legtide.view.planning_process import StationFound
from legtide.view.planning_wish import Wish
from legtide.view.planning_words import Line, Places, changes_between, gap_sentence, named, trucks_sentence


@dataclass(frozen=True, slots=True)
class Side:
    """What one aircraft, or all together, come to in one of the two days."""

    account: Account
    warnings: int
    """Open warnings."""
    truckless: int
    """Planned services without a truck at stations that have trucks."""
    truck_min: float
    """Minutes that trucks stand at the aircraft for services planned or done."""


@dataclass(frozen=True, slots=True)
class Row:
    """One aircraft now and then; all together where the registration is empty."""

    registration: str
    now: Side
    then: Side


@dataclass(frozen=True, slots=True, eq=False)
class Review:
    """Everything that is shown of a proposal before it is taken."""

    wish: Wish
    day: Day
    """The day with the proposal in it; the wish's own day where nothing changes."""
    projection: Projection
    """Of `day`."""
    title: str
    verdict: str
    settled: bool
    """Whether everything that was asked for is done."""
    rows: tuple[Row, ...]
    """All together first, then each aircraft that was planned; only the aircraft where it is one."""
    changes: tuple[Line, ...]
    unserved: tuple[Line, ...]
    """What cannot be served: the reason, and what would make it possible."""
    step: str
    """Name of the undo step that taking it makes."""
    objective: str = ""
    """What trucks' plans are compared by, in its order; empty where no trucks are planned."""

    @property
    def aircraft(self) -> int:
        """How many aircraft are compared."""
        return sum(bool(row.registration) for row in self.rows)

    @property
    def changed(self) -> bool:
        """Whether there is anything to take."""
        return self.day is not self.wish.day


# rotations ------------------------------------------------------------------------------------------------


def review_of_rotations(wish: Wish, proposal: Proposal) -> Review:
    """The review of rotations planned on the wish's day. Raises PlanError where the proposal is of another one."""
    day = apply_proposal(wish.day, proposal)
    projection = project(day, wish.projection)
    first = {plan.registration: plan.first_turn for plan in proposal.plans}
    places = Places(wish.day)
    unserved = _binding_lines(places, proposal.plans)
    names = tuple(first)
    who = names[0] if len(names) == 1 else counted(len(names), "{n} aircraft", "{n} aircraft")
    return Review(
        wish,
        day,
        projection,
        title=tr("Plan for {who}").format(who=who),
        verdict=_rotations_verdict(wish, proposal),
        settled=proposal.status == "optimal" and len(names) == len(wish.aircraft),
        rows=compared(wish.day, wish.projection, projection, first),
        changes=changes_between(wish.day, day),
        unserved=tuple(unserved),
        step=tr("Take the plan for {who}").format(who=who),
    )


def _binding_lines(places: Places, plans: Sequence[RotationPlan]) -> list[Line]:
    """What binds where the limit cannot be kept, and the turns that cannot help."""
    out = [
        Line(tr("{aircraft}: {what}.").format(aircraft=plan.registration, what=plan.binding), plan.registration)
        for plan in plans
        if plan.binding
    ]
    for plan in plans:
        for row in plan.obstacles:
            words = tr("No water service for {aircraft} at {place}: {reason}.")
            if row.tank == "waste":
                words = tr("No waste service for {aircraft} at {place}: {reason}.")
            text = words.format(aircraft=plan.registration, place=places.station(row.station), reason=row.reason)
            out.append(Line(text, plan.registration, row.turn))
    return out


def _rotations_verdict(wish: Wish, proposal: Proposal) -> str:
    limit = f"{100.0 * wish.day.policy.risk_limit.value:g}{NBSP}%"
    if proposal.status == "optimal":
        text = tr("Every leg's risk stays within {limit}, and no plan that keeps it costs less.").format(limit=limit)
    else:
        words = tr(
            "No plan keeps every leg within {limit}. This one leaves the smallest risk that can be had: {risk}."
        )
        text = words.format(limit=limit, risk=likely(proposal.worst_risk))
    left = len(wish.aircraft) - len(proposal.plans)
    if left:
        words = counted(
            left, "You stopped before {n} aircraft was planned.", "You stopped before {n} aircraft were planned."
        )
        text = f"{words} {text}"
    return text


# trucks ---------------------------------------------------------------------------------------------------


def review_of_trucks(wish: Wish, found: StationFound) -> Review:
    """The review of a station's plan made for the wish's day."""
    plan, result = found.result.plan, found.result
    day = (
        _with_services(wish.day, found.services) if found.moves else apply_station_plan(wish.day, found.station, plan)
    )
    projection = project(day, wish.projection)
    needs, places = found.station.needs, Places(wish.day)
    station = places.station(wish.station)
    words = {key: named(need.service) for key, need in needs.items()}
    why = {needs[row.request].service.id: _in_words(row.why, words) for row in found.changes if row.kind != "new"}
    served, asked = len(plan.assignments), len(plan.assignments) + len(plan.unserved)
    unserved = []
    for row in plan.unserved:
        service = needs[row.request].service
        reason = "; ".join(filter(None, (_in_words(row.text, words), found.elsewhere.get(row.request, ""))))
        text = tr("No {service} at {place}: {reason}.")
        line = text.format(service=named(service), place=places.at(service), reason=reason)
        unserved.append(Line(line, service.aircraft, service.turn, service.id))
    aircraft = dict.fromkeys(need.rotation.registration for need in needs.values())
    verdict = trucks_sentence(served, asked)
    if wish.kind == "trucks":
        verdict = f"{verdict} {gap_sentence(result.gap)}"
    if found.moves:
        moved = counted(
            len(found.moves), "{n} service is planned at another turn.", "{n} services are planned at other turns."
        )
        verdict = f"{verdict} {moved}"
    if plan.unserved:
        verdict = f"{verdict} {tr('Without a truck a service stays planned, and the figures count it as done.')}"
    return Review(
        wish,
        day,
        projection,
        title=tr("Trucks at {station}").format(station=station),
        verdict=verdict,
        settled=not plan.unserved,
        rows=compared(wish.day, wish.projection, projection, dict.fromkeys(aircraft, 0)),
        changes=with_moves(places, found.moves, changes_between(wish.day, day, why), words),
        unserved=tuple(unserved),
        step=tr("Take the trucks' plan at {station}").format(station=station),
        objective=objective_sentence(
            plan.figures.delay_min,
            tr("risk avoided {value}").format(value=f"{plan.figures.value:.0f}"),
            plan.figures.cost,
            plan.figures.truck_min,
        ),
    )


# rotations and trucks together ----------------------------------------------------------------------------


def review_of_network(wish: Wish, plan: NetworkPlan) -> Review:
    """The review of a plan of all rotations and trucks made for the wish's day."""
    day = _with_services(wish.day, plan.day.services)
    projection = project(day, wish.projection)
    places = Places(wish.day)
    first = {row.registration: row.first_turn for row in plan.plans}
    who = counted(len(first), "{n} aircraft", "{n} aircraft")
    unserved = [_left_line(places, move.wanted, move.reason) for move in plan.moves if not move.instead]
    for station in plan.stations:
        for left in station.result.plan.unserved:
            row = station.station.needs[left.request].service
            words = tr("No {service} at {place}: {reason}.")
            line = words.format(service=named(row), place=places.at(row), reason=left.text)
            unserved.append(Line(line, row.aircraft, row.turn, row.id))
    unserved += _binding_lines(places, plan.wanted)
    return Review(
        wish,
        day,
        projection,
        title=tr("Plan for {who}").format(who=who),
        verdict=network_verdict(wish.day, plan),
        settled=plan.status != "least_bad" and not unserved,
        rows=compared(wish.day, wish.projection, projection, first),
        changes=with_moves(places, plan.moves, changes_between(wish.day, day), {}),
        unserved=tuple(unserved),
        step=tr("Take the plan for {who}").format(who=who),
        objective=objective_sentence(
            plan.delay_min,
            tr("risk {value}").format(value=f"{plan.costs.risk:.0f}"),
            plan.costs.services,
            plan.truck_min,
        ),
    )


def _left_line(places: Places, row: PlannedService, reason: str) -> Line:
    service = as_service(row)
    text = tr("No {service} at {place}: {reason}.")
    words = text.format(service=named(service), place=places.at(service), reason=reason)
    return Line(words, row.registration, row.turn, row.service_id)


def _with_services(day: Day, services: Sequence[Service]) -> Day:
    """The day with other services; those that are the same as before stay the same objects."""
    known = {row.id: row for row in day.services}
    return replace_services(day, [known[row.id] if known.get(row.id) == row else row for row in services])


def _in_words(text: str, words: Mapping[str, str]) -> str:
    """A reason with services called by their names."""
    for key in sorted(words, key=len, reverse=True):
        text = text.replace(key, tr("the {service}").format(service=words[key]))
    return text


# now and then ---------------------------------------------------------------------------------------------


def compared(day: Day, now: Projection, then: Projection, first: Mapping[str, int]) -> tuple[Row, ...]:
    """All together, then each aircraft of `first`, counted from its first planned turn on.

    One aircraft alone is not counted together; without aircraft there is no row.
    """
    rows = [
        Row(name, *(_side(day, side, name, turn) for side in (now, then)))
        for name, turn in first.items()
        if name in now.aircraft and name in then.aircraft
    ]
    if len(rows) < 2:
        return tuple(rows)
    together = Row("", _together([row.now for row in rows], now), _together([row.then for row in rows], then))
    return (together, *rows)


def _together(sides: Sequence[Side], projection: Projection) -> Side:
    accounts = reduce(Account.__add__, (side.account for side in sides), Account(0, Costs(), 0.0, 0.0, 0.0))
    elsewhere = sum(row.severity != "note" and not row.aircraft for row in projection.warnings)
    return Side(
        accounts,
        elsewhere + sum(side.warnings for side in sides),
        sum(side.truckless for side in sides),
        sum(side.truck_min for side in sides),
    )


def _side(day: Day, projection: Projection, name: str, first_turn: int) -> Side:
    found, places = projection.aircraft[name], stations(day)
    truckless = sum(
        row.service.state == "planned" and row.service.truck is None and bool(places[row.station].trucks)
        for row in found.services
        if row.service.turn >= first_turn and row.station in places
    )
    warnings = sum(row.severity != "note" for row in projection.warnings if row.aircraft == name)
    minutes = sum(
        (row.end - row.start).total_seconds() / 60.0
        for row in found.services
        if row.service.turn >= first_turn
        and row.service.truck is not None
        and row.service.state in ("planned", "done")
        and row.start is not None
        and row.end is not None
    )
    return Side(account(day, found, first_turn, places), warnings, truckless, minutes)
