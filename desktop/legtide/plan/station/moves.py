"""What the trucks could not serve as it would have been cheapest, and what is planned in its place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from legtide.day.document import Tank
from legtide.language import tr
from legtide.plan.rotation.choices import Pick, Spot
from legtide.plan.rotation.records import PlannedService


@dataclass(frozen=True, slots=True)
class Move:
    """A service that would have been best at one turn, and what the aircraft has instead."""

    wanted: PlannedService
    instead: tuple[PlannedService, ...]
    """Its other services of the tank that would not have been needed; none where nothing makes up for it."""
    reason: str
    """Why the trucks cannot serve it, and what would make it possible."""

    @property
    def registration(self) -> str:
        """Its aircraft."""
        return self.wanted.registration

    @property
    def tank(self) -> Tank:
        """Its tank."""
        return self.wanted.tank

    def __str__(self) -> str:
        return "; ".join([self.reason, *map(in_words, self.instead)])


def in_words(row: PlannedService) -> str:
    """Such as "served at OZM, turn 3, instead"."""
    where = {"station": row.station, "turn": row.turn}
    if row.tank == "fresh" and row.target_percent < 100.0:
        return tr("served to {level} % at {station}, turn {turn}, instead").format(
            level=f"{row.target_percent:g}", **where
        )
    return tr("served at {station}, turn {turn}, instead").format(**where)


def differing(wanted: Iterable[PlannedService], chosen: Sequence[PlannedService]) -> Mapping[Spot, PlannedService]:
    """Services of the wanted ones that are not among the chosen at the same turn, tank and target."""
    there = {(row.turn, row.tank, row.target_percent) for row in chosen}
    return {(row.turn, row.tank): row for row in wanted if (row.turn, row.tank, row.target_percent) not in there}


def missing(best: Pick, pick: Pick) -> list[tuple[PlannedService, tuple[PlannedService, ...]]]:
    """What a choice lacks of the best one, each with what it has of that tank that the best one has not."""
    wanted, chosen = list(best.chosen.values()), list(pick.chosen.values())
    new = differing(chosen, wanted)
    return [
        (row, tuple(other for other in new.values() if other.tank == row.tank))
        for row in differing(wanted, chosen).values()
    ]
