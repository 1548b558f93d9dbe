"""Stretches of time as one types them: "05:00-22:30, 23:15-01:00" in UTC, with dates where they are needed."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import Final
from zoneinfo import ZoneInfo

from pydantic import ValidationError

from legtide.day.document import Span
from legtide.draw.words import day_text
from legtide.language import tr
from legtide.view.readers import Read, Reader, ReadError

_MOMENT: Final = r"(?:(\d{4}-\d{2}-\d{2})[ T])?(\d{1,2}):?(\d{2})Z?"
_SPAN: Final = re.compile(rf"{_MOMENT}\s*(?:-|–|to)\s*{_MOMENT}")
_MIDDLE: Final = time(15)
"""Local time in the middle of a working day: a night without a date is the one after the day, not the one before."""


def spans_reader(day: date, zone: Callable[[], str], *, most: int, empty: str = "", least: int = 0) -> Reader:
    """Reads stretches of time around a day; none of them may overlap.

    `zone` gives the time zone of the place; `empty` says what no stretch at all means.
    """

    def read(text: str) -> Read:
        typed = text.strip()[:2000]
        pieces = [piece.strip() for piece in re.split(r"[,;]", typed)] if typed else []
        spans = tuple(_span(piece, day, zone()) for piece in pieces)
        if not least <= len(spans) <= most:
            raise ReadError(tr("From {least} to {most} stretches of time.").format(least=least, most=most))
        ordered = sorted(spans, key=lambda span: span.start)
        for before, after in pairwise(ordered):
            if after.start < before.end:
                raise ReadError(tr("Two of these stretches overlap."))
        return Read(spans, ", ".join(_said(span, zone()) for span in spans) or empty)

    return read


def span_reader(day: date, zone: Callable[[], str], *, empty: str) -> Reader:
    """Reads one stretch of time, or none."""
    several = spans_reader(day, zone, most=1)

    def read(text: str) -> Read:
        found = several(text)
        return Read(found.value[0], found.read_as) if found.value else Read(None, empty)

    return read


def spans_typed(spans: Sequence[Span], day: date, zone: str) -> str:
    """Stretches of time as the reader takes them back, with dates only where it would take another one."""
    return ", ".join(_typed(span, day, zone) for span in spans)


def _typed(span: Span, day: date, zone: str) -> str:
    short = f"{span.start:%H:%M}-{span.end:%H:%M}"
    try:
        same = _span(short, day, zone) == span
    except ReadError:
        same = False
    return short if same else f"{span.start:%Y-%m-%d %H:%M} - {span.end:%Y-%m-%d %H:%M}"


def _span(text: str, day: date, zone: str) -> Span:
    found = _SPAN.fullmatch(text)
    if found is None:
        raise ReadError(tr("Not a stretch of time: write UTC as 05:00-22:30, several with commas."))
    try:
        start, end = _start_and_end(found, day, zone)
        return Span(start=start, end=end)
    except ValidationError as error:
        raise ReadError(tr("It {reason}.").format(reason=error.errors()[0]["msg"])) from None
    except ValueError:
        raise ReadError(tr("There is no such time.")) from None


def _start_and_end(found: re.Match[str], day: date, zone: str) -> tuple[datetime, datetime]:
    starts, ends = time(int(found[2]), int(found[3])), time(int(found[5]), int(found[6]))
    if found[1] is not None:
        start = datetime.combine(date.fromisoformat(found[1]), starts, UTC)
        return start, _after(start, ends, found[4])
    if found[4] is not None:
        raise ReadError(tr("Write the date of the start as well."))
    middle = datetime.combine(day, _MIDDLE, ZoneInfo(zone)).astimezone(UTC)
    choices = [datetime.combine(day + timedelta(days=shift), starts, UTC) for shift in (-1, 0, 1)]
    pairs = [(start, _after(start, ends, None)) for start in choices]
    return min(pairs, key=lambda pair: abs(pair[0] + (pair[1] - pair[0]) / 2 - middle))


def _after(start: datetime, ends: time, day: str | None) -> datetime:
    """The end: on its own date, else the first such time after the start."""
    if day is not None:
        return datetime.combine(date.fromisoformat(day), ends, UTC)
    end = datetime.combine(start.date(), ends, UTC)
    return end if end > start else end + timedelta(days=1)


def _said(span: Span, zone: str) -> str:
    local = ZoneInfo(zone)
    words = f"{day_text(span.start)} {span.start:%H:%M}–"
    words += f"{span.end:%H:%M}" if span.end.date() == span.start.date() else f"{day_text(span.end)} {span.end:%H:%M}"
    here = f"{span.start.astimezone(local):%H:%M}–{span.end.astimezone(local):%H:%M}"
    return tr("{utc} UTC ({local} local)").format(utc=words, local=here)
