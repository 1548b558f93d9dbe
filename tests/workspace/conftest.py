"""A small invented day and a workspace on it whose projections are counted."""

from __future__ import annotations

import gc
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest

from legtide.day.document import Aircraft, Day, Fit, Leg, Service, Station
from legtide.engine.types import Projection
from legtide.workspace.workspace import Workspace

MORNING = datetime(2026, 5, 14, 6, 0, tzinfo=UTC)


def make_day(aircraft: int = 2, legs: int = 4) -> Day:
    """Aircraft that fly between two invented stations, an hour each way with an hour on the ground."""
    names = [f"QX-{chr(65 + i)}AA" for i in range(aircraft)]
    stations = ("HOLN", "OSTR")
    rows, services = [], []
    for name in names:
        for number in range(legs):
            start = MORNING + timedelta(hours=2 * number)
            rows.append(
                Leg(
                    id=f"{name}-{number}",
                    aircraft=name,
                    flight=f"QX{100 + number}",
                    origin=stations[number % 2],
                    destination=stations[(number + 1) % 2],
                    std=start,
                    sta=start + timedelta(hours=1),
                    passengers=150,
                    crew=6,
                )
            )
        services.append(Service(id=f"s-{name}", aircraft=name, turn=2, tank="waste", target_percent=0.0))
    return Day(
        title="Two rows",
        date=date(2026, 5, 14),
        fits=(Fit(id="single-aisle-180"),),
        stations=tuple(Station(code=code) for code in stations),
        aircraft=tuple(Aircraft(registration=name, fit="single-aisle-180") for name in names),
        legs=tuple(rows),
        services=tuple(services),
    )


@pytest.fixture(autouse=True)
def collected_here():
    """As in the program: garbage is collected in the thread that the widgets live in."""
    gc.disable()
    yield
    gc.collect()


@pytest.fixture
def day() -> Day:
    return make_day()


class CountingProjector:
    """Stands for the engine: keeps what it was asked for and answers with an empty projection."""

    def __init__(self) -> None:
        self.asked: list[Day] = []

    def __call__(self, day: Day, previous: Projection | None) -> Projection:
        self.asked.append(day)
        return Projection(day, {}, ())


@pytest.fixture
def projector() -> CountingProjector:
    return CountingProjector()


@pytest.fixture
def workspace(qapp: object, day: Day, projector: CountingProjector) -> Workspace:
    return Workspace(day, project=projector)


@pytest.fixture
def heard() -> Callable[[object], list[int]]:
    """Counts the emissions of a signal: `count = heard(workspace.changed)`, then `len(count)`."""

    def listen(signal: object) -> list[int]:
        calls: list[int] = []
        signal.connect(lambda *_: calls.append(1))  # type: ignore[attr-defined]
        return calls

    return listen
