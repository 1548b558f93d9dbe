"""The likelihood of chains of readings under the engine's own law of use.

Given the day factor, the use between two readings follows the Wilson-Hilferty law of its cumulants; the level inside
the step that was read is carried along in cells. The day factor is integrated out for each chain. The two tanks of
an aircraft saw the same visits: their chains are multiplied as if they had not (a composite likelihood), which leaves
the estimates right; their uncertainty is taken from how much the aircraft's days differ (see `estimate.py`).

A reading may be a slip with a small probability: one wrong number among hundreds moves nothing.

Shapes: n links at one place of their chains, K nodes of the day factor, J cells.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from legtide.engine.laws import day_factor_nodes, gamma_like_score, given_theta
from legtide.engine.learn.chains import LinkTable
from legtide.engine.types import Floats
from legtide.engine.usage import Rates, coefficients

_NODES, _REACH = 13, 3.6
_CELLS: Final = 6
_BLUR: Final = 2.5  # gauge errors beyond the step that are still looked at
_SLIP: Final = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class _Cells:
    """Cells of room of some links: centres and widths (n, J), edges (n, J), chance of the reading in each (n, J)."""

    centre: Floats
    width: Floats
    edges: Floats
    seen: Floats


def chain_log_likelihoods(table: LinkTable, rates: Rates) -> Floats:
    """(C,) log likelihood of each chain."""
    used = np.add.reduceat(coefficients(table.stretches, rates, np.ones(1))[..., 0], table.first, axis=2)
    used = np.take_along_axis(used, table.tank[None, None, :], axis=1)[:, 0]  # (9, L)
    theta, weight = day_factor_nodes(max(rates.day_factor_cv, 1e-6), _NODES, _REACH)
    chains = len(table.cluster)
    total = np.zeros((chains, _NODES))
    carried = np.zeros((chains, _NODES, _CELLS + 1))  # what is known of the level after the reading before
    for place in range(int(table.place.max(initial=-1)) + 1):
        links = np.flatnonzero(table.place == place)
        cells = _reading_cells(table, links)
        passing = _passing(table, links, cells, [row[:, :, None, None] for row in given_theta(used[:, links], theta)],
                           carried[table.chain[links]])  # fmt: skip
        new = passing * cells.seen[:, None]
        probability = new.sum(axis=2)
        slip = _SLIP / table.steps[links][:, None]
        total[table.chain[links]] += np.log((1.0 - _SLIP) * probability + slip)
        level = cells.seen * cells.width
        level = level / np.maximum(level.sum(axis=1, keepdims=True), 1e-300)
        trust = probability > 1e-12
        known = new / np.maximum(probability, 1e-300)[:, :, None]
        carried[table.chain[links]] = np.where(trust[:, :, None], known, level[:, None])
    top = total.max(axis=1)
    return np.asarray(top + np.log(np.exp(total - top[:, None]) @ weight))


def _reading_cells(table: LinkTable, links: NDArray[np.intp]) -> _Cells:
    return _cells(table.span[links], table.capacity[links], table.error[links])


def _cells(span: Floats, capacity: Floats, error: Floats) -> _Cells:
    """The first cell is all below the first edge: it counts where that is the used-up tank."""
    least, most = span[:, 0], span[:, 1]
    first = np.maximum(least - _BLUR * error, 0.0)
    last = np.maximum(np.minimum(most + _BLUR * error, capacity), first + 1e-6)
    edges = first[:, None] + (last - first)[:, None] * np.linspace(0.0, 1.0, _CELLS + 1)
    centre = np.concatenate([edges[:, :1], 0.5 * (edges[:, 1:] + edges[:, :-1])], axis=1)
    width = np.diff(edges, axis=1, prepend=edges[:, :1])
    up = np.where(most >= capacity, np.inf, most)[:, None]
    down = np.where(least <= 0.0, -np.inf, least)[:, None]
    blur = np.maximum(error, 1e-6)[:, None]
    seen = ndtr((up - centre) / blur) - ndtr((down - centre) / blur)
    seen[:, 0] = np.where(first > 0.0, 0.0, seen[:, 0])
    return _Cells(centre, width, edges, seen)


def _passing(
    table: LinkTable, links: NDArray[np.intp], cells: _Cells, cumulants: list[Floats], carried: Floats
) -> Floats:
    """(n, K, J) probability of each cell after the use, given the day factor; cumulants (n, K, 1, 1)."""
    out = np.empty((len(links), _NODES, _CELLS + 1))
    known = ~np.isnan(table.known[links])
    if known.any():
        room = table.known[links][known][:, None, None, None]
        k = [row[known] for row in cumulants]
        out[known] = _masses(room - cells.edges[known][:, None, None, :], *k)[:, :, 0]
    if not known.all():
        rows = np.flatnonzero(~known)
        before, weight = _before(table, links[rows], carried[rows])
        k1, k2, k3 = (row[rows] for row in cumulants)
        spare = before.centre[:, None, :, None] - cells.edges[rows][:, None, None, :]
        parts = _masses(spare, k1, k2 + before.width[:, None, :, None] ** 2 / 12.0, k3)
        out[rows] = np.einsum("nkj,nkji->nki", weight, parts)
    return out


def _before(table: LinkTable, links: NDArray[np.intp], carried: Floats) -> tuple[_Cells, Floats]:
    """The cells of the reading before, and the weight (n, K, J) of each: as carried, or even where it began anew."""
    anew = ~np.isnan(table.since[links, 0])
    previous = np.where(anew, links, links - 1)  # links of a chain follow one another
    span = np.where(anew[:, None], table.since[links], table.span[previous])
    cells = _cells(span, table.capacity[links], table.error[links])
    even = cells.seen * cells.width
    even = even / np.maximum(even.sum(axis=1, keepdims=True), 1e-300)
    return cells, np.where(anew[:, None, None], even[:, None], carried)


def _masses(spare: Floats, k1: Floats, k2: Floats, k3: Floats) -> Floats:
    """(n, K, J, J') probability of the room below the first edge, then between edges."""
    at_most = ndtr(-gamma_like_score(spare, k1, k2, k3))
    return np.concatenate([at_most[..., :1], np.diff(at_most, axis=-1)], axis=-1)
