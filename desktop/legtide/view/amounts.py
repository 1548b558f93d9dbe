"""Readers of amounts within bounds: volumes, flows, minutes, temperatures, prices, shares; and of time zones."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time
from functools import cache
from typing import Final
from zoneinfo import ZoneInfo, available_timezones

from pydantic import TypeAdapter, ValidationError

from legtide.day.document import ZoneName
from legtide.day.quoting import quoted
from legtide.language import tr
from legtide.quantities import QuantityError, read_quantity
from legtide.view.readers import Read, Reader, ReadError
from legtide.view.texts import date_text
from legtide.view.units import Amount, Unit, flow_typed, plain, read_flow, read_volume, volume_typed

_ZONE: Final = TypeAdapter(ZoneName)


def _bounded(
    amount: Callable[[str], Amount], least: float, most: float, shown: Callable[[float], str], empty: str | None
) -> Reader:
    """A reader of amounts from `least` to `most`; `empty` says what no text means, where it may be left out."""

    def read(text: str) -> Read:
        if not text.strip() and empty is not None:
            return Read(None, empty)
        try:
            found = amount(text)
        except QuantityError as error:
            raise ReadError(str(error)) from None
        if not least <= found.value <= most:
            words = tr("{value} is outside {least} to {most}.")
            raise ReadError(words.format(value=found.read_as, least=shown(least), most=shown(most)))
        return Read(found.value, found.read_as)

    return read


def volume_reader(unit: Unit, least: float, most: float, *, empty: str | None = None) -> Reader:
    """Reads a volume or a mass of water as litres; the bounds are litres."""
    return _bounded(lambda text: read_volume(text, unit), least, most, lambda value: volume_typed(value, unit), empty)


def flow_reader(unit: Unit, *, empty: str | None = None) -> Reader:
    """Reads a flow as litres a minute, within what the day file holds."""
    return _bounded(lambda text: read_flow(text, unit), 0.01, 1e4, lambda value: flow_typed(value, unit), empty)


def _quantity(kind: str, unit: str) -> Callable[[str], Amount]:
    def amount(text: str) -> Amount:
        read = read_quantity(text, kind, unit)
        value = round(read.value, 9)
        own = f"{plain(value)} {unit}"
        return Amount(value, own if read.read_as == own else f"{read.read_as} = {own}")

    return amount


def minutes_reader(*, most: float = 2880.0, empty: str | None = None) -> Reader:
    """Reads a duration as minutes."""
    return _bounded(_quantity("time", "min"), 0.0, most, minutes_typed, empty)


def minutes_typed(minutes: float) -> str:
    """Minutes as the reader takes them back."""
    return f"{plain(minutes)} min"


def temperature_reader(least: float, most: float, *, empty: str | None = None) -> Reader:
    """Reads a temperature in degrees Celsius or Fahrenheit as degrees Celsius."""
    return _bounded(_quantity("temperature", "°C"), least, most, temperature_typed, empty)


def temperature_typed(celsius: float) -> str:
    """A temperature as the reader takes it back."""
    return f"{plain(celsius)} °C"


def share_reader(least: float, most: float) -> Reader:
    """Reads percent."""
    return _bounded(_quantity("share", "%"), least, most, share_typed, None)


def share_typed(percent: float) -> str:
    """Percent as the reader takes them back."""
    return f"{plain(percent)} %"


def price_reader(most: float, *, empty: str) -> Reader:
    """Reads a price: a plain number, in the unit of all prices of the day."""

    def amount(text: str) -> Amount:
        if "%" in text or "percent" in text.lower():
            raise QuantityError(tr("A plain number is expected."))
        value = read_quantity(text, "share", "%").value
        return Amount(value, plain(value))

    return _bounded(amount, 0.0, most, plain, empty)


@cache
def zone_names() -> tuple[str, ...]:
    """The names of all time zones that are known here."""
    return tuple(sorted(available_timezones()))


def zone_reader(day: date) -> Reader:
    """Reads the name of a time zone, and says its distance from UTC on the day."""

    def read(text: str) -> Read:
        typed = text.strip()
        folded = {name.casefold(): name for name in zone_names()}
        name = folded.get(typed.casefold(), typed)
        try:
            _ZONE.validate_python(name)
        except ValidationError:
            raise ReadError(tr("{name} is not a known time zone.").format(name=quoted(typed))) from None
        noon = datetime.combine(day, time(12), UTC).astimezone(ZoneInfo(name))
        offset = noon.strftime("%z")
        return Read(name, tr("UTC{offset} on {day}").format(offset=f"{offset[:3]}:{offset[3:5]}", day=date_text(day)))

    return read
