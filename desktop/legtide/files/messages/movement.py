"""Movement messages, as AHM 780 of the trade's handling manual has them.

    MVT [COR]
    <airline><number>[suffix]/<day>.<registration>.<airport of movement>
    AD<off blocks>/<airborne> EA<time> <airport>
    AA<touchdown>/<on blocks>    ED<time>  EO<time>  NI<time>  EB<time>  RR<time>  FR<touchdown>/<on blocks>
    DL<codes>/<durations>  EDL...  DLA...    PX<n>[/<n>[/<n>]][+<infants>]    SI <free text>

All times are UTC, HHMM or DDHHMM. The order of elements and RR, FR, EDL are partly from memory. Every pattern is
matched against one whole word, without nested repeats.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

from legtide.files.messages.flights import FLIGHT, REGISTRATION, STATION, flight_key
from legtide.files.messages.lines import Line
from legtide.files.messages.records import Delay, FlightLine, Movement, Note, NotUnderstood
from legtide.files.messages.times import TIME, TimeError, read_time
from legtide.language import tr

HEAD: Final = re.compile(r"(?:MVT|MVA)( COR| REV)?")
_FLIGHT: Final = re.compile(rf"{FLIGHT}\.{REGISTRATION}\.({STATION})")
_PAIR: Final = re.compile(rf"(AD|AA|FR)({TIME})(?:/({TIME}))?")
_SINGLE: Final = re.compile(rf"(EA|EB|ED|EO|NI|RR)({TIME})")
_SINGLES: Final = {
    "EA": "estimated_touchdown",
    "EB": "estimated_on_blocks",
    "ED": "estimated_off_blocks",
    "EO": "estimated_airborne",
    "NI": "next_information",
    "RR": "returned",
}
_PAIRS: Final = {"AD": ("off_blocks", "airborne"), "AA": ("touchdown", "on_blocks")}
_MAY_REPEAT: Final = {"delays", "returned_from_air"}
"""Fields that several elements fill, or that come with another field."""
_STATION: Final = re.compile(STATION)
_DELAY: Final = re.compile(r"(EDL|DLA|DL)([0-9A-Z/]{2,40})")
_CODE: Final = re.compile(r"[0-9A-Z]{2}[A-Z]?")
_DURATION: Final = re.compile(r"[0-9]{4}")
_PASSENGERS: Final = re.compile(r"PX([0-9]{1,3}(?:/[0-9]{1,3}){0,3})(?:\+([0-9]{1,3}))?")


class ElementError(ValueError):
    """A word of a message that cannot be read; the text says why."""


def read_movement(lines: Sequence[Line]) -> tuple[Movement | None, list[NotUnderstood], list[Note]]:
    """Reads one message: its head, its flight line, and its elements.

    A line is taken whole or not at all; the other lines of its message still count.
    """
    head = HEAD.fullmatch(lines[0].text)
    found = _FLIGHT.fullmatch(lines[1].text) if len(lines) > 1 else None
    if head is None or found is None:
        reason = tr(
            "the line after it is not <flight>/<day>.<registration>.<airport>: nothing of this message is used"
        )
        return (
            None,
            [lines[0].refused(reason), *(row.refused(tr("its message has no flight line")) for row in lines[1:])],
            [],
        )
    flight = FlightLine(lines[1].number, lines[1].text, flight_key(found[1]), int(found[2]), found[3])
    movement = Movement(flight, found[4], correction=head[1] is not None)
    wrong: list[NotUnderstood] = []
    notes: list[Note] = []
    for line in lines[2:]:
        if line.text == "SI" or line.text.startswith("SI "):
            notes.append(Note(line.number, tr("free text: {text}").format(text=line.text[3:].strip() or tr("none"))))
            continue
        try:
            movement = _with_line(movement, line.text)
        except (ElementError, TimeError) as error:
            wrong.append(line.refused(str(error)))
    return movement, wrong, notes


def _with_line(movement: Movement, text: str) -> Movement:
    """The message with one more line of elements. Raises ElementError or TimeError."""
    changes: dict[str, Any] = {}
    estimate = False
    for word in text.split():
        if estimate and _STATION.fullmatch(word):
            changes["estimated_at"], estimate = word, False
            continue
        more = _element(word)
        if more is None:
            raise ElementError(tr("{word} is not an element that is used here").format(word=word))
        if any(name in changes or getattr(movement, name) is not None for name in more.keys() - _MAY_REPEAT):
            raise ElementError(tr("{element} stands twice in this message").format(element=word[:2]))
        if "delays" in more:
            more = {"delays": (*changes.get("delays", movement.delays), *more["delays"])}
        changes |= more
        estimate = word.startswith("EA")
    return replace(movement, **changes)


def _element(word: str) -> dict[str, Any] | None:
    """The fields that one word gives; none for a word of another kind."""
    if found := _PAIR.fullmatch(word):
        return _pair(found[1], found[2], found[3])
    if found := _SINGLE.fullmatch(word):
        return {_SINGLES[found[1]]: read_time(found[2])}
    if found := _PASSENGERS.fullmatch(word):
        return {"passengers": sum(map(int, found[1].split("/"))) + int(found[2] or 0)}
    if found := _DELAY.fullmatch(word):
        return {"delays": (_delay(found[2], word),)}
    return None


def _pair(kind: str, first: str, second: str | None) -> dict[str, Any]:
    if kind == "FR":
        # Where only one time is given, it is the touchdown: it dates the return, and no time of the day hangs on it.
        return {"returned": read_time(second or first), "returned_from_air": True}
    fields = {_PAIRS[kind][0]: read_time(first)}
    if second is not None:
        fields[_PAIRS[kind][1]] = read_time(second)
    return fields


def _delay(body: str, word: str) -> Delay:
    """Codes first, then as many durations HHMM as the sender gives; empty places are left out."""
    parts = [part for part in body.split("/") if part]
    codes = [part for part in parts if _CODE.fullmatch(part)]
    durations = [part for part in parts if _DURATION.fullmatch(part)]
    if parts != codes + durations or not codes or len(durations) > len(codes):
        raise ElementError(tr("{word} is not <codes>/<durations HHMM>").format(word=word))
    minutes = tuple(int(part[:2]) * 60 + int(part[2:]) for part in durations)
    if any(int(part[2:]) > 59 for part in durations):
        raise ElementError(tr("{word} has a duration that is not HHMM").format(word=word))
    return Delay(tuple(codes), minutes)
