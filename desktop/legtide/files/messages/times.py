"""Times of messages: read as they are written, and given their date by what they must be near to."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Final

from legtide.files.messages.records import WrittenTime
from legtide.language import tr

TIME: Final = "(?:[0-9]{2})?[0-9]{4}"
"""Pattern of HHMM or DDHHMM."""
_FARTHEST: Final = timedelta(hours=36)
"""Messages move a flight by hours: what lies farther from its schedule is a slip of the day."""


class TimeError(ValueError):
    """A time that cannot be; the message says why."""


def read_time(text: str) -> WrittenTime:
    """Reads HHMM or DDHHMM. Raises TimeError."""
    if not re.fullmatch(TIME, text):
        raise TimeError(tr("{text} is not a time HHMM or DDHHMM").format(text=text))
    day = int(text[:2]) if len(text) == 6 else None
    hour, minute = int(text[-4:-2]), int(text[-2:])
    if hour > 23 or minute > 59 or (day is not None and not 1 <= day <= 31):
        raise TimeError(tr("{text} is not a time HHMM or DDHHMM").format(text=text))
    return WrittenTime(day, hour * 60 + minute)


def nearest(time: WrittenTime, reference: datetime) -> datetime:
    """The moment nearest to a reference that a written time can mean.

    The date of the reference decides only which of the candidates is meant: a time without a day lies within half a
    day of it, one with a day on that day of the month, across the ends of months.

    Raises:
        TimeError: no candidate lies within a day and a half of the reference.
    """
    midnight = reference.replace(hour=0, minute=0, second=0, microsecond=0)
    candidates = [
        midnight + timedelta(days=shift, minutes=time.minutes)
        for shift in (-2, -1, 0, 1, 2)
        if time.day is None or (midnight + timedelta(days=shift)).day == time.day
    ]
    best = min(candidates, key=lambda moment: abs(moment - reference), default=None)
    if best is None or abs(best - reference) > _FARTHEST:
        raise TimeError(
            tr("{time} lies more than a day and a half from {reference:%Y-%m-%d %H:%M}").format(
                time=written(time), reference=reference
            )
        )
    return best


def dates_of(time: WrittenTime, first: datetime, last: datetime) -> list[datetime]:
    """All moments that a written time can mean on the dates from `first` to `last`, in order."""
    midnight = first.replace(hour=0, minute=0, second=0, microsecond=0)
    dates = [midnight + timedelta(days=shift) for shift in range((last - midnight).days + 1)]
    return [day + timedelta(minutes=time.minutes) for day in dates if time.day is None or day.day == time.day]


def first_after(time: WrittenTime, start: datetime) -> datetime:
    """The first moment not before a start that a written time can mean: what follows crosses midnight with it.

    Raises:
        TimeError: it lies more than a day and a half after the start.
    """
    moment = nearest(time, start)
    if moment < start and time.day is None:
        moment += timedelta(days=1)
    if moment < start:
        raise TimeError(tr("{time} lies before {start:%Y-%m-%d %H:%M}").format(time=written(time), start=start))
    return moment


def written(time: WrittenTime) -> str:
    """A time as messages write it."""
    clock = f"{time.minutes // 60:02d}{time.minutes % 60:02d}"
    return clock if time.day is None else f"{time.day:02d}{clock}"
