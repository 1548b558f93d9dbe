"""What a class's calls were worth, with luck told apart from judgement.

Three numbers for each player, all in the price units of the planner's objective:

    came out    cost of the played day: services, fuel, and each breach at its price
    risked      the same with each leg's risk, as it was known when the leg left, in place of what came of it
    on average  mean cost of the same calls over many days that would have shown the class the same readings

Judgement is the difference of two averages over the same days (common random numbers, so that most of the chance
falls out); luck is what came out less the average. The standard error of an average over n draws is s / sqrt(n),
with n the draws that do not share their day factor; errors of aircraft add in squares, since they are independent.

The best plan's calls are those that it made on the played day, with its own readings there. Where it had served an
aircraft otherwise than the class before a reading, the two readings tell nearly the same of the day, not exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from math import sqrt
from typing import Final

import numpy as np

from legtide.day.document import Day
from legtide.day.rotations import Rotation, off_blocks, rotations
from legtide.engine.projection import project_rotations
from legtide.engine.types import Floats
from legtide.play import players
from legtide.play.brier import brier_score
from legtide.play.calls import Call, ReadingCall
from legtide.play.hindsight import hindsight_costs
from legtide.play.levels import follow
from legtide.play.players import Decide, play_out
from legtide.play.rounds import Round, alone, played
from legtide.play.tally import Tally, first_leg, tally
from legtide.play.truth import Truth, sampled

BEST: Final = "best"
REFERENCES: Final[Mapping[str, Decide]] = {
    BEST: players.replanned,
    "plan": players.as_planned,
    "never": players.never,
    "always": players.always,
}
"""Players to compare with, by the name that stands in documents."""
HINDSIGHT: Final = "hindsight"
DAYS: Final = 1000


@dataclass(frozen=True, slots=True)
class Measure:
    """A mean over many days and its standard error."""

    mean: float
    error: float

    def __sub__(self, other: float) -> float:
        return self.mean - other


@dataclass(frozen=True, slots=True)
class Line:
    """One player's score."""

    player: str
    services: int | None
    """Services that took place on the played day; none for hindsight, which has other ones on each day."""
    breaches: int | None
    exhausted: int | None
    came_out: float
    risk: float | None
    """Sum over legs and tanks of the risk known at departure: breaches to be expected."""
    risked: float | None
    average: Measure
    average_breaches: float | None
    over_best: Measure
    """What it costs more than the best plan on average, with the error of that difference."""

    @property
    def luck(self) -> float:
        """How much dearer the played day came out than its calls are on average; negative is good luck."""
        return self.came_out - self.average.mean


@dataclass(frozen=True, slots=True)
class Score:
    """A group's score beside those that it is set against."""

    group: Line
    references: tuple[Line, ...]
    """Best plan, file's plan, never, always, hindsight."""
    brier: float
    """Of the projection's risks at departure on the group's own course: how far they can be trusted."""
    days: int

    def line(self, player: str) -> Line:
        """The line of a reference. Raises StopIteration for an unknown one."""
        return next(row for row in self.references if row.player == player)


@dataclass(slots=True, eq=False)
class _Sums:
    """One player's figures while aircraft are added."""

    services: int = 0
    breaches: int = 0
    exhausted: int = 0
    came_out: float = 0.0
    risk: float = 0.0
    risked: float = 0.0
    average: float = 0.0
    variance: float = 0.0
    average_breaches: float = 0.0
    over_best: float = 0.0
    over_best_variance: float = 0.0


def score(
    start: Round,
    log: Iterable[Call],
    *,
    group: str = "",
    days: int = DAYS,
    report: Callable[[int, int], None] | None = None,
) -> Score:
    """Scores a log of calls from the beginning of a round to its end.

    Args:
        start: the round at its beginning.
        log: the calls; after the last of them the day is played to its end.
        group: whose calls they are.
        days: sampled days to average over.
        report: told how many aircraft are done, of how many.

    Raises:
        CallError: a call could not have been made.
    """
    calls = list(log)
    end = played(start, calls)
    made = _Scorer(end, [row for row in end.log if isinstance(row, ReadingCall)], days)
    names = [name for name, row in rotations(start.day).items() if first_leg(row, start.begin) < len(row.legs)]
    for number, name in enumerate(names):
        made.add(start, name)
        if report is not None:
            report(number + 1, len(names))
    return made.score(group)


class _Scorer:
    def __init__(self, end: Round, readings: list[ReadingCall], days: int) -> None:
        self.end, self.readings, self.days = end, readings, days
        self.sums = {name: _Sums() for name in ("", *REFERENCES, HINDSIGHT)}
        self.forecasts: list[float] = []
        self.happened: list[bool] = []

    def add(self, start: Round, name: str) -> None:
        """One aircraft: its truth is played once by each player, then on many days by the calls that came of it."""
        begin, played_one = alone(start, name), start.truths[name]
        own = rotations(self.end.day)[name]
        many = sampled(own, start.day.policy, start.day.usage, start.seed + 1, self.days)
        days = {"": self.end.day}
        days |= {who: play_out(begin, name, decide, self.readings).day for who, decide in REFERENCES.items()}
        best: Floats = np.empty(0)
        for who in (BEST, *(other for other in days if other != BEST)):
            rotation = rotations(days[who])[name]
            once = self._tally(days[who], played_one, rotation, start)
            often = self._tally(days[who], many, rotation, start)
            best = often.cost if who == BEST else best
            self._put(who, once, often.cost, best, many)
            self._risk(who, days[who], rotation, start, once, played_one)
            self.sums[who].average_breaches += float(often.breaches.mean())
        self._hindsight(begin, name, played_one, many, best)

    def _tally(self, day: Day, truth: Truth, rotation: Rotation, start: Round) -> Tally:
        return tally(day, follow(truth, rotation, day.policy), start.begin)

    def _put(self, who: str, once: Tally, costs: Floats, best: Floats, many: Truth) -> None:
        sums = self.sums[who]
        sums.services += once.services
        sums.breaches += int(once.breaches[0])
        sums.exhausted += int(once.exhausted[0])
        sums.came_out += float(once.cost[0])
        self._average(who, costs, best, many)

    def _average(self, who: str, costs: Floats, best: Floats, many: Truth) -> None:
        sums, n = self.sums[who], many.distinct
        sums.average += float(costs.mean())
        sums.variance += float(costs.var()) / n
        sums.over_best += float((costs - best).mean())
        sums.over_best_variance += float((costs - best).var()) / n

    def _risk(self, who: str, day: Day, rotation: Rotation, start: Round, once: Tally, truth: Truth) -> None:
        first = first_leg(rotation, start.begin)
        risks = risks_at_departure(day, rotation, first)
        sums = self.sums[who]
        sums.risk += float(risks.sum())
        sums.risked += float(once.sure[0]) + once.price_of_breach * float(risks.sum())
        if who == "":
            happened = follow(truth, rotation, day.policy).breached[:, 0, first:]
            self.forecasts += risks.ravel().tolist()
            self.happened += happened.ravel().tolist()

    def _hindsight(self, begin: Round, name: str, played_one: Truth, many: Truth, best: Floats) -> None:
        self.sums[HINDSIGHT].came_out += float(hindsight_costs(begin, name, played_one)[0])
        self._average(HINDSIGHT, hindsight_costs(begin, name, many), best, many)

    def score(self, group: str) -> Score:
        """What all aircraft added up to."""
        return Score(
            group=self._line("", group),
            references=tuple(self._line(name, name) for name in (*REFERENCES, HINDSIGHT)),
            brier=brier_score(self.forecasts, self.happened),
            days=self.days,
        )

    def _line(self, who: str, name: str) -> Line:
        sums, known = self.sums[who], who != HINDSIGHT
        return Line(
            player=name,
            services=sums.services if known else None,
            breaches=sums.breaches if known else None,
            exhausted=sums.exhausted if known else None,
            came_out=sums.came_out,
            risk=sums.risk if known else None,
            risked=sums.risked if known else None,
            average=Measure(sums.average, sqrt(sums.variance)),
            average_breaches=sums.average_breaches if known else None,
            over_best=Measure(sums.over_best, sqrt(sums.over_best_variance)),
        )


def risks_at_departure(day: Day, rotation: Rotation, first: int) -> Floats:
    """(2, L) each leg's risk in each tank, from what was known when it left: no reading of a later turn counts."""
    legs = len(rotation.legs)
    known = [
        tuple(
            row for row in rotation.readings if row.turn <= leg and (row.time is None or row.time <= off_blocks(one))
        )
        for leg, one in enumerate(rotation.legs)
    ]
    sets = list(dict.fromkeys(known[first:]))
    made = project_rotations(day, [replace(rotation, readings=rows) for rows in sets])
    by_set = dict(zip(sets, made, strict=True))
    out = np.zeros((2, legs - first))
    for leg in range(first, legs):
        found = by_set[known[leg]].legs[leg]
        out[:, leg - first] = found.risk_fresh_below_reserve, found.risk_waste_over_limit
    return out
