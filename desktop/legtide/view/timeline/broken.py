"""Services that cannot be worked as the day has them, each with the reason, kept while nothing in it changes."""

from __future__ import annotations

from collections.abc import Mapping

from legtide.day.document import Day
from legtide.draw.content import BoardContent, RowContent
from legtide.engine.types import Projection


def outside_turn(row: RowContent) -> dict[str, str]:
    """Id of each service of a row that the projection finds outside its turn -> the warning's sentence."""
    found: dict[str, str] = {}
    for caution in row.cautions:
        if caution.code != "service-outside-turn":
            continue
        for result in row.projection.services:
            service = result.service
            if (service.turn, service.tank, service.state) == (caution.turn, caution.tank, "planned") and (
                result.start == caution.act_by
            ):
                found[service.id] = caution.message
    return found


class Broken:
    """The broken services of a board: those outside their turn, and those that their truck cannot work."""

    def __init__(self) -> None:
        self._rows: dict[str, tuple[RowContent, dict[str, str]]] = {}
        self._stations: dict[str, tuple[tuple[object, ...], dict[str, str]]] = {}

    def found(self, day: Day, projection: Projection, content: BoardContent) -> Mapping[str, str]:
        """Id of each broken service -> why, in a sentence."""
        out: dict[str, str] = {}
        for code, station in content.stations.items():
            if station.trucks:
                out |= self._at(day, projection, content, code)
        for row in content.rows:
            out |= self._in_row(row)
        return out

    def _in_row(self, row: RowContent) -> dict[str, str]:
        kept = self._rows.get(row.registration)
        if kept is None or kept[0] is not row:
            kept = self._rows[row.registration] = (row, outside_turn(row))
        return kept[1]

    def _at(self, day: Day, projection: Projection, content: BoardContent, code: str) -> dict[str, str]:
        """Conflicts of one station's trucks; found anew when a row that they serve, or the station, is another."""
        rows = tuple(row for row in content.rows if _served(row, code))
        if not rows:
            return {}
        parts = (content.stations[code], day.policy, *rows)
        kept = self._stations.get(code)
        if kept is None or len(kept[0]) != len(parts) or any(a is not b for a, b in zip(kept[0], parts, strict=True)):
            # It brings the solver's tables with it: loaded when the first service has a truck.
            from legtide.plan.station.conflicts import station_conflicts

            found = station_conflicts(day, projection, code)
            kept = self._stations[code] = (parts, {row.service_id: row.text for row in found})
        return kept[1]


def _served(row: RowContent, code: str) -> bool:
    turns = row.rotation.turns
    return any(
        marker.service.truck is not None
        and marker.service.turn < len(turns)
        and turns[marker.service.turn].station == code
        for marker in row.markers
    )
