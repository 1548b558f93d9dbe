"""One plan for rotations and trucks: what the trucks cannot serve is planned elsewhere, until nothing is left over.

Each aircraft has its cheapest services when trucks are no matter. The stations' trucks are then planned with what
each aircraft would lose without each service: so what is left out is what can best be had elsewhere. That is shut
for its aircraft, the rotation planned anew, and so on: an aircraft served earlier needs less later, and one that
moves to another station takes up trucks there. Every round shuts something, so the rounds end.

After that some aircraft, again and again, are given back what was shut for them, and some give up a service of which
others may have more; the rounds go on from there. What comes out is kept where all together are better off. All that
is random comes from one seeded stream, and no clock is read: the same day gives the same plan.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TypeAlias

from legtide.day.document import TANKS, Day
from legtide.day.rotations import Rotation, Turn, rotations
from legtide.plan.network.banks import Bank, Demand, problem_of, solved, usual_value
from legtide.plan.rotation.choices import Choices, Limits, Pick, Spot
from legtide.plan.station.needs import ASKED, Need

STEPS = 40
"""Steps in which the trucks of one station are planned in one round."""
_EPS = 1e-6
PATIENCE = 150
"""Attempts without gain after which the search ends."""
_TOGETHER = 3
"""Rivals that choose anew with an aircraft are fewer than this."""
_STAYS, _GIVES_UP = 0.3, 0.5
"""Probabilities: that something shut stays shut, and that an aircraft gives up a service."""
_Key: TypeAlias = tuple[float, float]
_Shut: TypeAlias = frozenset[tuple[str, Spot, float]]


@dataclass(frozen=True, slots=True)
class State:
    """What every aircraft has chosen, and the trucks that serve it."""

    picks: Mapping[str, Pick]
    shut: Mapping[str, Limits]
    """Aircraft -> what its trucks could not do."""
    banks: Mapping[str, Bank]
    left: tuple[tuple[str, Spot], ...]
    """Chosen services that no truck serves: none in a finished state."""
    held: tuple[tuple[str, Spot], ...]
    """Services that may not move and that no truck serves."""

    @property
    def burden(self) -> float:
        """Costs, what is beyond the limit at its price, and departures' delays at theirs."""
        delays = sum(
            bank.plan.figures.delay_min * (bank.station.problem.weights.delay_per_min or 0.0)
            for bank in self.banks.values()
        )
        return delays + sum(pick.burden for pick in self.picks.values())

    @property
    def truck_min(self) -> float:
        """Minutes in which trucks drive, reload or serve."""
        return sum(bank.plan.figures.truck_min for bank in self.banks.values())

    @property
    def key(self) -> _Key:
        """What states are compared by: less is better."""
        return (round(self.burden / _EPS) * _EPS, self.truck_min)


@dataclass(frozen=True, slots=True)
class NetworkProgress:
    """What a running search tells."""

    rounds: int
    state: State


@dataclass(slots=True)
class NetworkSearch:
    """A search over one day."""

    day: Day
    now: datetime | None
    choices: Mapping[str, Choices]
    """The aircraft that may choose; all others are as the day has them."""
    steps: int = STEPS
    patience: int = PATIENCE
    seed: int = 0
    on_progress: Callable[[NetworkProgress], None] | None = None
    cancelled: Callable[[], bool] = lambda: False
    rounds: int = 0
    _always: Mapping[str, Limits] = field(default_factory=dict, init=False)
    _known: Mapping[str, Rotation] = field(init=False)
    _demand: Demand = field(init=False)

    def __post_init__(self) -> None:
        self._known = rotations(self.day)
        self._demand = Demand(self.day, [row for row in self.day.stations if row.trucks], self._earliest)

    def run(
        self,
        picks: Mapping[str, Pick],
        before: Mapping[str, Bank] | None = None,
        shut: Mapping[str, Limits] | None = None,
    ) -> State:
        """The best state found from some choices on: those without what is shut, with plans of the trucks if any.

        What is shut from the beginning stays so.
        """
        self._always = shut or {}
        state = self._settled(self.state(picks, self._always, before or {}))
        return self._improved(state)

    def wishes(self, picks: Mapping[str, Pick]) -> dict[tuple[str, Spot], Need]:
        """Aircraft and spot -> need, of all that some choices ask of stations with trucks."""
        found = self._demand.needs((self._known[name], pick) for name, pick in picks.items())
        return {
            (need.rotation.registration, (need.service.turn, need.service.tank)): need
            for needs in found.values()
            for need in needs
        }

    # one state ------------------------------------------------------------------------------------------------

    def state(self, picks: Mapping[str, Pick], shut: Mapping[str, Limits], before: Mapping[str, Bank]) -> State:
        """The trucks planned for some choices, from plans before."""
        self.rounds += 1
        needs = self._demand.needs((rotation, picks.get(name)) for name, rotation in self._known.items())
        banks: dict[str, Bank] = {}
        left: list[tuple[str, Spot]] = []
        held: list[tuple[str, Spot]] = []
        for station in self.day.stations:
            if not station.trucks:
                continue

            def value(need: Need) -> float:
                return self._value(need, picks, shut)

            problem = problem_of(self.day, station, needs[station.code], value, self.now)
            steps = 0 if self.cancelled() else self.steps
            bank = solved(problem, steps, self.seed, before.get(station.code))
            banks[station.code] = bank
            for need in bank.left:
                name, spot = need.rotation.registration, (need.service.turn, need.service.tank)
                (left if name in picks and spot in picks[name].chosen else held).append((name, spot))
        state = State(picks, shut, banks, tuple(left), tuple(held))
        if self.on_progress is not None:
            self.on_progress(NetworkProgress(self.rounds, state))
        return state

    def _value(self, need: Need, picks: Mapping[str, Pick], shut: Mapping[str, Limits]) -> float:
        """What the aircraft loses if it has to do without a service here, everything else planned anew."""
        name, spot = need.rotation.registration, (need.service.turn, need.service.tank)
        pick = picks.get(name)
        if pick is None or spot not in pick.chosen:
            return usual_value(need)
        without = self.choices[name].best(_with(shut.get(name, {}), spot, pick))
        return max(without.burden - pick.burden, 0.0) + ASKED

    def _earliest(self, name: str, spot: Spot) -> float:
        at = self.choices[name].at
        return at.earliest[spot[0] - at.first_turn][TANKS.index(spot[1])]

    # until all that is chosen is served -----------------------------------------------------------------------

    def _settled(self, state: State) -> State:
        """Shuts what the trucks leave out and plans those aircraft anew, until nothing is left out."""
        while state.left:
            shut, picks = dict(state.shut), dict(state.picks)
            for name, spot in state.left:
                shut[name] = _with(shut.get(name, {}), spot, state.picks[name])
            for name in {name for name, _ in state.left}:
                picks[name] = self.choices[name].best(shut[name])
            state = self.state(picks, shut, state.banks)
        return state

    # better ---------------------------------------------------------------------------------------------------

    def _improved(self, best: State) -> State:
        """Lets some aircraft choose anew, again and again; what comes of it is kept where all together gain."""
        stream = random.Random(f"network-{self.seed}")
        idle, tried = 0, {_mark(best.shut)}
        changes = [{name: limits} for name in best.shut for limits in self._opened(best, name)]
        while (changes or idle < self.patience) and not self.cancelled():
            change = changes.pop() if changes else self._change(best, stream)
            idle += not changes
            shut = {**best.shut, **change}
            if not change or _mark(shut) in tried:
                continue
            tried.add(_mark(shut))
            picks = {**best.picks, **{name: self.choices[name].best(less) for name, less in change.items()}}
            found = self._settled(self.state(picks, shut, best.banks))
            if len(found.held) <= len(best.held) and found.key <= best.key:
                idle = 0 if found.key < best.key else idle
                best = found
        return best

    def _change(self, state: State, stream: random.Random) -> dict[str, Limits]:
        """Other limits for an aircraft that is not served as it would be best, and for some that it competes with."""
        losers = [name for name, shut in state.shut.items() if shut and self._loss(state, name) > _EPS]
        if not losers:
            return {}
        name = stream.choice(losers)
        rivals = self._rivals(state, name)
        names = [name, *stream.sample(rivals, min(len(rivals), stream.randrange(_TOGETHER)))]
        return {name: self._other_limits(state, name, stream) for name in names}

    def _opened(self, state: State, name: str) -> Iterator[Limits]:
        """What is shut for an aircraft, one service of it open again."""
        shut = state.shut[name]
        for spot in sorted(shut.keys() - self._always.get(name, {}).keys()):
            yield {key: level for key, level in shut.items() if key != spot}

    def _loss(self, state: State, name: str) -> float:
        return state.picks[name].burden - self.choices[name].best(self._always.get(name)).burden

    def _other_limits(self, state: State, name: str, stream: random.Random) -> Limits:
        """Everything open, or nearly, and perhaps one of the services given up of which others may have more."""
        always = self._always.get(name, {})
        shut = state.shut.get(name, {})
        limits = {spot: level for spot, level in shut.items() if spot in always or stream.random() < _STAYS}
        pick = self.choices[name].best(limits)
        if pick.chosen and stream.random() < _GIVES_UP:
            return _with(limits, stream.choice(sorted(pick.chosen)), pick)
        return limits

    def _rivals(self, state: State, name: str) -> list[str]:
        """Other aircraft that trucks serve where and about when this one would have been served."""
        turns = self.choices[name].rotation.turns
        wanted = [turns[turn] for turn in sorted({turn for turn, _ in state.shut[name]})]
        return [
            other
            for other, pick in state.picks.items()
            if other != name
            and any(_meet(self.choices[other].rotation.turns[turn], at) for turn, _ in pick.chosen for at in wanted)
        ]


def _mark(shut: Mapping[str, Limits]) -> _Shut:
    return frozenset((name, spot, level) for name, rows in shut.items() for spot, level in rows.items())


def _meet(one: Turn, other: Turn) -> bool:
    """Whether two turns at one station share some time on the ground."""
    if one.station != other.station:
        return False
    ends_before = one.end is not None and other.start is not None and one.end <= other.start
    starts_after = one.start is not None and other.end is not None and one.start >= other.end
    return not (ends_before or starts_after)


def _with(shut: Limits, spot: Spot, pick: Pick) -> Limits:
    """What is shut, and a chosen service as well."""
    return {**shut, spot: pick.chosen[spot].target_percent}
