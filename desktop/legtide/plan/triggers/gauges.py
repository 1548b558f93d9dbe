"""A gauge's steps over a tank's whole range: which reading each level shows, and with which probability."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtr

from legtide.day.document import Fit, Tank
from legtide.engine.course import reading_room
from legtide.engine.types import Floats

_CELLS_PER_STEP: Final = 4


@dataclass(frozen=True, slots=True, eq=False)
class GaugeCells:
    """Cells of room over a tank's range: the first is the used-up tank, the others lie between `edges`."""

    percent: tuple[float, ...]
    """(S,) what the gauge can show, from empty to full."""
    edges: Floats
    """(C,) room in litres from 0 to the capacity."""
    centre: Floats
    width: Floats
    """(C,) centres and widths of the cells."""
    shown: Floats
    """(S, C) probability of each reading in each cell."""
    spans: tuple[tuple[float, float], ...]
    """(S,) room from and to that each reading stands for; the ends of the scale reach beyond it."""
    error: float
    """Gauge error in litres (standard deviation)."""

    def shown_at(self, room: Floats) -> Floats:
        """(S, n) probability of each reading at given rooms."""
        return _shown(self.spans, self.error, room)


def gauge_cells(fit: Fit, tank: Tank) -> GaugeCells:
    """The steps and cells of a fit's gauge."""
    step, capacity = fit.gauge(tank).step_percent, fit.capacity_l(tank)
    percent = tuple(float(value) for value in np.arange(0.0, 100.0 + 1e-9, step))
    spans, error = [], 0.0
    for value in percent:
        least, most, error = reading_room(fit, tank, value)
        spans.append((least, most))
    ends = np.unique(np.clip(np.array(spans).ravel(), 0.0, capacity).round(9))
    ends = np.unique(np.r_[0.0, ends, capacity])
    shares = np.arange(_CELLS_PER_STEP) / _CELLS_PER_STEP
    edges = np.r_[(ends[:-1, None] + np.diff(ends)[:, None] * shares).ravel(), capacity]
    open_ended = _open_ended(spans)
    centre = np.r_[0.0, 0.5 * (edges[1:] + edges[:-1])]
    width = np.r_[0.0, np.diff(edges)]
    return GaugeCells(percent, edges, centre, width, _shown(open_ended, error, centre), open_ended, error)


def _open_ended(spans: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """The lowest and the highest reading stand for all that lies beyond."""
    low, high = min(spans), max(spans)
    return tuple((-np.inf if span == low else span[0], np.inf if span == high else span[1]) for span in spans)


def _shown(spans: tuple[tuple[float, float], ...], error: float, room: Floats) -> Floats:
    least, most = (np.array(ends)[:, None] for ends in zip(*spans, strict=True))
    if error > 0.0:
        return np.asarray(ndtr((most - room) / error) - ndtr((least - room) / error))
    return ((room >= least) & (room < most)).astype(np.float64)
