"""Pasted text becomes messages, each found by its first line; every other line is kept with a reason."""

from __future__ import annotations

import re
from typing import Final, Literal

from legtide.files.messages import gauges, load, movement, weather
from legtide.files.messages.lines import Line, split_lines
from legtide.files.messages.records import Message, Messages, Note, NotUnderstood
from legtide.language import tr

Kind = Literal["movement", "load", "weather", "gauges", "other"]

_ADDRESS: Final = re.compile(
    r"Q[A-Z](?: [A-Z0-9]{7,8}){1,20}|\.[A-Z0-9]{7,8}(?: [A-Z0-9/]{1,20}){0,4}|ZCZC.{0,60}|NNNN"
)
"""Lines of addresses and of the end of a transmission: not about a flight."""
_OTHER: Final = re.compile(r"(?:DIV|PTM|PSM|CPM|UCM|ASM|SSM|SLS|PAL|CAL|TPM|PNL|ADL)(?: [A-Z]{3})?")
"""Names of messages of the trade that are not read here."""


def read_messages(text: str) -> Messages:
    """Reads movement and load messages, weather, gauge readings. Never fails: what it cannot read is listed."""
    lines, refused = split_lines(text)
    found: list[Message] = []
    notes: list[Note] = []
    for block in _blocks(lines):
        message, wrong, more = _read(block)
        refused += wrong
        notes += more
        if message is not None:
            found.append(message)
    refused.sort(key=lambda row: row.line)
    return Messages(tuple(found), tuple(refused), tuple(notes))


def _kind(line: Line) -> Kind | None:
    """Which message a line begins."""
    if movement.HEAD.fullmatch(line.text):
        return "movement"
    if load.HEAD.fullmatch(line.text):
        return "load"
    if _OTHER.fullmatch(line.text):
        return "other"
    if gauges.HEAD.fullmatch(line.text):
        return "gauges"
    return "weather" if weather.HEAD.fullmatch(line.text) else None


def _blocks(lines: list[Line]) -> list[list[Line]]:
    """Runs of lines that belong together: a message and its lines, or one line that begins none."""
    blocks: list[list[Line]] = []
    kind: Kind | None = None
    for line in lines:
        if not line.text:
            kind = None
            continue
        begins = _kind(line)
        joins = kind not in (None, "gauges") and begins is None and not _ADDRESS.fullmatch(line.text)
        if joins and kind == "weather":
            joins = weather.continues(line) and not blocks[-1][-1].text.endswith("=")
        if joins:
            blocks[-1].append(line)
        else:
            blocks.append([line])
            kind = begins
    return blocks


def _read(block: list[Line]) -> tuple[Message | None, list[NotUnderstood], list[Note]]:
    kind = _kind(block[0])
    if kind == "movement":
        return movement.read_movement(block)
    if kind == "load":
        return load.read_load(block)
    if kind == "weather":
        report, wrong = weather.read_report(block)
        return report, wrong, []
    if kind == "gauges":
        reading, wrong = gauges.read_gauges(block[0])
        return reading, wrong, []
    line = block[0]
    if _ADDRESS.fullmatch(line.text):
        return None, [], [Note(line.number, tr("address line: not used"))]
    if kind == "other":
        reason = tr("{kind} messages are not read: lines {first} to {last} are not used").format(
            kind=line.text[:3], first=line.number, last=block[-1].number
        )
        return None, [line.refused(reason)], []
    return None, [line.refused(tr("begins no message: MVT, MVA, LDM, METAR, SPECI, TAF or READING"))], []
