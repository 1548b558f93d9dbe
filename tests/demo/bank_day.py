"""The large bank: forty aircraft, eighty turns at the hub in two waves, six trucks."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import combinations
from typing import Final

from demo.building import Hub, Line, at, build, truck
from demo.scenario import FLEET, PORTS, PREFIX
from legtide.day.document import Day, Place, Travel, Truck

BANK: Final = date(2027, 6, 18)
PIERS: Final = "ABCD"
STANDS_EACH: Final = 10
_SAME_PIER_MIN: Final = 2.0
_OTHER_PIER_MIN: Final = 5.0
_TO_POINTS_MIN: Final = {"A": 3.0, "B": 4.0, "C": 5.0, "D": 6.0}
"""From the stands of a pier to the fill point; the dump point lies on the other side."""


def bank() -> Day:
    """The first wave is planned with trucks; who serves the second is for the user to decide."""
    return build("a bank of eighty turns", BANK, _lines(), _hub())


def _stand(index: int) -> str:
    return f"{PIERS[index // STANDS_EACH]}{index % STANDS_EACH + 1:02d}"


def _hub() -> Hub:
    stands = [_stand(index) for index in range(len(PIERS) * STANDS_EACH)]
    points = (
        Place(id="Base", kind="base"),
        Place(id="Fill point", kind="fill_point", handling_min=3.0, flow_l_per_min=250.0),
        Place(id="Dump point", kind="dump_point", handling_min=5.0, flow_l_per_min=400.0),
    )
    return Hub(
        trucks=_trucks(),
        places=(*(Place(id=stand) for stand in stands), *points),
        travel=tuple(_travel(stands)),
        default_travel_min=_OTHER_PIER_MIN,
        planned_until=at(BANK, "10:00"),
    )


def _travel(stands: list[str]) -> Iterator[Travel]:
    """Driving times that are not the default: inside a pier, and from the piers to the points."""
    for one, other in combinations(stands, 2):
        if one[0] == other[0]:
            yield Travel(between=(one, other), minutes=_SAME_PIER_MIN)
    nearest, farthest = min(_TO_POINTS_MIN.values()), max(_TO_POINTS_MIN.values())
    for stand in stands:
        minutes = _TO_POINTS_MIN[stand[0]]
        yield Travel(between=(stand, "Fill point"), minutes=minutes)
        yield Travel(between=(stand, "Dump point"), minutes=nearest + farthest - minutes)


def _trucks() -> tuple[Truck, ...]:
    base = {"setup_min": 1.0, "start_place": "Base"}
    return (
        truck(BANK, "W1", 1800.0, "04:30-14:30", "09:00-09:40", **base),
        truck(BANK, "W2", 1800.0, "04:30-14:30", "09:40-10:20", **base),
        truck(BANK, "W3", 900.0, "05:30-14:30", "08:50-09:30", **base),
        truck(BANK, "T1", 2000.0, "04:30-14:30", "09:10-09:50", **base),
        truck(BANK, "T2", 2000.0, "04:30-14:30", "09:50-10:30", **base),
        truck(BANK, "T3", 1200.0, "05:30-14:30", "09:00-09:40", **base),
    )


# rotations ------------------------------------------------------------------------------------------------

_BASES: Final = ("DQN", "HQF", "KQM", "LQV", "NQV", "TQB", "WQY", "UQM")
_OUTINGS: Final = ("TQB", "LQV", "RQH", "WQY", "JQS", "DQN", "TQB", "LQV")
_NEAR: Final = ("RQH", "JQS", "TQB")
_FITS: Final = ("single-aisle-180", "single-aisle-120", "single-aisle-220", "jet-100", "jet-70")
_FIRST_WAVE: Final = timedelta(hours=6, minutes=10)
_LAST_ARRIVAL: Final = timedelta(hours=11, minutes=10)
_EVERY: Final = timedelta(minutes=3)
_COUNT: Final = 40
_FRESH_H: Final = 3.7
_WASTE_H: Final = 3.9
"""Flight hours after which a tank is served, by a rule of thumb."""
_SHARE_SINCE: Final = 0.6
"""Share of the hours before the second wave that lie after the first."""
_FORGOTTEN: Final = 6


def _names() -> list[str]:
    """Forty aircraft of all sizes but the smallest and the largest, taken in turn."""
    queues = [[name.split("-")[1] for name, fit in FLEET.items() if fit == wanted] for wanted in _FITS]
    out: list[str] = []
    while any(queues):
        out += [queue.pop(0) for queue in queues if queue]
    return out + [name.split("-")[1] for name, fit in FLEET.items() if fit == "turboprop-70"]


def _lines() -> Iterator[Line]:
    """Each aircraft flies in, out, in and out again; arrivals of a wave come three minutes apart."""
    for index, name in enumerate(_names()[:_COUNT]):
        base, outing = _BASES[index % len(_BASES)], _OUTINGS[(index * 3) % len(_OUTINGS)]
        final = _BASES[(index * 5 + 3) % len(_BASES)]
        if FLEET[f"{PREFIX}{name}"] == "turboprop-70":
            base, outing, final = _NEAR
        arrives = _FIRST_WAVE + _EVERY * index
        first = arrives - timedelta(minutes=PORTS[base].block_min)
        returns = _LAST_ARRIVAL + _EVERY * index
        away = returns - arrives - timedelta(minutes=2 * PORTS[outing].block_min)
        # What is not flown is shared between the hub and the outstation, most of it at the hub.
        hub_min = min(round(away.total_seconds() / 60 * 0.55), 75)
        out_min = round(away.total_seconds() / 60) - hub_min
        full = (1.0, 0.9, 0.75, 1.0)[index % 4]
        flown = (PORTS[base].block_min + 2 * PORTS[outing].block_min) / 60.0
        yield Line(
            name,
            f"{first.seconds // 3600:02d}:{first.seconds % 3600 // 60:02d}",
            f"{base} OZM {outing} OZM {final}",
            (hub_min, out_min, 50),
            _services(index, (flown, PORTS[final].block_min / 60.0), full),
            0.82,
            number=700 + 10 * index,
            stand=_stand(index),
            changes={"fresh_percent": 100.0 * full},
        )


def _services(index: int, hours: tuple[float, float], full: float) -> str:
    """Services by a rule of thumb: so many flight hours to a tank; every tenth aircraft is forgotten.

    `hours`: until the second turn at the hub, and on the last leg; `full`: share of the fresh tank at the start.
    """
    before, last = hours
    fill, drain = before > _FRESH_H * full, before > _WASTE_H
    since_fill, since_drain = (before * _SHARE_SINCE if done else before for done in (fill, drain))
    words = [word for word, wanted in (("F1", fill), ("W1", drain)) if wanted and index % 10 != _FORGOTTEN]
    words += ["F3"] if since_fill + last > _FRESH_H else []
    words += ["W3"] if since_drain + last > _WASTE_H else []
    return " ".join(words)
