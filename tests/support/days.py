"""Small invented days for tests, built through the document's own constructors."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np

from legtide.day.document import Aircraft, Day, Fit, Leg, Reading, Service, Station

MORNING = datetime(2026, 5, 14, 4, tzinfo=UTC)


def rotation_day(
    hours: float | list[float] = 1.5,
    legs: int = 8,
    load: float | list[float] = 0.8,
    *,
    aircraft: int = 1,
    ground_min: float = 45.0,
    services: tuple[Service, ...] = (),
    readings: tuple[Reading, ...] = (),
    fit: Fit | None = None,
    **changes: object,
) -> Day:
    """A day of `aircraft` equal rotations of the 180-seat type between two stations, ABLE and BAKE."""
    fit = fit or Fit(id="f")
    block = [hours] * legs if isinstance(hours, float | int) else list(hours)
    loads = [load] * len(block) if isinstance(load, float | int) else list(load)
    rows: list[Leg] = []
    for number in range(aircraft):
        at = MORNING
        for place, (h, share) in enumerate(zip(block, loads, strict=True)):
            ends = at + timedelta(hours=h)
            rows.append(
                Leg(
                    id=f"{number}-{place}",
                    aircraft=f"QX-{number}",
                    flight=f"ZZ{100 + place}",
                    origin=("ABLE", "BAKE")[place % 2],
                    destination=("BAKE", "ABLE")[place % 2],
                    std=at,
                    sta=ends,
                    passengers=round(fit.seats.value * share),
                    crew=6,
                )
            )
            at = ends + timedelta(minutes=ground_min)
    values: dict[str, object] = {
        "date": date(2026, 5, 14),
        "fits": (fit,),
        "stations": (Station(code="ABLE"), Station(code="BAKE")),
        "aircraft": tuple(Aircraft(registration=f"QX-{n}", fit=fit.id) for n in range(aircraft)),
        "legs": tuple(rows),
        "services": services,
        "readings": readings,
    }
    return Day(**{**values, **changes})  # type: ignore[arg-type]


def random_day(rng: np.random.Generator, *, partial: bool = True, **changes: object) -> Day:
    """One random rotation with whole and partial services; every cabin service occurs."""
    n = int(rng.integers(3, 10))
    day = rotation_day(
        [round(float(h), 2) for h in rng.uniform(0.7, 3.5, n)],
        load=[float(x) for x in rng.uniform(0.3, 1.0, n)],
        **changes,  # type: ignore[arg-type]
    )
    styles = rng.choice(["average", "none", "drinks", "meal"], n)
    legs = tuple(
        Leg(**{**{f: getattr(leg, f) for f in Leg.model_fields}, "cabin_service": str(style)})
        for leg, style in zip(day.legs, styles, strict=True)
    )
    services: list[Service] = []
    for turn in range(1, n):
        if rng.random() < 0.35:
            target = float(rng.choice([50.0, 75.0, 100.0])) if partial else 100.0
            services.append(Service(id=f"f{turn}", aircraft="QX-0", turn=turn, tank="fresh", target_percent=target))
        if rng.random() < 0.3:
            target = float(rng.choice([0.0, 0.0, 30.0])) if partial else 0.0
            services.append(Service(id=f"w{turn}", aircraft="QX-0", turn=turn, tank="waste", target_percent=target))
    return day.model_copy(update={"legs": legs, "services": tuple(services)})
