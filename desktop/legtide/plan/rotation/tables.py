"""Risks and mean levels of every stretch between two services: the tables that a plan is chosen from.

A source is a moment at which a tank's room is known in law: the start of the plan, or a service at a turn that leaves
a known room. Use since a source is a sum over the marks between, so all pairs of source and mark come from
differences of prefix sums, in one go for any number of aircraft.

Shapes: A aircraft, N turns (each followed by its leg), M marks, P pairs of turn and later mark, G targets,
K nodes of the day factor.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from legtide.engine.laws import ShiftedLognormal, day_factor_moments, gamma_like_cdf, given_theta, moments
from legtide.engine.mixture import Belief, law_of_room
from legtide.engine.types import Floats

_NEGLIGIBLE: Final = 1e-7
"""Probability of a day factor that is left out of the sums."""


class UseLaw(Protocol):
    """The law of the use between two moments, for coefficients (9, A, P)."""

    def at_least(self, litres: Floats) -> Floats:
        """P(use >= litres) for litres (A or 1, X): (A, P, X)."""

    def mean_left(self, room: Floats) -> Floats:
        """E[max(room - use, 0)] for rooms (A or 1, X): (A, P, X)."""

    def part(self, pairs: slice) -> UseLaw:
        """The law of some of the pairs."""


class UnreadUse:
    """The use when nothing was read: the closed form with the day factor integrated out."""

    def __init__(self, law: ShiftedLognormal) -> None:
        self._law = law  # fields of shape (A, P, 1)

    @classmethod
    def of(cls, used: Floats, day_factor: tuple[float, float, float]) -> UnreadUse:
        """From coefficients and E[theta], E[theta^2], E[theta^3]."""
        return cls(ShiftedLognormal.of(*moments(used[..., None], day_factor)))

    def at_least(self, litres: Floats) -> Floats:
        """P(use >= litres)."""
        return self._law.at_least(litres[:, None, :])

    def mean_left(self, room: Floats) -> Floats:
        """Mean room left."""
        rooms = room[:, None, :]
        return np.minimum(np.maximum(self._law.mean_below(rooms), 0.0), rooms)

    def part(self, pairs: slice) -> UnreadUse:
        """The law of some of the pairs."""
        return UnreadUse(_part(self._law, pairs))


def _part(law: ShiftedLognormal, pairs: slice) -> ShiftedLognormal:
    fields = (law.centre, law.scale, law.sigma, law.root, law.sign)
    return ShiftedLognormal(*(field[:, pairs] for field in fields))


class LearnedUse(UnreadUse):
    """The use after a reading: a mixture over the day factor as it is now known."""

    def __init__(self, law: ShiftedLognormal, weight: Floats, cumulants: tuple[Floats, ...]) -> None:
        super().__init__(law)
        self._weight, self._cumulants = weight, cumulants  # (K,), each (A, P, 1, K)

    @classmethod
    def given(cls, used: Floats, theta: Floats, weight: Floats) -> LearnedUse:
        """From coefficients and what is known of the day factor."""
        first, second, third = (float(weight @ theta**power) for power in (1, 2, 3))
        law = ShiftedLognormal.of(*moments(used[..., None], (first, second, third)))
        likely = weight > _NEGLIGIBLE
        cumulants = given_theta(used[..., None], theta[likely])
        return cls(law, weight[likely] / weight[likely].sum(), cumulants)

    def at_least(self, litres: Floats) -> Floats:
        """P(use >= litres)."""
        below = gamma_like_cdf(litres[:, None, :, None], *self._cumulants)
        return np.asarray(1.0 - below @ self._weight)

    def part(self, pairs: slice) -> LearnedUse:
        """The law of some of the pairs."""
        cumulants = tuple(row[:, pairs] for row in self._cumulants)
        return LearnedUse(_part(self._law, pairs), self._weight, cumulants)


def use_law(used: Floats, day_factor_cv: float, belief: Belief | None) -> UseLaw:
    """The law of use with coefficients (9, A, P); a belief that holds a reading brings its day factor."""
    if belief is None:
        return UnreadUse.of(used, day_factor_moments(day_factor_cv))
    return LearnedUse.given(used, belief.theta, belief.weight)


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Where the marks of one tank are, turn by turn (N,); the first mark is the start of the plan."""

    service: NDArray[np.intp]
    departure: NDArray[np.intp]
    arrival: NDArray[np.intp]

    @classmethod
    def of_legs(cls, count: int) -> Grid:
        """The marks of legs between which nothing is used: their ends."""
        turns = np.arange(count)
        return cls(turns, turns, turns + 1)

    @property
    def marks(self) -> int:
        """M."""
        return int(self.arrival[-1]) + 1

    def pairs(self) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]]:
        """All pairs of a turn's service and a later mark: both marks (P,), and the pair's number (N, M) or -1."""
        marks = self.marks
        turn, later = np.nonzero(np.arange(marks) > self.service[:, None])
        number = np.full((len(self.service), marks), -1, dtype=np.intp)
        number[turn, later] = np.arange(len(turn))
        return self.service[turn], later, number


@dataclass(frozen=True, slots=True, eq=False)
class Sources:
    """What happens from each of S sources on; entries of turns before the source say nothing."""

    turn: NDArray[np.intp]
    """(S,) turn of the source; -1 for the start."""
    risk: Floats
    """(A, S, N) risk of a breach by the end of each leg."""
    mean: Floats
    """(A, S, N) mean room in litres on each leg: half of departure and arrival."""
    over: Floats
    """(A, S, N, G) probability that a service at a turn finds more room than each target leaves."""

    def joined(self, other: Sources) -> Sources:
        """These sources, then the others."""
        parts = ((self.risk, other.risk), (self.mean, other.mean), (self.over, other.over))
        return Sources(np.r_[self.turn, other.turn], *(np.concatenate(part, axis=1) for part in parts))


def from_services(law: UseLaw, grid: Grid, number: NDArray[np.intp], rooms: Floats, margin: Floats) -> Sources:
    """The sources that services leave: S = N * G, turn after turn, target after target.

    Args:
        law: the use at the grid's pairs.
        grid, number: the marks and the pairs' numbers.
        rooms: (A, G) room in litres that each target leaves, the same shares of each capacity.
        margin: (A, 1) room at which the limit is reached.
    """
    a, g, n = len(rooms), rooms.shape[1], len(grid.service)
    gaps, which = _gaps(rooms)
    beyond = law.at_least(np.concatenate([rooms - margin, gaps], axis=1))
    left = law.mean_left(rooms)
    flown = np.arange(n) >= np.arange(n)[:, None]  # turn of the source, leg
    arrival, departure = number[:, grid.arrival], number[:, grid.departure]
    risk = np.where(flown[:, :, None], beyond[:, arrival, :g], 0.0)
    leaving = np.where((departure >= 0)[:, :, None], left[:, departure], rooms[:, None, None])
    mean = np.where(flown[:, :, None], 0.5 * (leaving + left[:, arrival]), 0.0)
    # Room above a lower target is left where less than the gap was used; a higher target is always above.
    short = np.concatenate([1.0 - beyond[:, number[:, grid.service], g:], np.zeros((a, n, n, 1))], axis=-1)
    over = short[:, :, :, which]  # (A, turn of the source, turn, from, to)
    return Sources(
        np.repeat(np.arange(n), g),
        np.swapaxes(risk, 2, 3).reshape(a, n * g, n),
        np.swapaxes(mean, 2, 3).reshape(a, n * g, n),
        np.moveaxis(over, 3, 2).reshape(a, n * g, n, g),
    )


def _gaps(rooms: Floats) -> tuple[Floats, NDArray[np.intp]]:
    """The different positive gaps between rooms (A, D), and which of them lies between two rooms (G, G), else -1."""
    most = rooms.max(axis=1, keepdims=True)
    values, which = _gap_shares(tuple((rooms[0] / most[0]).tolist()))
    return values * most, which


@lru_cache(maxsize=64)
def _gap_shares(shares: tuple[float, ...]) -> tuple[Floats, NDArray[np.intp]]:
    apart = np.round(np.subtract.outer(shares, shares), 9)
    values = np.unique(apart[apart > 0.0]).astype(np.float64)
    return values, np.where(apart > 0.0, np.searchsorted(values, apart), -1)


def from_known_start(law: UseLaw, grid: Grid, start: Floats, rooms: Floats, margin: Floats) -> Sources:
    """The start of the plan as a source, where the room at the last reset is known and nothing was read.

    Args:
        law: the use since that reset at each mark (P = M).
        grid: the marks.
        start: (A, 1) room at the reset; `rooms` and `margin` as in `from_services`.
    """
    at_least = law.at_least(np.concatenate([start - margin, start - rooms], axis=1))
    return _row(-1, grid, at_least[:, :, 0], law.mean_left(start)[:, :, 0], 1.0 - at_least[:, :, 1:])


def from_belief(
    belief: Belief, tank: int, used: Floats, grid: Grid, turn: int, limits: tuple[Floats, float]
) -> Sources:
    """What is believed of one tank (A = 1) as a source: after readings, or where a fill met more than its target.

    Args:
        belief, tank: the belief at the source's mark.
        used: (9, M) use since that mark; nothing for marks before it.
        grid: the marks.
        turn: the source's turn, -1 for the start.
        limits: rooms (1 + G,), the margin and each target's; the capacity.
    """
    rooms, capacity = limits
    law = law_of_room(belief, tank, used)
    below = law.below(np.broadcast_to(rooms[:, None], (len(rooms), used.shape[1])))
    left = np.clip(law.matched().mean_below(np.zeros(used.shape[1])), 0.0, capacity)
    return _row(turn, grid, below[None, 0], left[None], 1.0 - below[None, 1:].swapaxes(1, 2))


def _row(turn: int, grid: Grid, risk: Floats, left: Floats, over: Floats) -> Sources:
    """One source from its values at the marks: (A, M), (A, M), (A, M, G)."""
    mean = 0.5 * (left[:, grid.departure] + left[:, grid.arrival])
    return Sources(np.array([turn]), risk[:, None, grid.arrival], mean[:, None], over[:, None, grid.service])
