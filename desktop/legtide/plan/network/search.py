"""One plan for rotations and trucks: what the trucks cannot serve is planned elsewhere, until nothing is left over.

Each aircraft has its cheapest services when trucks are no matter. The stations' trucks are then planned with what
each aircraft would lose without each service: so what is left out is what can best be had elsewhere. That is shut
for its aircraft, the rotation planned anew, and so on: an aircraft served earlier needs less later, and one that
moves to another station takes up trucks there. Every round shuts something, so the rounds end.

After that each aircraft in turn is given back what was shut for it. Others then make room if they lose less. What
comes out is kept where all together are better off. Nothing is random and no clock is read but by a stop rule.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from legtide.day.document import TANKS, Day
from legtide.day.rotations import Rotation, rotations
from legtide.plan.network.banks import Bank, Demand, problem_of, solved, unserved_spots, usual_value
from legtide.plan.rotation.choices import Choices, Limits, Pick, Spot
from legtide.plan.station.needs import ASKED, Need
from legtide.plan.stop import AfterIterations, AnyOf, GapBelow, NoGainIterations, Stop

PATIENT: Stop = AnyOf(AfterIterations(300), NoGainIterations(120), GapBelow(0.0))
"""How long the trucks of one station are planned in one round."""
_EPS = 1e-6
_TRIALS = 200
"""Most attempts to give an aircraft back what was shut for it."""
_Key = tuple[float, float]


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
            bank.result.plan.figures.delay_min * (bank.station.problem.weights.delay_per_min or 0.0)
            for bank in self.banks.values()
        )
        return delays + sum(pick.burden for pick in self.picks.values())

    @property
    def truck_min(self) -> float:
        """Minutes in which trucks drive, reload or serve."""
        return sum(bank.result.plan.figures.truck_min for bank in self.banks.values())

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
    stop: Stop = PATIENT
    seed: int = 0
    on_progress: Callable[[NetworkProgress], None] | None = None
    cancelled: Callable[[], bool] = lambda: False
    rounds: int = 0
    _known: Mapping[str, Rotation] = field(init=False)
    _demand: Demand = field(init=False)

    def __post_init__(self) -> None:
        self._known = rotations(self.day)
        self._demand = Demand(self.day, [row for row in self.day.stations if row.trucks], self._earliest)

    def run(self, picks: Mapping[str, Pick]) -> State:
        """The best state found from some choices on."""
        state = self._settled(self._state(picks, {}, {}))
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

    def _state(self, picks: Mapping[str, Pick], shut: Mapping[str, Limits], before: Mapping[str, Bank]) -> State:
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
            bank = solved(problem, self._stop(), self.seed, before.get(station.code))
            banks[station.code] = bank
            for name, spot in unserved_spots(bank).values():
                (left if name in picks and spot in picks[name].chosen else held).append((name, spot))
        state = State(picks, shut, banks, tuple(left), tuple(held))
        if self.on_progress is not None:
            self.on_progress(NetworkProgress(self.rounds, state))
        return state

    def _stop(self) -> Stop:
        return AfterIterations(0) if self.cancelled() else self.stop

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
            state = self._state(picks, shut, state.banks)
        return state

    # better ---------------------------------------------------------------------------------------------------

    def _improved(self, best: State) -> State:
        """Gives back what was shut, one aircraft after the other, as long as all together gain by it."""
        trials, tried = 0, set[tuple[str, frozenset[tuple[Spot, float]]]]()
        gained = True
        while gained:
            gained = False
            for name, less in self._openings(best):
                mark = (name, frozenset(less.items()))
                if mark in tried or trials >= _TRIALS or self.cancelled():
                    continue
                tried.add(mark)
                trials += 1
                picks, shut = dict(best.picks), dict(best.shut)
                shut[name], picks[name] = less, self.choices[name].best(less)
                found = self._settled(self._state(picks, shut, best.banks))
                if len(found.held) <= len(best.held) and found.key < best.key:
                    best, gained = found, True
                    tried.clear()
                    break
        return best

    def _openings(self, state: State) -> Iterator[tuple[str, Limits]]:
        """What might be opened again: all that is shut for an aircraft, then each part; the greatest loss first."""
        losses = {name: state.picks[name].burden - self.choices[name].best().burden for name in state.shut}
        for name in sorted(losses, key=lambda name: (-losses[name], name)):
            shut = state.shut[name]
            if not shut:
                continue
            yield name, {}
            for spot in sorted(shut) if len(shut) > 1 else ():
                yield name, {key: level for key, level in shut.items() if key != spot}


def _with(shut: Limits, spot: Spot, pick: Pick) -> Limits:
    """What is shut, and a chosen service as well."""
    return {**shut, spot: pick.chosen[spot].target_percent}
