"""Load messages, as AHM 583 of the trade's handling manual has them: who is aboard.

    LDM [COR]
    <airline><number>[suffix]/<day>.<registration>.<version>.<crew>
    -<airport>.<adults>/<children>/<infants>.T<load>...PAX/..        one line a destination
    SI <free text>

Four counts are males, females, children and infants (from memory). Infants have no seat and do not count in PAX/,
but they use water as others do: heads are adults, children and infants. Loads of holds are not read.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from legtide.files.messages.flights import FLIGHT, REGISTRATION, STATION, flight_key
from legtide.files.messages.lines import Line
from legtide.files.messages.records import FlightLine, Load, Note, NotUnderstood
from legtide.language import tr

HEAD: Final = re.compile(r"LDM( COR)?")
_FLIGHT: Final = re.compile(
    rf"{FLIGHT}\.{REGISTRATION}(?:\.[A-Z0-9/]{{0,30}})?(?:\.([0-9]{{1,2}}(?:/[0-9]{{1,2}}){{0,3}}))?"
)
_DESTINATION: Final = re.compile(
    rf"-({STATION})\.(?:(NIL)|([0-9]{{1,3}}(?:/[0-9]{{1,3}}){{2,3}}))(?:\.[A-Z0-9./ +-]{{0,150}})?"
)


def read_load(lines: Sequence[Line]) -> tuple[Load | None, list[NotUnderstood], list[Note]]:
    """Reads one message. The count is the sum over its destinations: one that cannot be read spoils the message."""
    head = HEAD.fullmatch(lines[0].text)
    found = _FLIGHT.fullmatch(lines[1].text) if len(lines) > 1 else None
    if head is None or found is None:
        reason = tr("the line after it is not <flight>/<day>.<registration>.<version>.<crew>: nothing of it is used")
        return (
            None,
            [lines[0].refused(reason), *(row.refused(tr("its message has no flight line")) for row in lines[1:])],
            [],
        )
    flight = FlightLine(lines[1].number, lines[1].text, flight_key(found[1]), int(found[2]), found[3])
    wrong: list[NotUnderstood] = []
    notes: list[Note] = []
    loads: list[tuple[str, int]] = []
    spoilt = False
    for line in lines[2:]:
        if line.text == "SI" or line.text.startswith("SI "):
            notes.append(Note(line.number, tr("free text: {text}").format(text=line.text[3:].strip() or tr("none"))))
        elif destination := _DESTINATION.fullmatch(line.text):
            counts = [] if destination[2] else list(map(int, destination[3].split("/")))
            loads.append((destination[1], sum(counts)))
        else:
            spoilt |= line.text.startswith("-")
            wrong.append(line.refused(tr("is not -<airport>.<adults>/<children>/<infants>, nor free text after SI")))
    if spoilt or not loads:
        wrong.insert(
            0, lines[1].refused(tr("its counts of passengers cannot all be read: nothing of this message is used"))
        )
        return None, wrong, notes
    crew = sum(map(int, found[4].split("/"))) if found[4] else None
    passengers = sum(count for _, count in loads)
    return Load(flight, head[1] is not None, loads[0][0], passengers, crew), wrong, notes
