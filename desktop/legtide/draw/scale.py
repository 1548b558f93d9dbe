"""Time and pixels: the scale of the board, its zoom, and where labels stand in UTC and local time.

Labels stand at whole steps of UTC; the local label of each is made by the zone's own rules, so that the two nights
on which clocks change are right.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final, overload
from zoneinfo import ZoneInfo

from legtide.draw.words import day_text
from legtide.engine.types import Floats, to_datetime

STEPS_MIN: Final = (5, 10, 15, 30, 60, 120, 180, 240, 360, 720, 1440)
"""Distances between labels, minutes; each divides a day."""
MINOR_MIN: Final = {5: 1, 10: 5, 15: 5, 30: 10, 60: 30, 120: 60, 180: 60, 240: 60, 360: 120, 720: 240, 1440: 360}
LABEL_ROOM_PX: Final = 56.0
LEAST_PX_PER_MIN: Final = 0.02
MOST_PX_PER_MIN: Final = 24.0


@dataclass(frozen=True, slots=True)
class TimeScale:
    """Pixels from a fixed origin: `x = (minutes - origin) * px_per_min`."""

    origin: float
    """Minutes since 1970-01-01 00:00 UTC at x = 0."""
    px_per_min: float

    @overload
    def x(self, minutes: float) -> float: ...
    @overload
    def x(self, minutes: Floats) -> Floats: ...
    def x(self, minutes: float | Floats) -> float | Floats:
        """Pixels of a time or of an array of times."""
        return (minutes - self.origin) * self.px_per_min

    def minutes(self, x: float) -> float:
        """Time of a pixel."""
        return self.origin + x / self.px_per_min

    def width(self, minutes: float) -> float:
        """Pixels of a duration."""
        return minutes * self.px_per_min

    def zoomed(self, factor: float) -> TimeScale:
        """The scale made finer (factor above 1) or coarser, within sensible bounds."""
        return TimeScale(self.origin, min(max(self.px_per_min * factor, LEAST_PX_PER_MIN), MOST_PX_PER_MIN))


def fitted(start: float, end: float, width: float) -> TimeScale:
    """The scale on which `start` to `end` (minutes) is `width` pixels wide."""
    wanted = width / max(end - start, 1.0)
    return TimeScale(start, min(max(wanted, LEAST_PX_PER_MIN), MOST_PX_PER_MIN))


@dataclass(frozen=True, slots=True)
class Tick:
    """One labelled place on the time axis."""

    x: float
    minutes: float
    utc: str
    local: str
    utc_midnight: bool
    local_midnight: bool


def label_step(px_per_min: float) -> int:
    """The smallest step, in minutes, whose labels have room."""
    return next((step for step in STEPS_MIN if step * px_per_min >= LABEL_ROOM_PX), STEPS_MIN[-1])


def _label(moment: datetime) -> tuple[str, bool]:
    midnight = moment.hour == moment.minute == 0
    return (day_text(moment) if midnight else moment.strftime("%H:%M")), midnight


def ticks(scale: TimeScale, left: float, right: float, zone: ZoneInfo | None) -> list[Tick]:
    """Labels from x `left` to `right`; midnight shows the date instead of the time. No zone: no local labels."""
    step = label_step(scale.px_per_min)
    out = []
    for number in range(math.ceil(scale.minutes(left) / step), math.floor(scale.minutes(right) / step) + 1):
        minutes = float(number * step)
        moment = to_datetime(minutes)
        utc, utc_midnight = _label(moment)
        local, local_midnight = ("", False) if zone is None else _label(moment.astimezone(zone))
        out.append(Tick(scale.x(minutes), minutes, utc, local, utc_midnight, local_midnight))
    return out


def grid_lines(scale: TimeScale, left: float, right: float) -> list[tuple[float, bool]]:
    """Pixels of the labelled times, each with whether it is a midnight in UTC."""
    step = label_step(scale.px_per_min)
    first, last = math.ceil(scale.minutes(left) / step), math.floor(scale.minutes(right) / step)
    times = [number * step for number in range(first, last + 1)]
    return [(scale.x(float(minutes)), minutes % STEPS_MIN[-1] == 0) for minutes in times]


def minor_ticks(scale: TimeScale, left: float, right: float) -> list[float]:
    """Pixels of the small ticks between the labels."""
    step = MINOR_MIN[label_step(scale.px_per_min)]
    first, last = math.ceil(scale.minutes(left) / step), math.floor(scale.minutes(right) / step)
    return [scale.x(float(number * step)) for number in range(first, last + 1)]


def _offset(zone: ZoneInfo, moment: datetime) -> str:
    delta = moment.astimezone(zone).utcoffset() or timedelta()
    total = round(delta.total_seconds() / 60.0)
    hours, minutes = divmod(abs(total), 60)
    sign = "-" if total < 0 else "+"
    return f"{sign}{hours}" + (f":{minutes:02d}" if minutes else "")


def offset_text(zone: ZoneInfo, start: float, end: float) -> str:
    """The zone's distance from UTC between two times: "UTC+2", or "UTC+1, +2" when it changes between them."""
    hours = max(math.ceil((end - start) / 60.0), 1)
    first = datetime.fromtimestamp(start * 60.0, UTC)
    # A change of clocks lies on a minute, and one look an hour finds it.
    seen = dict.fromkeys(_offset(zone, first + timedelta(hours=number)) for number in range(hours + 1))
    return "UTC" + ", ".join(seen)
