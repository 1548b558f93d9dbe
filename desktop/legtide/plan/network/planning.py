"""One press for a day with trucks: every rotation's services and the runs of every station's trucks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import reduce
from typing import Literal

from legtide.day.document import Day
from legtide.day.rotations import rotations
from legtide.language import tr
from legtide.plan.bank.answer import BankResult
from legtide.plan.network.banks import with_truck
from legtide.plan.network.search import PATIENCE, STEPS, NetworkProgress, NetworkSearch, State
from legtide.plan.network.told import as_told, beside
from legtide.plan.rotation.binding import with_binding
from legtide.plan.rotation.choices import Choices, Pick
from legtide.plan.rotation.lanes import EXCESS_PRICE
from legtide.plan.rotation.proposal import Proposal, apply_proposal
from legtide.plan.rotation.records import FILLS, Costs, PlannedService, RotationPlan
from legtide.plan.station.apply import apply_station_plan
from legtide.plan.station.bridge import StationProblem
from legtide.plan.station.moves import Move, missing
from legtide.plan.station.planning import StationPlan

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
    def services(self) -> tuple[PlannedService, ...]:
        """All rotations' services with their trucks, aircraft by aircraft."""
        banks = {row.station.station: row.result.plan for row in self.stations}
        return tuple(with_truck(row, banks.get(row.station)) for plan in self.plans for row in plan.services)

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
    steps: int = STEPS,
    seed: int = 0,
    on_progress: Callable[[NetworkProgress], None] | None = None,
    cancelled: Callable[[], bool] = lambda: False,
) -> NetworkPlan:
    """The cheapest services for all rotations that the stations' trucks can serve.

    Stations without trucks serve what is asked, as in a rotation's plan. The same day gives the same plan where
    it was not cancelled: then it is the best one found by then. Rules and objective are those of a rotation's plan;
    of plans that cost the same the one with fewer truck minutes is taken. `steps` of a search go into each station's
    trucks in each round.
    """
    search = NetworkSearch(day, now, _choices(day, now, fills), steps, PATIENCE, seed, on_progress, cancelled)
    return finished(search, search.run(_cheapest(search)))


def at_once(day: Day, now: datetime | None = None) -> NetworkPlan | None:
    """The plan of a day whose trucks can work all that is cheapest: nothing has to be searched. None for others."""
    search = NetworkSearch(day, now, _choices(day, now, FILLS), steps=0)
    state = search.state(_cheapest(search), {}, {})
    return None if state.left or state.held else finished(search, state)


def _choices(day: Day, now: datetime | None, fills: Sequence[float]) -> dict[str, Choices]:
    """Choices of all aircraft with legs to plan."""
    return {
        name: found
        for name, rotation in rotations(day).items()
        if rotation.legs and (found := Choices(day, rotation, now, fills)).at.legs > 0
    }


def _cheapest(search: NetworkSearch) -> dict[str, Pick]:
    return {name: found.best() for name, found in search.choices.items()}


def finished(search: NetworkSearch, state: State) -> NetworkPlan:
    """The plan that a finished state stands for."""
    day, choices = search.day, search.choices
    plans = tuple(pick.plan for pick in state.picks.values())
    after = apply_proposal(day, Proposal(day, plans))
    told = {code: as_told(after, bank, (), search.now) for code, bank in state.banks.items()}
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


def _moves(
    search: NetworkSearch, state: State, told: Mapping[str, tuple[StationProblem, BankResult]]
) -> Iterable[Move]:
    """What is not as each rotation would have it, in the order of the day."""
    limited = {name: search.choices[name].best() for name in state.picks if state.shut.get(name)}
    needs = search.wishes(limited)
    for name, best in limited.items():
        for row, instead in missing(best, state.picks[name]):
            need = needs.get((name, (row.turn, row.tank)))
            reason = tr("its rotation is planned otherwise")
            if need is not None and row.station in told:
                found, result = told[row.station]
                reason = beside(search.day, found, result.plan, need, search.now).text
            yield Move(row, instead, reason)
