"""Scheduling seasons of the trade: a summer and a winter a year, such as S19 and W18."""

from __future__ import annotations

import re
from datetime import date, timedelta

from legtide.language import tr

_SEASON = re.compile(r"([SW])([0-9]{2})")


def season_dates(code: str) -> tuple[date, date]:
    """First and last day of a season: summer runs from the last Sunday of March to the last Saturday of October.

    Two digits are taken as a year from 1970 to 2069. Raises ValueError for what is no season.
    """
    found = _SEASON.fullmatch(code)
    if found is None:
        raise ValueError(tr("{code} is not a season such as S27 or W27").format(code=code))
    number = int(found[2])
    year = number + (2000 if number < 70 else 1900)
    if found[1] == "S":
        return last_sunday(year, 3), last_sunday(year, 10) - timedelta(days=1)
    return last_sunday(year, 10), last_sunday(year + 1, 3) - timedelta(days=1)


def last_sunday(year: int, month: int) -> date:
    """The last Sunday of a month that has 31 days."""
    end = date(year, month, 31)
    return end - timedelta(days=(end.weekday() + 1) % 7)
