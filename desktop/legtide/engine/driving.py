"""Driving times between a station's places, closed once for each station, and the points where trucks reload."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from legtide.day.document import Place, Station, Tank, Truck
from legtide.day.rotations import Same

ELSEWHERE: Final = "somewhere at the station"
"""Where aircraft stand whose stand is not known, and trucks start where the station lists no place."""
_RELOADS: Final[dict[str, Tank]] = {"fill_point": "fresh", "dump_point": "waste"}

Table = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class ReloadPoint:
    """A fill point (fresh) or a dump point (waste)."""

    place: str
    tank: Tank
    handling_min: float
    flow_l_per_min: float

    def minutes(self, litres: float) -> float:
        """Minutes there for so many litres."""
        return self.handling_min + litres / self.flow_l_per_min


def closed(travel_min: Iterable[Iterable[float]]) -> Table:
    """The driving times with every detour that is shorter than the direct way taken (Floyd and Warshall)."""
    rows = np.array([list(row) for row in travel_min], dtype=np.float64)
    for k in range(len(rows)):
        np.minimum(rows, rows[:, k, None] + rows[k], out=rows)
    return tuple(map(tuple, rows.tolist()))


class Driving:
    """How long trucks drive at one station.

    Between listed places as entered, or the station's usual time, or by way of other places where that is shorter.
    To or from any other place, and between two aircraft whose stands are not known, it is the usual time, but at
    least half of the longest drive listed, so that a way past an unknown place is never a short cut.
    """

    def __init__(self, station: Station) -> None:
        self._names = tuple(row.id for row in station.places)
        self._number = {name: n for n, name in enumerate(self._names)}
        known = {}
        for row in station.travel:
            known[row.between] = known[row.between[::-1]] = row.minutes
        usual, names = station.default_travel_min, self._names
        self._table = closed([[0.0 if a == b else known.get((a, b), usual) for b in names] for a in names])
        self.usual_min = max(usual, max(map(max, self._table), default=0.0) / 2.0)
        self.points: dict[Tank, tuple[ReloadPoint, ...]] = {
            tank: tuple(point for row in station.places if (point := _point(row)) is not None and point.tank == tank)
            for tank in ("fresh", "waste")
        }

    def minutes(self, a: str, b: str) -> float:
        """Minutes from place to place."""
        if a == b and a != ELSEWHERE:
            return 0.0
        start, end = self._number.get(a), self._number.get(b)
        return self.usual_min if start is None or end is None else self._table[start][end]

    def table(self, names: Sequence[str]) -> Table:
        """The same times for some places, each named once."""
        numbers = [self._number.get(name, -1) for name in names]
        rows = np.full((len(names), len(names)), self.usual_min)
        listed = [place for place, number in enumerate(numbers) if number >= 0]
        if listed:
            chosen = [numbers[place] for place in listed]
            rows[np.ix_(listed, listed)] = np.array(self._table)[np.ix_(chosen, chosen)]
        np.fill_diagonal(rows, 0.0)
        return tuple(map(tuple, rows.tolist()))


def driving(station: Station) -> Driving:
    """The driving times of a station; the same object as long as the station is the same."""
    return _driving(Same(station))


@lru_cache(maxsize=128)
def _driving(same: Same[Station]) -> Driving:
    return Driving(same.it)


def base_of(station: Station, truck: Truck) -> str:
    """Where a truck starts: as entered, else the first base, else the first place of the station."""
    if truck.start_place is not None:
        return truck.start_place
    bases = [row.id for row in station.places if row.kind == "base"] or [row.id for row in station.places]
    return bases[0] if bases else ELSEWHERE


def _point(place: Place) -> ReloadPoint | None:
    tank = _RELOADS.get(place.kind)
    return None if tank is None else ReloadPoint(place.id, tank, place.handling_min, place.flow_l_per_min)
