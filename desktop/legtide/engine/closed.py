"""The projection where nothing has been read: closed forms, for any number of aircraft at once.

Between two resets (start of the day, a whole fill, a drain) use is a sum of independent stretches given the day
factor; with the day factor integrated out it is taken as a shifted lognormal through its first three moments. Room
once used up stays used up until the reset, so risks are P(use >= room) and levels are clamped.

Sums run per aircraft in the order of its stretches: the result of one aircraft does not depend, to the bit, on which
others are computed with it.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from legtide.engine.laws import ShiftedLognormal, day_factor_moments, moments
from legtide.engine.types import Floats
from legtide.engine.usage import POINTS, Rates, Stretches, coefficients

STATE: Final = 8
"""What is known of a tank at a moment: five quantiles of the room left, its mean, P(limit passed), P(used up)."""
MEAN, LIMIT, OUT = 5, 6, 7
_CHUNK: Final = 400  # stretches at once: 2 tanks x 16 points keep the temporaries in the cache


def used_before(ends: Floats, resets: NDArray[np.bool_], first: NDArray[np.intp], count: NDArray[np.intp]) -> Floats:
    """Coefficients used since the last reset before each stretch.

    Args:
        ends: (9, 2, n) coefficients of whole stretches.
        resets: (2, n) True where a tank is reset just before the stretch.
        first: (a,) number of each aircraft's first stretch.
        count: (a,) stretches of each aircraft.

    Returns:
        (9, 2, n).
    """
    before = np.zeros_like(ends)
    running = np.zeros((*ends.shape[:2], len(first)))
    for place in range(int(count.max(initial=0))):
        flying = np.flatnonzero(count > place)
        rows = first[flying] + place
        since = np.where(resets[:, rows], 0.0, running[:, :, flying])
        before[:, :, rows] = since
        running[:, :, flying] = since + ends[:, :, rows]
    return before


def last_reset(values: Floats, resets: NDArray[np.bool_]) -> Floats:
    """(2, n) the value given at the last reset at or before each stretch (the first stretch is a reset)."""
    n = values.shape[1]
    place = np.maximum.accumulate(np.where(resets, np.arange(n), 0), axis=1)
    return np.take_along_axis(values, place, axis=1)


def states(law: ShiftedLognormal, room: Floats, margin: Floats) -> Floats:
    """(8, ...) states from the law of the use and the room at the last reset (litres)."""
    out = np.empty((STATE, *law.centre.shape))
    out[:5] = np.clip(room - law.quantiles()[::-1], 0.0, room)
    out[MEAN] = np.clip(law.mean_below(room), 0.0, room)
    out[LIMIT] = law.at_least(room - margin)
    out[OUT] = law.at_least(room)
    return out


def certain(room: Floats | float, margin: Floats | float) -> Floats:
    """(8, ...) state of a level that is known."""
    out = np.empty((STATE, *np.shape(room)))
    out[: MEAN + 1] = room
    out[LIMIT] = room < margin
    out[OUT] = room <= 0.0
    return out


def project_closed(
    stretches: Stretches,
    rates: Rates,
    resets: NDArray[np.bool_],
    rooms: Floats,
    margins: Floats,
    first: NDArray[np.intp],
    count: NDArray[np.intp],
    points: Floats = POINTS,
) -> Floats:
    """States at every point of every stretch.

    Args:
        stretches: n stretches, aircraft after aircraft.
        rates: the usage figures.
        resets: (2, n); every aircraft's first stretch is a reset of both tanks.
        rooms: (2, n) room in litres at a reset (read only where `resets` holds).
        margins: (2, n) room in litres at which the limit is reached.
        first, count: (a,) where each aircraft's stretches are.
        points: (T,) shares of the stretch.

    Returns:
        (2, 8, n, T): tank, state, stretch, point.
    """
    n = len(stretches)
    out = np.empty((2, STATE, n, len(points)))
    whole = coefficients(stretches, rates, points[-1:])[..., 0]
    before = used_before(whole, resets, first, count)
    room = last_reset(rooms, resets)
    day_factor = day_factor_moments(rates.day_factor_cv)
    for start in range(0, n, _CHUNK):
        part = slice(start, start + _CHUNK)
        used = coefficients(_rows(stretches, part), rates, points)
        used += before[:, :, part, None]
        law = ShiftedLognormal.of(*moments(used, day_factor))
        out[:, :, part] = np.moveaxis(states(law, room[:, part, None], margins[:, part, None]), 0, 1)
    return out


def _rows(stretches: Stretches, part: slice) -> Stretches:
    return Stretches(
        stretches.persons[part],
        stretches.hours[part],
        stretches.aloft[part],
        stretches.lavatories[part],
        stretches.galley_share[part],
        stretches.rounds[part],
    )
