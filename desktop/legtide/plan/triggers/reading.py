"""Risks given what the gauge of one tank would show on arrival: all steps of the gauge, and all turns, at once.

Given the day factor, the room on arrival is spread over the cells of the gauge, and the risk ahead follows for each
cell. A reading weighs both: the posterior of level and day factor together, without which a trigger is wrong where
much has been used already.

Shapes: T turns, K nodes of the day factor (the same for all turns), C cells and S steps of the gauge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtr

from legtide.engine.laws import gamma_like_score, given_theta
from legtide.engine.mixture import Belief
from legtide.engine.types import Floats
from legtide.plan.triggers.gauges import GaugeCells

_IMPOSSIBLE: Final = 1e-290
"""A reading less probable than this has no posterior in double precision."""


@dataclass(frozen=True, slots=True, eq=False)
class StepRisks:
    """For each turn and reading: its probability, and the risk ahead given it; (T, S) each."""

    probability: Floats
    risk: Floats


def step_risks(beliefs: Sequence[Belief], tank: int, ahead: Floats, margin: float, gauge: GaugeCells) -> StepRisks:
    """Risks ahead of each arrival for every step of a gauge.

    Args:
        beliefs: what is known on each arrival.
        tank: 0 fresh, 1 waste.
        ahead: (9, T) use up to the end of the last leg before the tank's next service.
        margin: room in litres at which the limit is reached.
        gauge: the gauge's steps and cells.
    """
    beyond = risk_ahead(beliefs[0].theta, ahead, margin, gauge)
    weight = np.stack([belief.weight for belief in beliefs])
    joint = weight[:, :, None] * masses(beliefs, tank, gauge.edges)
    probability = joint.sum(axis=1) @ gauge.shown.T
    risk = (joint * beyond).sum(axis=1) @ gauge.shown.T / np.maximum(probability, _IMPOSSIBLE)
    for turn, belief in enumerate(beliefs):
        if _untouched(belief, tank):
            probability[turn], risk[turn] = _at_the_start(belief, tank, beyond[turn], gauge)
    for turn, step in zip(*np.nonzero(probability < _IMPOSSIBLE), strict=True):
        risk[turn, step] = _beyond_belief(beliefs[turn], tank, beyond[turn], gauge, int(step))
    return StepRisks(probability, np.clip(risk, 0.0, 1.0))


def risk_ahead(theta: Floats, ahead: Floats, margin: float, gauge: GaugeCells) -> Floats:
    """(T, K, C) probability that the room of a cell is used up to the margin, given the day factor."""
    k1, k2, k3 = (row[:, :, None] for row in given_theta(ahead, theta))
    return np.asarray(ndtr(-gamma_like_score(gauge.centre - margin, k1, k2 + gauge.width**2 / 12.0, k3)))


def masses(beliefs: Sequence[Belief], tank: int, edges: Floats) -> Floats:
    """(T, K, C) probability of each cell given the day factor: used up, then between the edges."""
    out = np.empty((len(beliefs), len(beliefs[0].theta), len(edges)))
    known = np.array([belief.is_known(tank) for belief in beliefs])
    if known.any():
        rows = [belief for belief in beliefs if belief.is_known(tank)]
        rooms = np.array([float(belief.cells[tank].centre[0]) for belief in rows])
        k1, k2, k3 = _used(rows, tank)
        out[known] = _between(gamma_like_score(rooms[:, None, None] - edges, k1, k2, k3))
    for turn in np.flatnonzero(~known).tolist():
        out[turn] = _spread_masses(beliefs[turn], tank, edges)
    return out


def _used(beliefs: list[Belief], tank: int) -> list[Floats]:
    """Cumulants (T, K, 1) of the use since each belief's last event."""
    used = np.stack([(belief.common + belief.early)[:, tank] for belief in beliefs], axis=1)
    return [row[:, :, None] for row in given_theta(used, beliefs[0].theta)]


def _spread_masses(belief: Belief, tank: int, edges: Floats) -> Floats:
    """(K, C) the same where the room at the last event is spread over cells itself."""
    cells = belief.cells[tank]
    k1, k2, k3 = (row[0][:, :, None] for row in _used([belief], tank))
    score = gamma_like_score(cells.centre[:, None] - edges, k1, k2 + cells.width[:, None] ** 2 / 12.0, k3)
    return np.asarray(np.einsum("kj,kjc->kc", belief.marginal(tank), _between(score)))


def _between(score: Floats) -> Floats:
    """(..., C) probabilities of the cells from the falling scores (..., C) of the room at their lower ends."""
    tail = ndtr(-np.abs(score))  # the smaller tail keeps its digits far out, where readings are improbable
    above = score > 0.0  # more likely than not there is more room than the edge's
    below_edge = np.where(above, tail, 1.0 - tail)
    low, high = tail[..., :-1], tail[..., 1:]
    parts = np.where(above[..., 1:], high - low, np.where(above[..., :-1], 1.0 - low - high, low - high))
    return np.concatenate([below_edge[..., :1], np.maximum(parts, 0.0)], axis=-1)


def _untouched(belief: Belief, tank: int) -> bool:
    """Whether nothing has been used since the tank's last event."""
    return not (belief.common[0, tank] or belief.early[0, tank] or belief.common[1, tank] or belief.early[1, tank])


def _at_the_start(belief: Belief, tank: int, beyond: Floats, gauge: GaugeCells) -> tuple[Floats, Floats]:
    """Before the first leg the gauge tells the level, whatever the day says, and nothing of the day factor."""
    cells = gauge.shown * gauge.width
    risk = cells @ (belief.weight @ beyond) / cells.sum(axis=1)
    probability = gauge.shown_at(belief.cells[tank].centre) @ (belief.weight @ belief.marginal(tank))
    return np.maximum(probability, _IMPOSSIBLE), risk


def _beyond_belief(belief: Belief, tank: int, beyond: Floats, gauge: GaugeCells, step: int) -> float:
    """The risk given a reading that cannot be: at the largest day factor if too much was used, else as before it."""
    cells = gauge.shown[step] * gauge.width
    cells = cells / cells.sum()
    expected = belief.weight @ belief.marginal(tank) @ belief.cells[tank].centre
    expected -= (belief.common + belief.early)[:2, tank].sum()
    too_much = cells @ gauge.centre < expected
    given = beyond[-1] if too_much else belief.weight @ beyond
    return float(cells @ given)
