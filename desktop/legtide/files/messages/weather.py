"""Weather reports and forecasts of airports: of METAR, SPECI and TAF only the station and the temperature are read.

The groups are those of the WMO's Manual on Codes (WMO-No. 306, FM 15 METAR, FM 16 SPECI, FM 51 TAF): temperature and
dew point `T'T'/T'dT'd` in whole degrees Celsius, M for minus; in a forecast `TX`/`TN` for the highest and the lowest
temperature with their time.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, Literal

from legtide.files.messages.lines import Line
from legtide.files.messages.records import NotUnderstood, Report
from legtide.language import tr

HEAD: Final = re.compile(
    r"(?:(?:(METAR|SPECI) (?:COR )?|(TAF) (?:TAF )?(?:AMD |COR )?)(?=[A-Z])|(?=[A-Z0-9]{4} ))"
    r"([A-Z][A-Z0-9]{2,3}) ([0-9]{6}Z)(?: .*|=)?"
)
"""A report that names its kind may be of a station with three letters, as days call them; else it takes four."""
_CONTINUES: Final = re.compile(
    r"(?:BECMG|TEMPO|NOSIG|RMK|FM[0-9]{6}|PROB[0-9]{2}|T[XN]M?[0-9]{2}/[0-9]{4}Z)(?: .*|=)?"
)
_AIR: Final = re.compile(r"(M?[0-9]{2})/(?:M?[0-9]{2}|//|XX)?")
_LOWEST: Final = re.compile(r"TN(M?[0-9]{2})/[0-9]{2,4}Z")
_PERIOD: Final = re.compile(r"[0-9]{4}/[0-9]{4}")


def continues(line: Line) -> bool:
    """Whether a line goes on with the report above it."""
    return line.indented or _CONTINUES.fullmatch(line.text) is not None


def read_report(lines: Sequence[Line]) -> tuple[Report | None, list[NotUnderstood]]:
    """Reads one report with the lines that continue it."""
    first = lines[0]
    found = HEAD.fullmatch(first.text)
    if found is None:
        return None, [first.refused(tr("is not a weather report"))]
    words = " ".join(line.text for line in lines).rstrip("=").split()
    kind = _kind(found[1], found[2], words)
    air = _lowest(words) if kind == "TAF" else _observed(words)
    if air is None:
        missing = tr("no lowest temperature (TN...)") if kind == "TAF" else tr("no temperature (like 04/M01)")
        return None, [
            first.refused(
                tr("this {kind} of {station} gives {missing}: nothing of it is used").format(
                    kind=kind, station=found[3], missing=missing
                )
            )
        ]
    return Report(first.number, first.text, kind, found[3], air), []


def _kind(observed: str | None, forecast: str | None, words: Sequence[str]) -> Literal["METAR", "SPECI", "TAF"]:
    """What the report calls itself, else what the group after the time of issue shows it to be."""
    if forecast is not None or (observed is None and len(words) > 2 and _PERIOD.fullmatch(words[2])):
        return "TAF"
    return "SPECI" if observed == "SPECI" else "METAR"


def _observed(words: Sequence[str]) -> float | None:
    """The one temperature group before remarks and trends."""
    for word in words:
        if word in ("RMK", "BECMG", "TEMPO"):
            return None
        if found := _AIR.fullmatch(word):
            return _celsius(found[1])
    return None


def _lowest(words: Sequence[str]) -> float | None:
    return min((_celsius(found[1]) for word in words if (found := _LOWEST.fullmatch(word))), default=None)


def _celsius(text: str) -> float:
    # M00 is a little below zero; a float would keep that sign for nothing.
    return (-float(text[1:]) or 0.0) if text.startswith("M") else float(text)
