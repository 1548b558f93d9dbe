"""What an explanation is: a number with the inputs, the formula and the sources behind it."""

from __future__ import annotations

from dataclasses import dataclass

from legtide.day.assumptions import Status

FORMS: tuple[str, ...] = (
    "risk:REG:LEG:TANK",
    "level:REG:LEG:TANK",
    "mass:REG:LEG",
    "uplift:SERVICE",
    "service:SERVICE",
    "plan:REG",
    "trigger:REG:TURN:TANK",
    "warning:NUMBER",
    "figure:GROUP.FIELD",
    "figure:FIT.FIELD",
)
"""What can be asked for. LEG is a leg's id or flight, TANK fresh or waste, SERVICE a service's id, TURN the legs
already flown, NUMBER counts the warnings as `legtide check` and the window list them, from 1."""


class ExplainError(ValueError):
    """Something that cannot be explained; the message says what can."""


@dataclass(frozen=True, slots=True)
class Input:
    """One input of an explanation: a figure with its source, or something that the day says."""

    label: str
    value: float | str
    unit: str = ""
    source: str = ""
    status: Status | None = None
    """None where the day itself says it (a schedule, a reading, a service)."""


@dataclass(frozen=True, slots=True)
class Part:
    """One number on the way from the inputs to the answer."""

    label: str
    symbol: str
    value: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Explanation:
    """The answer to "why?"."""

    what: str
    """What was asked, in the form in which it can be asked again."""
    title: str
    """The number in a sentence."""
    value: float | str | None
    unit: str
    words: str
    """How the number comes about, in words."""
    formula: str
    """The same in symbols."""
    parts: tuple[Part, ...] = ()
    inputs: tuple[Input, ...] = ()
    notes: tuple[str, ...] = ()
