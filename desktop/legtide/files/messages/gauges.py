"""Gauge readings as one line each: `READING QX-ABC 0932 FRESH 56 WASTE 70`.

The trade has no message for them; the line is Legtide's own. A level is a percentage, or eighths as `5/8`, or litres
as `110 L`. The time is HHMM or DDHHMM in UTC; it says at which turn the gauge was read.
"""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Final

from legtide.day.document import TANKS, Reading, Tank
from legtide.day.rotations import Rotation, Turn, off_blocks, on_blocks
from legtide.files.messages.lines import Line
from legtide.files.messages.matching import MatchError
from legtide.files.messages.records import GaugeLine, NotUnderstood, WrittenLevel
from legtide.files.messages.times import TimeError, dates_of, read_time, written
from legtide.language import tr

HEAD: Final = re.compile(r"READING(?:[ \t].*)?", re.IGNORECASE)
_LINE: Final = re.compile(r"READING[ \t]+([A-Z0-9-]{2,12})[ \t]+([0-9:]{1,7})((?:[ \t]+[^ \t]+){1,8})", re.IGNORECASE)
_LEVEL: Final = re.compile(
    r"[ \t]+(FRESH|WASTE)[ \t]+(?:([0-8])/8|([0-9]{1,4}(?:[.,][0-9]{1,2})?)[ \t]?(%|L)?)(?![^ \t])", re.IGNORECASE
)
_EXAMPLE: Final = "READING QX-ABC 0932 FRESH 56 WASTE 70"
_AROUND: Final = timedelta(hours=3)
"""How long before the first and after the last leg a reading may lie. On a day of 18 h each clock time then comes
once; on longer ones a time that comes twice is asked for with its day."""


def read_gauges(line: Line) -> tuple[GaugeLine | None, list[NotUnderstood]]:
    """Reads one line; where any of it is not understood nothing of it is used."""
    found = _LINE.fullmatch(line.text)
    if found is None:
        return None, [line.refused(tr("a reading is written {example}").format(example=_EXAMPLE))]
    levels: dict[Tank, WrittenLevel] = {}
    rest, place = found[3], 0
    while place < len(rest):
        level = _LEVEL.match(rest, place)
        if level is None:
            return None, [
                line.refused(
                    tr("{text} is not a level: a reading is written {example}").format(
                        text=rest[place:].strip(), example=_EXAMPLE
                    )
                )
            ]
        tank: Tank = "fresh" if level[1].upper() == "FRESH" else "waste"
        if tank in levels:
            return None, [line.refused(tr("names {tank} twice").format(tank=level[1].upper()))]
        levels[tank] = _level(level)
        place = level.end()
    try:
        time = read_time(found[2].replace(":", ""))
    except TimeError as error:
        return None, [line.refused(str(error))]
    return GaugeLine(line.number, line.text, found[1].upper(), time, levels), []


def _level(found: re.Match[str]) -> WrittenLevel:
    if found[2] is not None:
        return WrittenLevel(int(found[2]) * 12.5, "percent")
    return WrittenLevel(float(found[3].replace(",", ".")), "litres" if found[4] in ("L", "l") else "percent")


def readings_of(line: GaugeLine, rotation: Rotation) -> list[Reading]:
    """The readings of a line at the turn of a rotation that holds their time. Raises MatchError, TimeError."""
    moment, turn = _moment_and_turn(line, rotation)
    readings = []
    for tank in TANKS:
        if tank not in line.levels:
            continue
        level, capacity = line.levels[tank], rotation.fit.capacity_l(tank)
        percent = level.value if level.unit == "percent" else level.value / capacity * 100.0
        if percent > 100.0:
            shown = f"{level.value:g} %" if level.unit == "percent" else f"{level.value:g} L of {capacity:g} L"
            raise MatchError(tr("{tank} {level} is more than the tank holds").format(tank=tr(tank), level=shown))
        readings.append(
            Reading(aircraft=rotation.registration, turn=turn.number, tank=tank, percent=percent, time=moment)
        )
    return readings


def _moment_and_turn(line: GaugeLine, rotation: Rotation) -> tuple[datetime, Turn]:
    if not rotation.legs:
        raise MatchError(tr("{aircraft} has no legs in the day").format(aircraft=rotation.registration))
    first, last = off_blocks(rotation.legs[0]) - _AROUND, on_blocks(rotation.legs[-1]) + _AROUND
    moments = [moment for moment in dates_of(line.time, first, last) if first <= moment <= last]
    if not moments:
        raise TimeError(
            tr("{time} lies outside the legs of {aircraft}").format(
                time=written(line.time), aircraft=rotation.registration
            )
        )
    held = [(moment, turn) for moment in moments for turn in rotation.turns if turn.holds(moment)]
    if not held:
        flown = [leg for leg in rotation.legs for moment in moments if off_blocks(leg) < moment < on_blocks(leg)]
        if flown:
            words = tr("{time} is during {flight}, not at a turn: give the time on the ground")
            raise MatchError(words.format(time=written(line.time), flight=flown[0].flight))
        raise MatchError(tr("{time} is at no turn: give the time on the ground").format(time=written(line.time)))
    if len({moment for moment, _ in held}) > 1:
        one, other = (f"{moment:%d}{written(line.time)}" for moment, _ in (held[0], held[-1]))
        words = tr("{time} could be {one} or {other}: write it with its day")
        raise TimeError(words.format(time=written(line.time), one=one, other=other))
    return held[0]
