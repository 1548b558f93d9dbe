"""Tank levels where closed forms end: after a reading, a partial fill or a service that may not happen.

The day factor stands on nodes theta_k with weights w_k. Given theta, each tank's room at its last event is spread
over cells (centre, width; width 0 is an atom); fresh and waste cells are kept jointly, since both tanks saw the same
visits. Between events the use given theta follows the Wilson-Hilferty law of its summed cumulants.

Shapes: K nodes, A fresh cells, B waste cells, T points.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from legtide.engine.closed import LIMIT, MEAN, OUT, STATE, certain
from legtide.engine.laws import COEFFICIENTS, ShiftedLognormal, day_factor_nodes, gamma_like_cdf, given_theta
from legtide.engine.types import QUANTILES, DayFactor, Floats

_GRID: Final = np.array(
    [0.002, 0.01, 0.03, 0.05, 0.1, 0.2, 0.25, 0.4, 0.5, 0.6, 0.75, 0.8, 0.9, 0.95, 0.97, 0.99, 0.998]
)
"""Probabilities at whose moment-matched quantiles the true mixture is evaluated before it is inverted."""
_REFINEMENTS: Final = 4  # steps inside the bracket that the grid gives, by turns halving and false position
_EVERY_QUANTILE: Final = 8  # of the points in a stretch, every eighth is inverted; the correction is smooth between
_EVERY_RISK: Final = 4  # every fourth gets its risks from the mixture; between them the normal score runs evenly
_NEGLIGIBLE: Final = 1e-6  # probability of a component (node and cell) that is left out of the sums
_FAR: Final = 1e-5  # tail beyond which cells do not reach
_CELL_L: Final = 3.0  # width in litres of the cells that a service leaves, within the two bounds below
_FEWEST_CELLS, _MOST_CELLS = 8, 48


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Where a tank's room at its last event may be: centres and widths in litres, shape (J,)."""

    centre: Floats
    width: Floats

    @classmethod
    def atom(cls, room: float) -> Cells:
        """A level that is known."""
        return cls(np.array([room]), np.zeros(1))


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """All that is known of one aircraft's tanks at a moment.

    `common` holds the coefficients used since the later of the two tanks' last events (seen by both tanks
    through the same visits), `early` those of one tank before that; both are (9, 2).
    """

    theta: Floats
    weight: Floats
    cells: tuple[Cells, Cells]
    joint: Floats
    """(K, A, B), each node's cells sum to 1."""
    common: Floats
    early: Floats

    @classmethod
    def start(cls, day_factor_cv: float, room: Floats) -> Belief:
        """Known levels (2,) in litres of room, nothing read."""
        theta, weight = day_factor_nodes(day_factor_cv)
        none = np.zeros((COEFFICIENTS, 2))
        cells = (Cells.atom(float(room[0])), Cells.atom(float(room[1])))
        return cls(theta, weight, cells, np.ones((len(theta), 1, 1)), none, none)

    def used(self, ends: Floats) -> Belief:
        """After a stretch with whole-stretch coefficients `ends` (9, 2)."""
        return replace(self, common=self.common + ends)

    def is_known(self, tank: int) -> bool:
        """Whether a tank's level was known at its last event."""
        return len(self.cells[tank].centre) == 1

    def marginal(self, tank: int) -> Floats:
        """(K, J) probabilities of a tank's cells given theta."""
        return np.asarray(self.joint.sum(axis=2 - tank))

    def day_factor(self) -> DayFactor:
        """Mean and 5-95 % range of the day factor."""
        # Between nodes the normal score runs evenly in the logarithm: for a lognormal that is nearly exact.
        cumulative = np.cumsum(self.weight) - 0.5 * self.weight
        scores = ndtri(np.clip(cumulative, 1e-12, 1.0 - 1e-12))
        low, high = np.exp(np.interp(ndtri((QUANTILES[0], QUANTILES[-1])), scores, np.log(self.theta)))
        return DayFactor(float(self.weight @ self.theta), float(low), float(high))


@dataclass(frozen=True, slots=True, eq=False)
class RoomLaw:
    """The law of one tank's room at T points, as a mixture over theta and cells."""

    weight: Floats  # (K,)
    cells: Cells
    p: Floats  # (K, J)
    k1: Floats  # (T, K)
    k2: Floats
    k3: Floats

    def at(self, points: NDArray[np.intp]) -> RoomLaw:
        """The law at some of the points only."""
        return replace(self, k1=self.k1[points], k2=self.k2[points], k3=self.k3[points])

    def below(self, room: Floats) -> Floats:
        """P(room <= given), for given rooms (G, T); shape (G, T)."""
        mass = self.weight[:, None] * self.p
        node, cell = np.nonzero(mass > _NEGLIGIBLE)
        mass = mass[node, cell]
        # A component is broken when the use exceeds what its cell can give; axes (G, T, component).
        spare = self.cells.centre[cell] - room[..., None]
        k2 = self.k2[:, node] + self.cells.width[cell] ** 2 / 12.0
        holds = gamma_like_cdf(spare, self.k1[:, node], k2, self.k3[:, node])
        return np.asarray(1.0 - (holds @ mass) / mass.sum())

    def matched(self) -> ShiftedLognormal:
        """The law of (use - room at the last event) through the exact first three moments of the mixture; (T,)."""
        x, d2 = self.cells.centre, self.cells.width**2 / 12.0
        mean_x = self.p @ x
        off = x - mean_x[:, None]
        var_x = np.sum(self.p * (off**2 + d2), axis=1)
        third_x = np.sum(self.p * (off**3 + 3 * off * d2), axis=1)
        m, v, s = self.k1 - mean_x, self.k2 + var_x, self.k3 - third_x
        mean = m @ self.weight
        dm = m - mean[:, None]
        variance = (v + dm * dm) @ self.weight
        third = (s + dm * (3 * v + dm * dm)) @ self.weight
        return ShiftedLognormal.of(mean, variance, third)


def law_of_room(belief: Belief, tank: int, coefficients: Floats) -> RoomLaw:
    """The law of a tank's room, with coefficients (9, T) used since the belief's moment."""
    total = coefficients + (belief.common + belief.early)[:, tank, None]
    return RoomLaw(belief.weight, belief.cells[tank], belief.marginal(tank), *given_theta(total, belief.theta))


def states(belief: Belief, tank: int, coefficients: Floats, margin: float, capacity: float) -> Floats:
    """(8, T) states of a tank, as in `closed.states`.

    Args:
        coefficients: (9, T) coefficients used since the belief's moment.
        margin: room in litres at which the limit is reached.
        capacity: most room in litres.
    """
    law = law_of_room(belief, tank, coefficients)
    points = coefficients.shape[1]
    matched = law.matched()
    out = np.empty((STATE, points))
    place = np.arange(points)
    approximate = -matched.quantiles()[::-1]
    out[:MEAN] = approximate
    if not belief.is_known(tank):
        # Cells of a reading or heaps of a service: three moments do not tell their shape.
        inverted = _some(points, _EVERY_QUANTILE)
        correction = _quantiles(law.at(inverted), -matched.at(_GRID[::-1])[:, inverted]) - approximate[:, inverted]
        for row in range(len(QUANTILES)):
            out[row] += np.interp(place, inverted, correction[row])
    np.maximum.accumulate(out[:MEAN], axis=0, out=out[:MEAN])
    np.clip(out[:MEAN], 0.0, capacity, out=out[:MEAN])
    out[MEAN] = np.clip(matched.mean_below(np.zeros(points)), 0.0, capacity)
    exact = _some(points, _EVERY_RISK)
    risks = law.at(exact).below(np.array([[margin], [0.0]]) + np.zeros(len(exact)))
    scores = ndtri(np.clip(risks, 1e-12, 1.0 - 1e-12))
    for row, score in zip((LIMIT, OUT), scores, strict=True):
        out[row] = ndtr(np.interp(place, exact, score))
    return out


def _some(points: int, every: int) -> NDArray[np.intp]:
    return np.unique(np.r_[0, np.arange(every - 1, points, every), points - 1])


def _quantiles(law: RoomLaw, grid: Floats) -> Floats:
    """(5, t) quantiles of the room at the law's points, by inverting the true mixture from a grid (G, t) of rooms."""
    cdf = np.maximum.accumulate(law.below(grid), axis=0)
    wanted = np.array(QUANTILES)[:, None]
    upper = np.clip((cdf[None, :, :] < wanted[:, :, None]).sum(axis=1), 1, len(grid) - 1)
    column = np.arange(grid.shape[1])
    low, high = grid[upper - 1, column], grid[upper, column]
    p_low, p_high = cdf[upper - 1, column], cdf[upper, column]
    for step in range(_REFINEMENTS):
        # Halving alone is slow, false position alone is caught by the steep sides of two heaps.
        guess = 0.5 * (low + high) if step % 2 == 0 else _between(low, high, p_low, p_high, wanted)
        p = law.below(guess)
        left = p < wanted
        low, p_low = np.where(left, guess, low), np.where(left, p, p_low)
        high, p_high = np.where(left, high, guess), np.where(left, p_high, p)
    return _between(low, high, p_low, p_high, wanted)


def _between(low: Floats, high: Floats, p_low: Floats, p_high: Floats, wanted: Floats) -> Floats:
    share = (wanted - p_low) / np.maximum(p_high - p_low, 1e-12)
    return np.asarray(low + (high - low) * np.clip(share, 0.0, 1.0))


def now(belief: Belief, tank: int, margin: float, capacity: float) -> Floats:
    """(8,) state of a tank at the belief's moment."""
    if belief.is_known(tank) and not (belief.common[:, tank].any() or belief.early[:, tank].any()):
        return certain(float(belief.cells[tank].centre[0]), margin)
    return states(belief, tank, np.zeros((COEFFICIENTS, 1)), margin, capacity)[:, 0]


def reset(belief: Belief, tank: int, room: float) -> Belief:
    """After a whole service that certainly happened: the level is known."""
    cells = (Cells.atom(room), belief.cells[1]) if tank == 0 else (belief.cells[0], Cells.atom(room))
    return _restarted(belief, tank, cells, belief.joint.sum(axis=1 + tank, keepdims=True))


def _restarted(belief: Belief, tank: int, cells: tuple[Cells, Cells], joint: Floats) -> Belief:
    """A tank starts anew; what the other tank used so far becomes its own early use."""
    early, common = belief.early.copy(), belief.common.copy()
    early[:, tank] = 0.0
    early[:, 1 - tank] += common[:, 1 - tank]
    common[:] = 0.0
    return replace(belief, cells=cells, joint=joint, common=common, early=early)


def serve(belief: Belief, tank: int, room: float, probability: float, whole: bool, capacity: float) -> Belief:
    """After a service to `room` that happens with `probability`.

    A whole service sets the level. A partial one is max(level, target): an atom at the target plus the cells
    above it; with a probability below one the cells below stay too.
    """
    if whole and probability >= 1.0:
        return reset(belief, tank, room)
    law = law_of_room(belief, tank, np.zeros((COEFFICIENTS, 1)))
    edges = _edges(law, room, probability, capacity)
    passing = _cell_masses(law, edges)  # (K, J, cells): below the first edge, between edges
    centre = np.r_[room, max(edges[0], 0.0), 0.5 * (edges[1:] + edges[:-1])]
    width = np.r_[0.0, 0.0, np.diff(edges)]
    stays = np.full(len(edges), 1.0 - probability)
    if not whole:
        stays[1:][0.5 * (edges[1:] + edges[:-1]) > room] = 1.0
    kept = passing * stays
    moved = (passing - kept).sum(axis=-1, keepdims=True)
    transition = np.concatenate([moved, kept], axis=-1)  # (K, J, 1 + cells)
    axis = "kab,kac->kcb" if tank == 0 else "kab,kbc->kac"
    joint: Floats = np.einsum(axis, belief.joint, transition)
    new = Cells(centre, width)
    cells = (new, belief.cells[1]) if tank == 0 else (belief.cells[0], new)
    return _restarted(belief, tank, cells, joint)


def _edges(law: RoomLaw, room: float, probability: float, capacity: float) -> Floats:
    """Edges of the cells a service leaves: evenly over what may be above the target, and below it if it may fail."""
    low, high = room_range(law, capacity)
    first = max(min(low, room), 0.0) if probability < 1.0 else room
    above = _spread_cells(room, max(high, room + 1e-6))
    return above if first >= room - 1e-9 else np.r_[_spread_cells(first, room)[:-1], above]


def _spread_cells(low: float, high: float) -> Floats:
    count = int(np.clip(np.ceil((high - low) / _CELL_L), _FEWEST_CELLS, _MOST_CELLS))
    return np.linspace(low, high, count + 1)


def room_range(law: RoomLaw, capacity: float) -> tuple[float, float]:
    """A range of rooms in litres outside which almost nothing lies."""
    tails = -law.matched().at(np.array([1.0 - _FAR, _FAR]))[:, 0]
    least = float(np.clip(tails[0], 0.0, capacity))
    most = float(np.clip(max(tails[1], least), 0.0, capacity))
    reach = float((law.cells.centre + law.cells.width / 2).max())
    return least, min(most, reach)


def _cell_masses(law: RoomLaw, edges: Floats) -> Floats:
    """P(room below the first edge, or between edges) given theta and old cell: (K, J, len(edges)); sums to 1."""
    spare = law.cells.centre[:, None] - edges  # (J, E)
    k2 = law.k2[0][:, None, None] + law.cells.width[:, None] ** 2 / 12.0
    at_most = 1.0 - gamma_like_cdf(spare, law.k1[0][:, None, None], k2, law.k3[0][:, None, None])
    at_most = np.maximum.accumulate(at_most, axis=-1)
    at_most[..., -1] = 1.0
    return np.concatenate([at_most[..., :1], np.diff(at_most, axis=-1)], axis=-1)
