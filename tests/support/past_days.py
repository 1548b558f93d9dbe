"""Past days with readings, simulated visit by visit with rates that are known (nothing of the engine is used)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from legtide.day.document import Day, Fit, Leg, Reading, Service, Tank
from support.days import MORNING, rotation_day


@dataclass(frozen=True)
class Truth:
    """The rates that the simulated people follow."""

    visits: float = 0.30
    wash: float = 0.37
    day_cv: float = 0.20
    leg_shape: float = 25.0


def past_day(number: int, truth: Truth, rng: np.random.Generator, *, service: str = "average", fit: str = "f") -> Day:
    """One aircraft's day: four to six legs, full services done on the way, both gauges read on each arrival."""
    count = int(rng.integers(4, 7))
    hours = [round(float(h), 2) for h in rng.uniform(0.9, 2.2, count)]
    day = rotation_day(hours, load=[float(x) for x in rng.uniform(0.5, 1.0, count)], fit=Fit(id=fit))
    shift = timedelta(days=number)
    legs = tuple(
        Leg(**{**dict(leg), "std": leg.std + shift, "sta": leg.sta + shift, "cabin_service": service})
        for leg in day.legs
    )
    levels: dict[Tank, float] = {"fresh": 200.0, "waste": 10.0}
    sigma = np.sqrt(np.log1p(truth.day_cv**2))
    theta = float(np.exp(sigma * rng.standard_normal() - sigma**2 / 2))
    services, readings = [], []
    for turn, leg in enumerate(legs):
        if turn and turn % 2 == 0:
            for tank, full in (("fresh", 200.0), ("waste", 10.0)):
                services.append(Service(id=f"{tank}{turn}", aircraft="QX-0", turn=turn, tank=tank, state="done"))
                levels[tank] = full  # type: ignore[index]
        fresh, waste = _use(leg, (leg.sta - leg.std).total_seconds() / 3600, theta, truth, rng)
        levels = {"fresh": max(levels["fresh"] - fresh, 0.0), "waste": min(levels["waste"] + waste, 170.0)}
        for tank, capacity in (("fresh", 200.0), ("waste", 170.0)):
            shown = 100.0 * levels[tank] / capacity + rng.standard_normal()  # type: ignore[index]
            percent = float(np.clip(10.0 * np.round(shown / 10.0), 0.0, 100.0))
            readings.append(Reading(aircraft="QX-0", turn=turn + 1, tank=tank, percent=percent))  # type: ignore[arg-type]
    when: date = MORNING.date() + shift
    return day.model_copy(
        update={"date": when, "legs": legs, "services": tuple(services), "readings": tuple(readings)}
    )


def _use(leg: Leg, hours: float, theta: float, truth: Truth, rng: np.random.Generator) -> tuple[float, float]:
    people = leg.passengers + leg.crew
    busy = rng.gamma(truth.leg_shape, 1 / truth.leg_shape)
    count = int(rng.poisson(theta * busy * truth.visits * people * hours))
    wash = rng.gamma(2.0 * count, truth.wash / 2.0) if count else 0.0
    body = rng.gamma(3.0 * count, 0.26 / 3.0) if count else 0.0
    galley = 0.02 * people * hours if leg.cabin_service == "average" else 0.0
    return 0.237 * count + wash + galley, 0.237 * count + body
