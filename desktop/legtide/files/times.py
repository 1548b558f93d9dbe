"""Times of a schedule: ISO 8601 with a zone, or local to a station, where a clock change makes an hour vanish or
come twice."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo

from legtide.language import tr

_ISO: Final = re.compile(
    r"(\d{4})-?(\d\d)-?(\d\d)[T ](\d\d):?(\d\d)(?::?(\d\d)(?:[.,](\d{1,9}))?)?\s?(Z|[+-]\d\d(?::?\d\d)?)?",
    re.IGNORECASE | re.ASCII,
)
MONTHS: Final = ("JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC")
_FORM: Final = "2031-03-05T06:10Z"


class TimeError(ValueError):
    """A time that cannot be taken; the message is the reason."""


def read_time(text: str) -> datetime:
    """A date and time in ISO 8601: aware in UTC when it has a zone, else naive.

    Raises TimeError.
    """
    found = _ISO.fullmatch(text)
    if found is None:
        raise TimeError(tr("is not a date and time written like {form}").format(form=_FORM))
    year, month, day, hour, minute, second = (int(part or 0) for part in found.groups()[:6])
    fraction = int((found[7] or "0").ljust(6, "0")[:6])
    if not 1970 <= year <= 2199:
        raise TimeError(tr("does not lie in the years 1970 to 2199"))
    try:
        naive = datetime(year, month, day, hour, minute, second, fraction)  # noqa: DTZ001 - the zone follows
        zone = found[8]
        return naive if zone is None else naive.replace(tzinfo=_offset(zone)).astimezone(UTC)
    except ValueError:
        raise TimeError(tr("is no date and time of the calendar")) from None


def _offset(zone: str) -> timezone:
    if zone in "Zz":
        return UTC
    digits = zone[1:].replace(":", "").ljust(4, "0")
    hours, minutes = int(digits[:2]), int(digits[2:])
    if minutes > 59:
        raise ValueError(zone)
    size = timedelta(hours=hours, minutes=minutes)
    return timezone(-size if zone[0] == "-" else size)


@lru_cache(maxsize=100_000)
def moments(local: datetime, zone: str) -> tuple[datetime, ...]:
    """The moments in UTC at which clocks of a zone show a local time: none in a gap, two in a repeat, else one.

    Args:
        local: a naive time.
        zone: the name of a time zone.
    """
    info = ZoneInfo(zone)
    found: list[datetime] = []
    for fold in (0, 1):
        try:
            moment = local.replace(tzinfo=info, fold=fold).astimezone(UTC)
            shown = moment.astimezone(info).replace(tzinfo=None)
        except OverflowError:
            continue
        if shown == local and moment not in found:
            found.append(moment)
    return tuple(sorted(found))
