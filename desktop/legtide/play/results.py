"""A class's results in a small JSON file of their own (format `legtide-results`, version 1): groups, calls, scores.

The calls are kept, so that every group can be played and scored again; the figures are kept as they were told.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Annotated, Any, Final, Literal

from pydantic import Field, ValidationError

from legtide.day.checks import Problem
from legtide.day.document import Day, Frozen, Text, Utc
from legtide.files.day_content import content_checksum
from legtide.files.reasons import problems_of
from legtide.files.strict_json import BadJsonError, cut, read_object
from legtide.language import tr
from legtide.play.calls_file import CallsFile, calls_document
from legtide.play.rounds import Round
from legtide.play.scoring import Line, Measure, Score

MOST_GROUPS: Final = 200
_Count = Annotated[int, Field(ge=0)]


class LineRow(Frozen):
    """One player's figures, in price units (see `scoring.Line`)."""

    player: Text
    services: _Count | None
    breaches: _Count | None
    exhausted: _Count | None
    came_out: float
    risk: float | None
    risked: float | None
    average: float
    average_error: float
    average_breaches: float | None
    over_best: float
    over_best_error: float


class GroupRow(Frozen):
    """One group's calls and score."""

    calls: CallsFile
    seed: int
    begin: Utc
    days: _Count
    brier: float
    lines: Annotated[tuple[LineRow, ...], Field(min_length=1, max_length=20)]
    """The group first, then those that it is set against."""


class ResultsFile(Frozen):
    """A class's results on one day."""

    format: Literal["legtide-results"]
    version: Literal[1]
    title: Text = ""
    day_sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    """Of the day's content: whether the results belong to it."""
    groups: Annotated[tuple[GroupRow, ...], Field(max_length=MOST_GROUPS)] = ()


class ResultsError(ValueError):
    """A file that does not hold acceptable results; `problems` has every place and reason."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n  ".join([tr("the results are not acceptable:"), *map(str, problems)]))
        self.problems = problems


def group_row(end: Round, found: Score) -> GroupRow:
    """A scored group as a file holds it."""
    return GroupRow(
        calls=calls_document(found.group.player, end.log),
        seed=end.seed,
        begin=end.begin,
        days=found.days,
        brier=found.brier,
        lines=tuple(_row(line) for line in (found.group, *found.references)),
    )


def score_of(row: GroupRow) -> Score:
    """The score that a file holds of a group."""
    group, *references = (_line(line) for line in row.lines)
    return Score(group, tuple(references), row.brier, row.days)


def results_of(day: Day, groups: Iterable[GroupRow]) -> ResultsFile:
    """The results of a day's groups."""
    return ResultsFile(
        format="legtide-results",
        version=1,
        title=day.title,
        day_sha256=content_checksum(day),
        groups=tuple(groups),
    )


def results_bytes(found: ResultsFile) -> bytes:
    """The bytes of a results file."""
    return (json.dumps(found.model_dump(mode="json"), ensure_ascii=False, indent=1) + "\n").encode("utf-8")


def read_results(data: bytes) -> ResultsFile:
    """The results that the bytes of a file hold. Raises ResultsError with every problem and its place."""
    try:
        content: dict[str, Any] = read_object(data)
        return ResultsFile.model_validate_json(json.dumps(content))
    except BadJsonError as error:
        raise ResultsError(error.problems) from None
    except ValidationError as error:
        raise ResultsError(cut(problems_of(error))) from None


def _row(line: Line) -> LineRow:
    return LineRow(
        player=line.player,
        services=line.services,
        breaches=line.breaches,
        exhausted=line.exhausted,
        came_out=line.came_out,
        risk=line.risk,
        risked=line.risked,
        average=line.average.mean,
        average_error=line.average.error,
        average_breaches=line.average_breaches,
        over_best=line.over_best.mean,
        over_best_error=line.over_best.error,
    )


def _line(row: LineRow) -> Line:
    return Line(
        player=row.player,
        services=row.services,
        breaches=row.breaches,
        exhausted=row.exhausted,
        came_out=row.came_out,
        risk=row.risk,
        risked=row.risked,
        average=Measure(row.average, row.average_error),
        average_breaches=row.average_breaches,
        over_best=Measure(row.over_best, row.over_best_error),
    )
