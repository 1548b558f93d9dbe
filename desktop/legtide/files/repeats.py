"""Local times that clocks show twice, in the night when they are put back: which of the two is meant.

A choice has to leave the leg ending after it starts, and not running into the legs around it. Where that leaves one,
it is taken; where it leaves both, the first is. Either way a note says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from itertools import product

from legtide.day.quoting import quoted
from legtide.files.schedule_rows import Draft
from legtide.language import tr

_EARLIEST = datetime.min.replace(tzinfo=UTC)
_LATEST = datetime.max.replace(tzinfo=UTC)
_PLAN_OF = {"etd": "std", "atd": "std", "eta": "sta", "ata": "sta"}
_ORDINAL = ("first", "second")


def settle_repeats(drafts: Sequence[Draft]) -> list[str]:
    """Leaves one moment to each time of the drafts; returns a note for each time that had two, in file order."""
    by_aircraft: dict[str, list[Draft]] = {}
    for row in drafts:
        by_aircraft.setdefault(row.registration, []).append(row)
    notes: list[tuple[int, str]] = []
    for group in by_aircraft.values():
        if all(len(found) == 1 for row in group for found in row.times.values()):
            continue
        rows = sorted(group, key=lambda row: (row.times["std"][0], row.times["sta"][0], row.line))
        for before, row, after in zip([None, *rows], rows, [*rows[1:], None], strict=False):
            notes += [(row.line, note) for note in _settle(row, before, after)]
    return [note for _, note in sorted(notes)]


def _settle(row: Draft, before: Draft | None, after: Draft | None) -> Iterator[str]:
    """Settles one row; the row before it is settled already."""
    earliest = before.at("sta") if before is not None else _EARLIEST
    latest = after.times["std"][-1] if after is not None else _LATEST
    forward = [pair for pair in product(row.times["std"], row.times["sta"]) if pair[0] < pair[1]]
    fitting = [pair for pair in forward if earliest <= pair[0] and pair[1] <= latest]
    # Where nothing fits the row will be refused as overlapping; where nothing goes forward as ending too early.
    choices = fitting or forward or [(row.times["std"][0], row.times["sta"][0])]
    for place, column in enumerate(("std", "sta")):
        sure = len({pair[place] for pair in choices}) == 1
        yield from _take(
            row, column, choices[0][place], tr("the other does not fit the legs around it") if sure else ""
        )
    for column, plan in _PLAN_OF.items():
        if column in row.times:
            near = min(row.times[column], key=lambda moment: abs(moment - row.at(plan)))
            yield from _take(row, column, near, tr("it is nearer to {plan}").format(plan=plan))


def _take(row: Draft, column: str, moment: datetime, why: str) -> Iterator[str]:
    both = row.times[column]
    row.times[column] = (moment,)
    if len(both) > 1:
        which = tr(_ORDINAL[both.index(moment)])
        reason = why or tr("nothing tells them apart")
        yield tr(
            "{place}: {value} comes twice there as the clocks are put back; "
            "the {which} is taken ({time:%H:%M}Z): {reason}"
        ).format(place=row.place(column), value=quoted(row.cells[column]), which=which, time=moment, reason=reason)
