"""A score as a JSON document (format `legtide-play`, version 1) and as a table; costs in the policy's price units."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from legtide.engine.types import utc_text
from legtide.files.tables import Cell, Table
from legtide.play.aftermath import Aftermath, aftermaths
from legtide.play.rounds import Event, Round
from legtide.play.scoring import Line, Score

PLAY_FORMAT: Final = "legtide-play"
PLAY_VERSION: Final = 1
COLUMNS: Final = (
    *("player", "kind", "services", "breaches", "dry_or_full", "cost_came_out", "risk_accepted", "cost_risked"),
    *("cost_average", "cost_average_error", "breaches_average", "over_best", "over_best_error", "luck"),
)


def play_document(end: Round, found: Score) -> dict[str, Any]:
    """A scored round as the JSON document that `legtide play --json` prints."""
    return {
        "format": PLAY_FORMAT,
        "version": PLAY_VERSION,
        "title": end.source.title,
        "seed": end.seed,
        "begin": utc_text(end.begin),
        "end": utc_text(end.end),
        "days": found.days,
        "brier": found.brier,
        "group": _line(found.group),
        "references": [_line(row) for row in found.references],
        "events": [_event(row) for row in end.events],
        "aftermath": [_aftermath(row) for row in aftermaths(end)],
    }


def score_table(scores: Iterable[Score]) -> Table:
    """All groups in one table, the cheapest on average first, then what the first of them is set against."""
    known = sorted(scores, key=lambda row: (row.group.average.mean, row.group.player))
    rows = [_cells(found.group, "group") for found in known]
    rows += [_cells(line, "reference") for found in known[:1] for line in found.references]
    return Table("score", COLUMNS, tuple(rows))


def _cells(row: Line, kind: str) -> tuple[Cell, ...]:
    return (
        *(row.player, kind, row.services, row.breaches, row.exhausted, _tenths(row.came_out)),
        *(None if row.risk is None else round(row.risk, 4), None if row.risked is None else _tenths(row.risked)),
        *(_tenths(row.average.mean), _tenths(row.average.error)),
        None if row.average_breaches is None else round(row.average_breaches, 4),
        *(_tenths(row.over_best.mean), _tenths(row.over_best.error), _tenths(row.luck)),
    )


def _tenths(value: float) -> float:
    return round(value, 1)


def _line(row: Line) -> dict[str, Any]:
    return {
        "player": row.player,
        "services": row.services,
        "breaches": row.breaches,
        "dry_or_full": row.exhausted,
        "cost_came_out": row.came_out,
        "risk_accepted": row.risk,
        "cost_risked": row.risked,
        "cost_average": row.average.mean,
        "cost_average_error": row.average.error,
        "breaches_average": row.average_breaches,
        "over_best": row.over_best.mean,
        "over_best_error": row.over_best.error,
        "luck": row.luck,
    }


def _event(row: Event) -> dict[str, Any]:
    return {
        "time": utc_text(row.time),
        "aircraft": row.aircraft,
        "turn": row.turn,
        "tank": row.tank,
        "kind": row.kind,
        "percent": row.percent,
    }


def _aftermath(row: Aftermath) -> dict[str, Any]:
    return {
        "aircraft": row.aircraft,
        "turn": row.turn,
        "station": row.station,
        "tank": row.tank,
        "blemish": row.blemish,
        "target_percent": row.target_percent,
        "late_min": row.late_min,
        "legs": [
            {
                "flight": leg.flight,
                "arrival_l": leg.as_it_was,
                "arrival_with_it_whole_l": leg.as_it_could,
                "breached": leg.breached,
                "breached_with_it_whole": leg.would_have,
            }
            for leg in row.legs
        ],
    }
