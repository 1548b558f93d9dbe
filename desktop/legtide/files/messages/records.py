"""What pasted messages say, before anybody asks whether the day knows the flight, the aircraft or the station."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from legtide.day.document import Tank


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """One line, or one message, that was not taken."""

    line: int
    """Line of the pasted text, counted from 1."""
    text: str
    """The line as it was pasted, cut to length."""
    reason: str


@dataclass(frozen=True, slots=True)
class Note:
    """Something that a message says and that changes nothing in the day by itself."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class WrittenTime:
    """A time as messages write it, in UTC: a day of the month (or none) and minutes after midnight."""

    day: int | None
    minutes: int


@dataclass(frozen=True, slots=True)
class FlightLine:
    """Which flight a message is about."""

    line: int
    text: str
    flight: str
    """Designator and number in their shortest form, such as `X0201`."""
    day: int
    """Day of the month on which the flight is scheduled to depart, in UTC."""
    registration: str
    """As written, without a hyphen."""


@dataclass(frozen=True, slots=True)
class Delay:
    """Delay codes in their order, with as many minutes as the message gives."""

    codes: tuple[str, ...]
    minutes: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Movement:
    """A movement message (AHM 780). What it does not give is none."""

    head: FlightLine
    station: str
    """Airport of movement: where the aircraft departs, or where it arrives for an arrival or its estimate."""
    correction: bool = False
    off_blocks: WrittenTime | None = None
    airborne: WrittenTime | None = None
    touchdown: WrittenTime | None = None
    on_blocks: WrittenTime | None = None
    estimated_off_blocks: WrittenTime | None = None
    estimated_airborne: WrittenTime | None = None
    estimated_touchdown: WrittenTime | None = None
    estimated_on_blocks: WrittenTime | None = None
    estimated_at: str | None = None
    """Airport to which the estimated touchdown belongs."""
    next_information: WrittenTime | None = None
    returned: WrittenTime | None = None
    """On blocks again after a return to the ramp, or after a return from the air."""
    returned_from_air: bool = False
    passengers: int | None = None
    """Heads, infants among them."""
    delays: tuple[Delay, ...] = ()

    @property
    def kind(self) -> Literal["departure", "arrival"]:
        """Whether the airport of movement is where the leg begins or where it ends."""
        departure = (self.off_blocks, self.estimated_off_blocks, self.estimated_airborne, self.returned)
        if any(time is not None for time in departure):
            return "departure"
        arrival = (self.touchdown, self.estimated_touchdown, self.estimated_on_blocks)
        return "arrival" if any(time is not None for time in arrival) else "departure"


@dataclass(frozen=True, slots=True)
class Load:
    """A load message (AHM 583): who is aboard."""

    head: FlightLine
    correction: bool
    destination: str
    """The first airport that it lists: where the leg ends."""
    passengers: int
    """Heads to all destinations together: adults, children and infants."""
    crew: int | None


@dataclass(frozen=True, slots=True)
class Report:
    """A weather report (METAR, SPECI) or forecast (TAF) of an airport."""

    line: int
    text: str
    kind: Literal["METAR", "SPECI", "TAF"]
    station: str
    """Four-letter location indicator, or the code that the day itself has."""
    air_c: float
    """Temperature observed, or the lowest that is forecast."""


@dataclass(frozen=True, slots=True)
class WrittenLevel:
    """A level as it was written."""

    value: float
    unit: Literal["percent", "litres"]


@dataclass(frozen=True, slots=True)
class GaugeLine:
    """What an aircraft's gauges showed."""

    line: int
    text: str
    registration: str
    """As written."""
    time: WrittenTime
    levels: Mapping[Tank, WrittenLevel]
    """Of one tank or of both."""


Message: TypeAlias = Movement | Load | Report | GaugeLine


@dataclass(frozen=True, slots=True)
class Messages:
    """Everything that a pasted text says, in its order."""

    messages: tuple[Message, ...]
    not_understood: tuple[NotUnderstood, ...]
    notes: tuple[Note, ...] = ()
