"""What forms understand of typed text: each reader gives a value and says back how it was read.

A reader raises ReadError with a sentence that says what was expected.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final, TypeAlias

from legtide.day.assumptions import Known
from legtide.day.quoting import quoted
from legtide.draw.words import day_text
from legtide.language import tr
from legtide.quantities import QuantityError, convert, read_quantity
from legtide.view.texts import date_text, utc_and_local
from legtide.view.units import Unit, read_flow, read_level, read_volume

_TIME: Final = re.compile(r"(?:(\d{4})-(\d{2})-(\d{2})[ T])?(\d{1,2}):?(\d{2})Z?")

MOST_KEY: Final = 64


class ReadError(ValueError):
    """Typed text that cannot be taken; the message is shown at the field."""


@dataclass(frozen=True, slots=True)
class Read:
    """A value, and how it was understood."""

    value: Any
    read_as: str = ""


Reader: TypeAlias = Callable[[str], Read]


def time_reader(near: datetime, zone: str | None, *, optional: bool = True) -> Reader:
    """Reads HH:MM in UTC on the date that brings it nearest to `near`, or a whole date and time."""

    def read(text: str) -> Read:
        if not text.strip():
            if optional:
                return Read(None, tr("not entered"))
            raise ReadError(tr("A time is needed, such as 14:05."))
        found = _TIME.fullmatch(text.strip()[:40])
        if found is None:
            raise ReadError(tr("Not a time: write UTC as 14:05, or 2026-05-14 14:05."))
        try:
            moment = _moment(found, near)
        except ValueError:
            raise ReadError(tr("There is no such time.")) from None
        return Read(moment, f"{day_text(moment)} {utc_and_local(moment, zone)}{_other_day(moment, near)}")

    return read


def _other_day(moment: datetime, near: datetime) -> str:
    """Said where a time falls on another date than what it belongs to: after midnight one is easily a day out."""
    days = (moment.astimezone(UTC).date() - near.astimezone(UTC).date()).days
    if days in (1, -1):
        return ", " + (tr("the next day") if days > 0 else tr("the day before"))
    return "" if not days else ", " + tr("{n:+d} days").format(n=days)


def _moment(found: re.Match[str], near: datetime) -> datetime:
    hour, minute = int(found[4]), int(found[5])
    if found[1] is not None:
        return datetime(int(found[1]), int(found[2]), int(found[3]), hour, minute, tzinfo=UTC)
    at = near.astimezone(UTC).replace(hour=hour, minute=minute, second=0, microsecond=0)
    return min((at + timedelta(days=shift) for shift in (-1, 0, 1)), key=lambda moment: abs(moment - near))


def time_typed(moment: datetime | None) -> str:
    """A time as the reader takes it back."""
    return "" if moment is None else f"{moment.astimezone(UTC):%Y-%m-%d %H:%M}"


def whole_reader(least: int, most: int, what: str) -> Reader:
    """Reads a whole number within bounds."""

    def read(text: str) -> Read:
        typed = text.strip()
        if not re.fullmatch(r"\d{1,6}", typed) or not least <= int(typed) <= most:
            raise ReadError(
                tr("A whole number of {what} from {least} to {most}.").format(what=what, least=least, most=most)
            )
        return Read(int(typed))

    return read


def level_reader(unit: Unit, capacity_l: float, *, optional: str = "") -> Reader:
    """Reads a level in any of the units; `optional` says what an empty field means, if it may be empty."""

    def read(text: str) -> Read:
        if not text.strip() and optional:
            return Read(None, optional)
        try:
            level = read_level(text, unit, capacity_l)
        except QuantityError as error:
            raise ReadError(str(error)) from None
        return Read(level.percent, level.read_as)

    return read


def text_reader(most: int, *, needed: str = "") -> Reader:
    """Reads plain words; `needed` is what to say when there are none, if some are needed."""

    def read(text: str) -> Read:
        typed = text.strip()
        if needed and not typed:
            raise ReadError(needed)
        if len(typed) > most:
            raise ReadError(tr("At most {n} characters.").format(n=most))
        return Read(typed)

    return read


def or_none(reader: Reader) -> Reader:
    """A reader that gives none for empty text."""

    def read(text: str) -> Read:
        found = reader(text)
        return Read(found.value or None, found.read_as)

    return read


def key_reader(what: str, taken: Callable[[], Iterable[str]] = tuple) -> Reader:
    """Reads an identifier that nothing else of its kind has; `what` names it, such as "registration"."""

    def read(text: str) -> Read:
        typed = text.strip()
        if not typed:
            raise ReadError(tr("A {what} is needed.").format(what=what))
        if len(typed) > MOST_KEY:
            raise ReadError(tr("At most {n} characters.").format(n=MOST_KEY))
        if typed in set(taken()):
            raise ReadError(tr("{name} is taken already.").format(name=quoted(typed)))
        return Read(typed)

    return read


def station_reader(known: Mapping[str, str]) -> Reader:
    """Reads the code of a station, whatever its case, and says its name back; `known` are codes and names."""
    folded = {name.casefold(): name for name in known}

    def read(text: str) -> Read:
        typed = text.strip()
        name = typed if typed in known else folded.get(typed.casefold())
        if not typed:
            raise ReadError(tr("A station is needed."))
        if name is None:
            raise ReadError(tr("Station {code} is not listed: add it in the menu Edit.").format(code=quoted(typed)))
        return Read(name, known[name])

    return read


def date_reader(*, optional: bool = False) -> Reader:
    """Reads a date such as 2026-05-14."""

    def read(text: str) -> Read:
        typed = text.strip()
        if not typed and optional:
            return Read(None)
        try:
            day = date.fromisoformat(typed) if re.fullmatch(r"\d{4}-\d{2}-\d{2}", typed) else None
        except ValueError:
            day = None
        if day is None or not 1970 <= day.year <= 2199:
            raise ReadError(tr("Not a date: write it as 2026-05-14."))
        return Read(day, date_text(day))

    return read


_FIGURE_UNITS: Final = {
    "min": ("time", "min"),
    "h": ("time", "h"),
    "s": ("time", "s"),
    "°C": ("temperature", "°C"),
    "% of capacity": ("share", "%"),
    "bar": ("pressure", "bar"),
}
"""Unit of a figure -> the kind of quantity that it is read as, and that unit as one writes it."""


def figure_reader(known: Known, unit: Unit = "L") -> Reader:
    """Reads a figure in its own unit, or in another of the same kind, within what makes sense at all.

    Volumes and flows without a unit are taken in the unit that the user prefers.
    """

    def read(text: str) -> Read:
        try:
            if known.unit in ("L", "L/min"):
                amount = (read_volume if known.unit == "L" else read_flow)(text, unit)
                value, read_as = amount.value, amount.read_as
            else:
                value, read_as = _figure(text, known.unit)
        except QuantityError as error:
            raise ReadError(str(error)) from None
        if not known.least <= value <= known.most:
            raise ReadError(
                tr("{value} is outside {least} to {most} {unit}").format(
                    value=f"{value:g}", least=f"{known.least:g}", most=f"{known.most:g}", unit=tr(known.unit)
                )
            )
        usual = known.low <= value <= known.high
        note = "" if usual else tr("  Unusual: {low} to {high} is usual.").format(low=known.low, high=known.high)
        return Read(value, read_as + note)

    return read


def _figure(text: str, unit: str) -> tuple[float, str]:
    if unit not in _FIGURE_UNITS:
        # A pure number or a price: whatever unit is written behind it would be ignored, so none is allowed.
        read = read_quantity(text, "share", "%")
        if read.read_as.endswith(" %") and "%" in text:
            raise QuantityError(tr("a plain number is expected, in {unit}").format(unit=tr(unit)))
        return read.value, f"{read.value:g}"
    kind, written = _FIGURE_UNITS[unit]
    read = read_quantity(text, kind, written)
    canonical = {"time": "min", "temperature": "°C", "share": "%", "pressure": "bar"}
    value = round(convert(read.value, canonical[kind], written), 9)
    return (
        value,
        f"{read.read_as} = {value:g} {tr(unit)}"
        if read.read_as != f"{value:g} {written}"
        else f"{value:g} {tr(unit)}",
    )
