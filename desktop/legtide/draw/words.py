"""Numbers and services in the words of the board: plain text, UTC as HH:MM, "20 %" with a space."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

from legtide.day.document import Service, Tank
from legtide.engine.types import to_datetime
from legtide.language import tr

NBSP: Final = "\u00a0"
TANK_SERVICE: Final[dict[Tank, str]] = {"fresh": "Water service", "waste": "Waste service"}
TANK_NAME: Final[dict[Tank, str]] = {"fresh": "Fresh water", "waste": "Waste"}
WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def hhmm(moment: datetime | float) -> str:
    """A moment (aware, or minutes since 1970) as UTC HH:MM."""
    at = to_datetime(moment) if isinstance(moment, float) else moment
    return at.astimezone(UTC).strftime("%H:%M")


def day_text(moment: datetime) -> str:
    """A date such as "Thu 14 May", in the words of the language in use and without regard to the locale."""
    names = {"weekday": tr(WEEKDAYS[moment.weekday()]), "month": tr(MONTHS[moment.month - 1])}
    return tr("{weekday} {day} {month}").format(day=moment.day, **names)


def percent(share: float) -> str:
    """A share of 1 as "63 %"."""
    return f"{share * 100.0:.0f}{NBSP}%"


def likely(probability: float) -> str:
    """A probability as "89 %", never rounded to certainty."""
    if 0.0 < probability < 0.005:
        return tr("under {share}").format(share=percent(0.01))
    if 0.995 <= probability < 1.0:
        return tr("over {share}").format(share=percent(0.99))
    return percent(probability)


def litres(volume_l: float) -> str:
    """A volume as "60 L"."""
    return f"{volume_l:.0f}{NBSP}L"


def breach_sentence(tank: Tank, probability: float, limit_l: float, capacity_l: float) -> str:
    """Such as "89 % likely above 85 %"."""
    side = tr("below") if tank == "fresh" else tr("above")
    return tr("{chance} likely {side} {limit}").format(
        chance=likely(probability), side=side, limit=percent(limit_l / capacity_l)
    )


def service_title(service: Service, start: datetime | float | None) -> str:
    """Such as "Waste service 14:08"."""
    when = "" if start is None else f" {hhmm(start)}"
    return f"{tr(TANK_SERVICE[service.tank])}{when}"


def service_name(service: Service, start: datetime | float | None) -> str:
    """What a screen reader says: "Water service QX-ABL 12:28 planned"."""
    when = "" if start is None else f" {hhmm(start)}"
    pinned = tr(", pinned") if service.pinned else ""
    return f"{tr(TANK_SERVICE[service.tank])} {service.aircraft}{when} {tr(service.state)}{pinned}"
