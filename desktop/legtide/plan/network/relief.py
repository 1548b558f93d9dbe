"""A station whose trucks are short: services moved to other turns of their rotations, at this station or another.

All that the day has at other stations stays as it is, and trucks there keep their work: a service comes there only
where they have time for it. The plan is taken only where the aircraft concerned are better off together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime

from legtide.day.document import Day, Service
from legtide.day.edits import number_services, rebuilt, replace_services
from legtide.day.rotations import Rotation, rotations, stations
from legtide.engine.projection import project_rotations
from legtide.engine.types import AircraftProjection
from legtide.plan.network.banks import Bank, with_truck
from legtide.plan.network.search import NetworkProgress, NetworkSearch, State
from legtide.plan.network.told import as_told, beside
from legtide.plan.rotation.choices import Choices, Limits, Pick, Spot
from legtide.plan.rotation.lanes import EXCESS_PRICE
from legtide.plan.rotation.proposal import Proposal, account, apply_proposal
from legtide.plan.rotation.records import FILLS, PlanError, PlannedService
from legtide.plan.station.apply import apply_station_plan
from legtide.plan.station.moves import Move
from legtide.plan.station.needs import Need
from legtide.plan.station.planning import StationPlan

_PATIENCE = 60
"""Attempts without gain after which the search ends: a station waits for its plan."""
_GAIN = 0.01
"""Least gain in price units for which services are moved."""


def relieved(
    plan: StationPlan,
    *,
    now: datetime | None = None,
    on_progress: Callable[[NetworkProgress], None] | None = None,
    cancelled: Callable[[], bool] = lambda: False,
) -> StationPlan:
    """The plan with services moved where that is better than to leave them out; else the plan itself."""
    station = stations(plan.day)[plan.station.station]
    if not plan.result.plan.unserved or not station.trucks:
        return plan
    return _Relief(plan, now).found(on_progress, cancelled) or plan


@dataclass(frozen=True, slots=True)
class _Result:
    """A finished search in terms of the day."""

    day: Day
    moves: tuple[Move, ...]
    left: tuple[Need, ...]


class _Relief:
    def __init__(self, plan: StationPlan, now: datetime | None) -> None:
        self.plan, self.now, self.code = plan, now, plan.station.station
        self.needs = plan.station.needs
        self.names = list(dict.fromkeys(need.rotation.registration for need in self.needs.values()))
        open_ = {row.request for row in plan.result.plan.unserved}
        proposals = [need.service for key, need in self.needs.items() if key in open_ and not need.service.id]
        self.asked = number_services(replace_services(plan.day, [*plan.day.services, *proposals]))
        """The day with all that the station was asked for."""
        self.held = replace_services(self.asked, [self._hold(row) for row in self.asked.services])
        self.choices: dict[str, Choices] = {}
        self.shut: dict[str, Limits] = {}
        """Aircraft -> what was asked for though its turns cannot take it."""
        for name in self.names:
            self._choose(name)

    def _station(self, row: Service) -> str:
        turns = rotations(self.plan.day)[row.aircraft].turns
        return turns[row.turn].station if row.turn < len(turns) else ""

    def _hold(self, row: Service) -> Service:
        """What is planned elsewhere stays."""
        free = row.state != "planned" or row.pinned or self._station(row) == self.code
        return row if free else rebuilt(row, pinned=True)

    def _choose(self, name: str) -> None:
        rotation = rotations(self.held)[name]
        asked = {
            (row.turn, row.tank): row.target
            for row in rotation.services
            if row.state == "planned" and not row.pinned and row.turn < len(rotation.legs)
        }
        fills = sorted({*FILLS, *(target for (_, tank), target in asked.items() if tank == "fresh" and target > 0.0)})
        found = Choices(self.held, rotation, self.now, fills, asked)
        shut = {spot: target for spot, target in asked.items() if not found.takes(spot, target)}
        # What does not fit together, such as fills above the target, is left as the day has it.
        with suppress(PlanError):
            if found.at.legs > 0 and found.best(shut):
                self.choices[name], self.shut[name] = found, shut

    def found(
        self, on_progress: Callable[[NetworkProgress], None] | None, cancelled: Callable[[], bool]
    ) -> StationPlan | None:
        """The better plan, or none."""
        search = NetworkSearch(
            self.held, self.now, self.choices, patience=_PATIENCE, on_progress=on_progress, cancelled=cancelled
        )
        before = {self.code: Bank(self.plan.station, self.plan.result.plan)}
        picks = {name: found.best(self.shut[name]) for name, found in self.choices.items()}
        state = search.run(picks, before, self.shut)
        result = self._result(state)
        if not any(move.instead for move in result.moves):
            return None
        after = self._told(state, result)
        gain = _burden(self.plan.day, self.names) - _burden(after.day, self.names)
        return after if gain > _GAIN else None

    # from the search to the day -------------------------------------------------------------------------------

    def _result(self, state: State) -> _Result:
        plans = {code: bank.plan for code, bank in state.banks.items()}
        moves: list[Move] = []
        left: list[Need] = []
        for name, pick in state.picks.items():
            new = [with_truck(row, plans.get(row.station)) for row in self._new_rows(name, pick)]
            for need in self.needs.values():
                if self._is_missing(name, pick, need):
                    instead = tuple(row for row in new if row.tank == need.service.tank)
                    if instead:
                        moves.append(Move(self._wanted(need), instead, self._why(state, need)))
                    else:
                        left.append(need)
        return _Result(self._day(state, moves, left), tuple(moves), tuple(left))

    def _is_missing(self, name: str, pick: Pick, need: Need) -> bool:
        spot = (need.service.turn, need.service.tank)
        return need.rotation.registration == name and spot not in pick.chosen and not self._fixed(name, spot)

    def _fixed(self, name: str, spot: Spot) -> bool:
        at = self.choices[name].at
        return spot in at.fixed or not at.first_turn <= spot[0] < at.first_turn + at.legs

    def _new_rows(self, name: str, pick: Pick) -> list[PlannedService]:
        had = {(row.turn, row.tank) for row in self.choices[name].rotation.services}
        return [row for spot, row in pick.chosen.items() if spot not in had]

    @staticmethod
    def _wanted(need: Need) -> PlannedService:
        row, station = need.service, need.rotation.turns[need.service.turn].station
        target = need.ways[0].target_percent
        return PlannedService(row.aircraft, row.turn, station, row.tank, target, row.start, None, need.price, row.id)

    def _why(self, state: State, need: Need) -> str:
        bank = state.banks[self.code]
        return beside(self.held, bank.station, bank.plan, need, self.now).text

    def _day(self, state: State, moves: Iterable[Move], left: Iterable[Need]) -> Day:
        """The day with the choices in it; what is left out and was in the day stays planned without a truck."""
        after = apply_proposal(self.held, Proposal(self.held, tuple(pick.plan for pick in state.picks.values())))
        before = {row.id: row for row in self.asked.services}
        placed = {(row.registration, row.turn, row.tank): row for move in moves for row in move.instead if row.truck}
        rows: list[Service] = []
        for row in after.services:
            was, place = before.get(row.id), placed.get((row.aircraft, row.turn, row.tank))
            if was is not None:
                rows.append(was if self._station(row) != self.code else rebuilt(row, pinned=was.pinned))
            elif place is not None:
                rows.append(rebuilt(row, truck=place.truck, start=place.start))
            else:
                rows.append(row)
        there = {row.id for row in rows}
        stay = [need.service for need in left if need.service.id and need.service.id not in there]
        return replace_services(after, [*rows, *(rebuilt(row, truck=None) for row in stay)])

    def _told(self, state: State, result: _Result) -> StationPlan:
        found, answer = as_told(result.day, state.banks[self.code], result.left, self.now)
        return StationPlan(found, answer, apply_station_plan(result.day, found, answer.plan), (), result.moves)


def _burden(day: Day, names: Iterable[str]) -> float:
    """What some aircraft come to with the services that are really done: those without a truck are not."""
    known, places = rotations(day), stations(day)
    wanted = [_worked(known[name], lambda code: bool(code in places and places[code].trucks)) for name in names]
    return sum(_burden_of(day, found) for found in project_rotations(day, wanted))


def _worked(rotation: Rotation, has_trucks: Callable[[str], bool]) -> Rotation:
    def done(row: Service) -> bool:
        at = rotation.turns[row.turn].station if row.turn < len(rotation.turns) else ""
        return row.state != "planned" or row.truck is not None or not has_trucks(at)

    return replace(rotation, services=tuple(row for row in rotation.services if done(row)))


def _burden_of(day: Day, found: AircraftProjection) -> float:
    limit = day.policy.risk_limit.value
    risks = [r for leg in found.legs for r in (leg.risk_fresh_below_reserve, leg.risk_waste_over_limit)]
    beyond = sum(max(0.0, risk - limit) for risk in risks)
    return account(day, found, 0, stations(day)).costs.total + EXCESS_PRICE * beyond
