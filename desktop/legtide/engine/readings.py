"""Conditioning on gauge readings: level and day factor together, both tanks through the visits they share.

A reading says that the level lies within a step of the gauge, blurred by the gauge's error. Both tanks saw the
same visits since their later event, so the update runs over nodes of that number: given theta and the number V, the
two levels are independent. A tank that was not read is carried along over the range where it may be. The probability
of the reading comes free; an implausible one is not used.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from scipy.special import ndtr

from legtide.engine.laws import COEFFICIENTS, given_theta
from legtide.engine.mixture import Belief, Cells, law_of_room, room_range
from legtide.engine.types import Floats
from legtide.engine.usage import Rates

IMPLAUSIBLE: Final = 1e-5
"""A reading less probable than this is reported and not used."""
_VISIT_NODES: Final = 17
_REACH: Final = 4.5  # standard normal reach of the visit nodes
_CELLS_READ: Final = 8
_CELLS_UNREAD: Final = 28
_BLUR: Final = 3.0  # gauge errors beyond the step that are still looked at

Span = tuple[float, float, float]
"""Room from, room to, gauge error; litres."""


def visit_nodes(belief: Belief, rates: Rates) -> tuple[Floats, Floats]:
    """Nodes (K, V) of the number of shared visits given theta, and their probabilities (V,)."""
    v1 = rates.visit_moments()[0][0]
    common = belief.common[:, 0]
    number = np.zeros(COEFFICIENTS)
    if v1 > 0.0:
        mean, square, cube = common[0] / v1, common[3] / v1**2, common[7] / v1**3
        number[[0, 2, 3, 5, 6, 7]] = mean, mean, square, mean, 3.0 * square, cube
    k1, k2, k3 = (row[0] for row in given_theta(number[:, None], belief.theta))
    z = np.linspace(-_REACH, _REACH, _VISIT_NODES)
    pz = np.exp(-0.5 * z * z)
    spread = np.sqrt(np.maximum(k2, 1e-9))
    g = np.maximum(k3 / spread**3, 0.02)
    # Wilson-Hilferty turned round: the cube of a normal gives the number.
    a = (4.0 / (g * g))[:, None]
    cube_root = 1.0 - 1.0 / (9.0 * a) + z / (3.0 * np.sqrt(a))
    nodes = k1[:, None] + spread[:, None] * (cube_root**3 - 1.0) * np.sqrt(a)
    return np.maximum(nodes, 0.0), pz / pz.sum()


def _grid(belief: Belief, tank: int, span: Span | None, capacity: float) -> tuple[Cells, Floats, Floats]:
    """New cells of a tank, their edges, and the probability of the reading in each (all below comes first)."""
    if span is not None:
        return _grid_read(span, capacity)
    low, high = room_range(law_of_room(belief, tank, np.zeros((COEFFICIENTS, 1))), capacity)
    edges = np.linspace(low, max(high, low + 1e-6), _CELLS_UNREAD + 1)
    return _cells(edges), edges, np.ones(len(edges))


def _grid_read(span: Span, capacity: float) -> tuple[Cells, Floats, Floats]:
    least, most, error = span
    first = max(least - _BLUR * error, 0.0)
    last = max(min(most + _BLUR * error, capacity), first + 1e-6)
    edges = np.linspace(first, last, (2 * _CELLS_READ if error > 0.0 else _CELLS_READ) + 1)
    cells = _cells(edges)
    if error > 0.0:
        # Ends of the scale: a level beyond the last step still shows that step.
        up = np.inf if most >= capacity else most
        down = -np.inf if least <= 0.0 else least
        seen = ndtr((up - cells.centre) / error) - ndtr((down - cells.centre) / error)
    else:
        seen = np.ones(len(edges))
    if first > 0.0:
        seen[0] = 0.0
    elif error <= 0.0:
        seen[0] = 1.0 if least <= 0.0 else 0.0
    return cells, edges, seen


def spread_over(belief: Belief, spans: tuple[Span | None, Span | None], capacity: Floats) -> Belief:
    """A belief about known levels with those of the read tanks spread over what the readings leave open.

    Nothing is learned of the day factor: before the first leg nothing has been used.
    """
    cells, shares = list(belief.cells), [np.ones(1), np.ones(1)]
    for tank, span in enumerate(spans):
        if span is not None:
            cells[tank], _, seen = _grid_read(span, float(capacity[tank]))
            share = seen * cells[tank].width
            shares[tank] = share / share.sum()
    joint = np.broadcast_to(np.outer(*shares), (len(belief.theta), len(shares[0]), len(shares[1])))
    return replace(belief, cells=(cells[0], cells[1]), joint=np.array(joint))


def _cells(edges: Floats) -> Cells:
    return Cells(np.r_[edges[0], 0.5 * (edges[1:] + edges[:-1])], np.r_[0.0, np.diff(edges)])


def masses_given_visits(
    belief: Belief, tank: int, edges: Floats, visits: Floats, rates: Rates, to_the_top: bool
) -> Floats:
    """P(room in each new cell | theta, visits, old cell): (K, V, J, cells).

    The first cell is all below the first edge; `to_the_top` lets the last one hold all above it.
    """
    v1, v2, _ = rates.visit_moments()[tank]
    old = belief.cells[tank]
    galley, galley2 = belief.common[1, tank], belief.common[4, tank]
    own, own2, _ = (row[0] for row in given_theta(belief.early[:, tank, None], belief.theta))
    mean = v1 * visits + galley + own[:, None]
    variance = visits * (v2 - v1 * v1) + galley2 + own2[:, None]
    spread = np.sqrt(np.maximum(variance[:, :, None] + old.width**2 / 12.0, 1e-6))
    expected = old.centre - mean[:, :, None]
    at_most = ndtr((edges - expected[..., None]) / spread[..., None])
    if to_the_top:
        at_most[..., -1] = 1.0
    return np.concatenate([at_most[..., :1], np.diff(at_most, axis=-1)], axis=-1)


def condition(
    belief: Belief, spans: tuple[Span | None, Span | None], rates: Rates, capacity: Floats
) -> tuple[Belief, float]:
    """The belief after readings taken together, and the probability of those readings.

    Args:
        spans: room that each tank's reading stands for; None for a tank that was not read.
        capacity: (2,) litres.

    Returns:
        The new belief, or the old one when the reading is implausible; the probability of the reading.
    """
    visits, pz = visit_nodes(belief, rates)
    grids = [_grid(belief, tank, spans[tank], float(capacity[tank])) for tank in (0, 1)]
    fresh, waste = (
        masses_given_visits(belief, tank, edges, visits, rates, spans[tank] is None or edges[-1] >= capacity[tank])
        * seen
        for tank, (_, edges, seen) in enumerate(grids)
    )
    # new[k,i,j] = sum_v pz_v sum_ab fresh[k,v,a,i] joint[k,a,b] waste[k,v,b,j]
    inner = np.matmul(belief.joint[:, None], waste)
    new = np.einsum("v,kvij->kij", pz, np.matmul(np.swapaxes(fresh, 2, 3), inner))
    seen = new.sum(axis=(1, 2))
    probability = float(belief.weight @ seen)
    if not probability >= IMPLAUSIBLE:
        return belief, probability
    weight = belief.weight * seen / probability
    joint = new / np.maximum(seen, 1e-300)[:, None, None]
    joint[seen <= 0.0] = 1.0 / (joint.shape[1] * joint.shape[2])  # nodes that have no weight left
    none = np.zeros((COEFFICIENTS, 2))
    cells = (grids[0][0], grids[1][0])
    return replace(belief, weight=weight, cells=cells, joint=joint, common=none, early=none), probability
