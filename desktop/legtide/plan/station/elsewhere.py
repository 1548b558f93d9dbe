"""Other turns at which an aircraft could be served when a station's trucks are short."""

from __future__ import annotations

from dataclasses import dataclass, replace

from legtide.day.document import Service
from legtide.day.rotations import rotations, stations
from legtide.engine.projection import project_rotations
from legtide.language import tr
from legtide.plan.station.needs import Need, breach_sum, service_price, service_window
from legtide.plan.station.planning import StationPlan

_WORTHWHILE = 0.5
"""Least share of the risk that another turn has to avoid."""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Another turn of the aircraft, and how much of the risk a service there avoids."""

    turn: int
    station: str
    share: float

    def __str__(self) -> str:
        return tr("a service at {station} (turn {turn}) would avoid {percent:.0f} % of that risk").format(
            station=self.station, turn=self.turn, percent=100.0 * self.share
        )


def elsewhere(plan: StationPlan) -> dict[str, tuple[Elsewhere, ...]]:
    """Request id of each unserved service -> other turns where it could be made up for, the best first.

    Whether another station's trucks have time for it is that station's plan to say.
    """
    return {row.request: _others(plan, plan.station.needs[row.request]) for row in plan.result.plan.unserved}


def _others(plan: StationPlan, need: Need) -> tuple[Elsewhere, ...]:
    day, row = plan.day, need.service
    rotation = rotations(day)[need.rotation.registration]
    at_stake = max(way.value for way in need.ways)
    if at_stake <= 0.0:
        return ()  # it avoids nothing: nobody misses it
    rest = tuple(x for x in rotation.services if not (x.id == row.id and row.id))
    taken = {x.turn for x in rest if x.tank == row.tank and x.state in ("planned", "done")} | {row.turn}
    places = stations(day)
    openings = [
        (turn, places[turn.station])
        for turn in rotation.turns
        if turn.number not in taken and turn.number < len(rotation.legs) and turn.station in places
    ]
    openings = [
        (turn, station)
        for turn, station in openings
        if service_window(day, station, rotation, turn.number, row.tank) is not None
    ]
    if not openings:
        return ()
    added = [Service(aircraft=rotation.registration, turn=turn.number, tank=row.tank) for turn, _ in openings]
    bare, *tried = project_rotations(
        day, [replace(rotation, services=rest), *(replace(rotation, services=(*rest, new)) for new in added)]
    )
    out = []
    for (turn, station), trial in zip(openings, tried, strict=True):
        gain = day.policy.price_breach.value * (breach_sum(bare, row.tank, 0) - breach_sum(trial, row.tank, 0))
        if gain >= _WORTHWHILE * at_stake and gain > service_price(day, station, row.tank):
            out.append(Elsewhere(turn.number, station.code, min(1.0, gain / at_stake)))
    return tuple(sorted(out, key=lambda other: (-other.share, other.turn)))
