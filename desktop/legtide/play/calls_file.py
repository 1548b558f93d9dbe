"""A group's calls as a JSON file (format `legtide-calls`, version 1): read strictly, every problem with its place.

    {"format": "legtide-calls", "version": 1, "group": "Blue",
     "services": [{"aircraft": "QM-HAW", "turn": 3, "tank": "waste", "serve": true, "target_percent": 0}],
     "readings": [{"aircraft": "QM-HAW", "turn": 2}]}

Each may say `at`, the moment of the call. Without it a service is called for when the round begins, and a reading
when the aircraft comes on blocks. What is not named goes by the day's plan.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Annotated, Any, Final, Literal

from pydantic import Field, ValidationError

from legtide.day.checks import Problem
from legtide.day.document import Frozen, Key, Percent, Tank, Text, Utc
from legtide.day.quoting import quoted
from legtide.day.rotations import Rotation, rotations
from legtide.files.reasons import problems_of
from legtide.files.strict_json import BadJsonError, cut, read_object
from legtide.language import tr
from legtide.play.calls import Call, ReadingCall, ServiceCall
from legtide.play.rounds import Round

FORMAT: Final = "legtide-calls"
_Turn = Annotated[int, Field(ge=0, le=10_000)]
_MOST: Final = 20_000


class ServiceRow(Frozen):
    """One service that is called for, or left."""

    aircraft: Key
    turn: _Turn
    tank: Tank
    serve: bool
    target_percent: Percent | None = None
    at: Utc | None = None


class ReadingRow(Frozen):
    """One turn at which the gauges are read."""

    aircraft: Key
    turn: _Turn
    at: Utc | None = None


class CallsFile(Frozen):
    """A group's calls."""

    format: Literal["legtide-calls"]
    version: Literal[1]
    group: Text = ""
    services: Annotated[tuple[ServiceRow, ...], Field(max_length=_MOST)] = ()
    readings: Annotated[tuple[ReadingRow, ...], Field(max_length=_MOST)] = ()


class CallsFileError(ValueError):
    """A file that does not hold acceptable calls; `problems` has every place and reason."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n  ".join([tr("the calls are not acceptable:"), *map(str, problems)]))
        self.problems = problems


def read_calls(data: bytes) -> CallsFile:
    """The calls that the bytes of a file hold. Raises CallsFileError with every problem and its place."""
    try:
        content: dict[str, Any] = read_object(data)
        return CallsFile.model_validate_json(json.dumps(content))
    except BadJsonError as error:
        raise CallsFileError(error.problems) from None
    except ValidationError as error:
        raise CallsFileError(cut(problems_of(error))) from None


def calls_of(found: CallsFile, start: Round) -> tuple[Call, ...]:
    """The calls of a file for a round at its beginning, in the order of time.

    Raises CallsFileError for what is not in the day.
    """
    problems = cut(_problems(found, start))
    if problems:
        raise CallsFileError(problems)
    known = rotations(start.day)
    made: list[Call] = [
        ServiceCall(row.aircraft, row.turn, row.tank, row.serve, row.at or start.begin, row.target_percent)
        for row in found.services
    ]
    made += [
        ReadingCall(row.aircraft, row.turn, row.at or _opens(known[row.aircraft], row.turn, start.begin))
        for row in found.readings
    ]
    return tuple(sorted(made, key=lambda row: row.at))


def _opens(rotation: Rotation, turn: int, begin: datetime) -> datetime:
    return max(rotation.turns[turn].start or begin, begin)


def _problems(found: CallsFile, start: Round) -> Iterator[Problem]:
    known = rotations(start.day)
    rows: list[tuple[str, ServiceRow | ReadingRow]] = [
        *((f"services[{number}]", row) for number, row in enumerate(found.services)),
        *((f"readings[{number}]", row) for number, row in enumerate(found.readings)),
    ]
    for place, row in rows:
        rotation = known.get(row.aircraft)
        if rotation is None:
            yield Problem(
                f"{place}.aircraft", tr("aircraft {aircraft} is not in the day").format(aircraft=quoted(row.aircraft))
            )
        elif row.turn >= len(rotation.legs):
            yield Problem(
                f"{place}.turn",
                tr("{aircraft} has no leg after turn {turn}").format(aircraft=quoted(row.aircraft), turn=row.turn),
            )
        if row.at is not None and not start.begin <= row.at <= start.end:
            yield Problem(f"{place}.at", tr("lies outside the round"))


def calls_document(group: str, log: Iterable[Call]) -> CallsFile:
    """A log of calls as a file holds it."""
    rows = list(log)
    services = (row for row in rows if isinstance(row, ServiceCall))
    readings = (row for row in rows if isinstance(row, ReadingCall))
    return CallsFile(
        format=FORMAT,
        version=1,
        group=group,
        services=tuple(
            ServiceRow(
                aircraft=row.aircraft,
                turn=row.turn,
                tank=row.tank,
                serve=row.serve,
                target_percent=row.target_percent,
                at=row.at,
            )
            for row in services
        ),
        readings=tuple(ReadingRow(aircraft=row.aircraft, turn=row.turn, at=row.at) for row in readings),
    )
