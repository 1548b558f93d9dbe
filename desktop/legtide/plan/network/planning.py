"""One press for a day with trucks: every rotation's services and the runs of every station's trucks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import reduce
from typing import Literal

from legtide.day.document import Day
from legtide.day.rotations import rotations, stations
from legtide.engine.projection import project
from legtide.engine.types import Projection
from legtide.plan.bank.answer import BankResult, gap_of
from legtide.plan.bank.answer import Status as BankStatus
from legtide.plan.bank.report import figures_of, worth_of
from legtide.plan.bank.unserved import explain_beside
from legtide.plan.network.banks import Bank
from legtide.plan.network.moves import Move, missing
from legtide.plan.network.search import PATIENT, NetworkProgress, NetworkSearch, State
from legtide.plan.rotation.binding import with_binding
from legtide.plan.rotation.choices import Choices
from legtide.plan.rotation.lanes import EXCESS_PRICE
from legtide.plan.rotation.proposal import Proposal, apply_proposal
from legtide.plan.rotation.records import FILLS, Costs, RotationPlan
from legtide.plan.station.apply import apply_station_plan
from legtide.plan.station.bridge import StationProblem, bank_of
from legtide.plan.station.needs import Need, station_needs
from legtide.plan.station.planning import StationPlan
from legtide.plan.stop import Stop

_SAME = 1e-6
"""Share of the cost below which a difference is none."""
Status = Literal["optimal", "feasible", "least_bad"]


@dataclass(frozen=True, slots=True, eq=False)
class NetworkPlan:
    """A day's plan that its trucks can work."""

    day: Day
    """The day with the plan in it."""
    plans: tuple[RotationPlan, ...]
    """The rotations' plans, in the order of the day."""
    stations: tuple[StationPlan, ...]
    """The plans of the stations that have trucks."""
    moves: tuple[Move, ...]
    """What the trucks could not serve where it would have been cheapest."""
    bound: float
    """No plan that goes no further beyond the limit costs less, however many trucks there are."""
    delay_cost: float
    """Departures' delays at the policy's price."""
    wanted: tuple[RotationPlan, ...]
    """The rotations' plans if trucks were no matter; each says what binds where the limit cannot be kept."""

    @property
    def costs(self) -> Costs:
        """All rotations' costs; truck minutes and delays are not in them."""
        return reduce(Costs.__add__, (plan.costs for plan in self.plans), Costs())

    @property
    def cost(self) -> float:
        """Services, fuel, risk and delays at their prices."""
        return self.costs.total + self.delay_cost

    @property
    def delay_min(self) -> float:
        """Minutes of departure delay."""
        return sum(row.result.plan.figures.delay_min for row in self.stations)

    @property
    def truck_min(self) -> float:
        """Minutes in which trucks drive, reload or serve."""
        return sum(row.result.plan.figures.truck_min for row in self.stations)

    @property
    def worst_risk(self) -> float:
        """The largest risk that the plan leaves on a leg."""
        return max((plan.worst_risk for plan in self.plans), default=0.0)

    @property
    def status(self) -> Status:
        """`optimal` where the bound is reached, `least_bad` where a leg stays beyond the limit."""
        if any(plan.status != "optimal" for plan in self.plans):
            return "least_bad"
        reached = self.cost - self.bound <= _SAME * max(1.0, self.cost)
        return "optimal" if reached and not any(row.result.plan.unserved for row in self.stations) else "feasible"


def plan_network(
    day: Day,
    *,
    now: datetime | None = None,
    fills: Sequence[float] = FILLS,
    stop: Stop = PATIENT,
    seed: int = 0,
    on_progress: Callable[[NetworkProgress], None] | None = None,
    cancelled: Callable[[], bool] = lambda: False,
) -> NetworkPlan:
    """The cheapest services for all rotations that the stations' trucks can serve.

    Stations without trucks serve what is asked, as in a rotation's plan. The same day gives the same plan where
    `stop` reads no clock; cancelled, it is the best plan found by then. Rules and objective are those of a rotation's
    plan; of plans that cost the same the one with fewer truck minutes is taken.
    """
    known = rotations(day)
    choices = {
        name: found
        for name, rotation in known.items()
        if rotation.legs and (found := Choices(day, rotation, now, fills)).at.legs > 0
    }
    search = NetworkSearch(day, now, choices, stop, seed, on_progress, cancelled)
    return finished(search, search.run({name: found.best() for name, found in choices.items()}))


def has_trucks(day: Day) -> bool:
    """Whether any station of the day has trucks."""
    return any(row.trucks for row in day.stations)


def finished(search: NetworkSearch, state: State) -> NetworkPlan:
    """The plan that a finished state stands for."""
    day, choices = search.day, search.choices
    plans = tuple(pick.plan for pick in state.picks.values())
    after = apply_proposal(day, Proposal(day, plans))
    projection = project(after)
    told = {code: _as_told(after, projection, bank, search.now) for code, bank in state.banks.items()}
    for found, result in told.values():
        after = apply_station_plan(after, found, result.plan)
    return NetworkPlan(
        after,
        plans,
        tuple(StationPlan(found, result, after) for found, result in told.values()),
        tuple(_moves(search, state, told)),
        _bound(state, choices),
        sum(
            result.plan.figures.delay_min * (found.problem.weights.delay_per_min or 0.0)
            for found, result in told.values()
        ),
        tuple(with_binding(found.at, found.best().plan) for found in choices.values()),
    )


def _bound(state: State, choices: Mapping[str, Choices]) -> float:
    """From each rotation's exact plan with a truck wherever one is asked for."""
    beyond = sum(pick.beyond for pick in state.picks.values())
    if beyond <= 0.0:
        return sum(found.best().plan.cost for found in choices.values())
    within = sum(found.least_burden for found in choices.values()) - EXCESS_PRICE * beyond
    return max(within, sum(found.least_cost for found in choices.values()))


def _as_told(day: Day, projection: Projection, bank: Bank, now: datetime | None) -> tuple[StationProblem, BankResult]:
    """A station's plan with each service at the risk that it avoids, all others being done."""
    code = bank.station.station
    found = bank_of(day, stations(day)[code], station_needs(day, projection, code, propose=False), now)
    figures = figures_of(found.problem, bank.result.plan.assignments, bank.result.plan.runs)
    plan = replace(bank.result.plan, figures=figures, worth=worth_of(found.problem, figures))
    bound = sum(request.best_value for request in found.problem.requests)
    gap = gap_of(plan.worth, bound)
    status: BankStatus = "optimal" if gap == 0.0 else "feasible"
    return found, replace(bank.result, plan=plan, bound=bound, gap=gap, status=status)


def _moves(
    search: NetworkSearch, state: State, told: Mapping[str, tuple[StationProblem, BankResult]]
) -> Iterable[Move]:
    """What is not as each rotation would have it, in the order of the day."""
    limited = {name: search.choices[name].best() for name in state.picks if state.shut.get(name)}
    needs = search.wishes(limited)
    for name, best in limited.items():
        for row, instead in missing(best, state.picks[name]):
            need = needs.get((name, (row.turn, row.tank)))
            reason = "its rotation is planned otherwise"
            if need is not None and row.station in told:
                reason = why_left(search, *told[row.station], need)
            yield Move(row, instead, reason)


def why_left(search: NetworkSearch, found: StationProblem, result: BankResult, need: Need) -> str:
    """Why the trucks cannot serve one more need beside what they do."""
    others = [row for row in found.needs.values() if row.id != need.id]
    asked = bank_of(search.day, stations(search.day)[found.station], [*others, need], search.now)
    kept = tuple(row for row in result.plan.assignments if row.request != need.id)
    left = explain_beside(asked.problem, replace(result.plan, assignments=kept), need.id)
    return left.text if left.reason != "not_worth" else "all aircraft together are better off without it"
