"""Numbers and services in the words of the board: plain text, UTC as HH:MM, "20 %" with a space."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

from legtide.day.document import Service, Tank
from legtide.engine.types import to_datetime

NBSP: Final = "\u00a0"
TANK_SERVICE: Final[dict[Tank, str]] = {"fresh": "Water service", "waste": "Waste service"}
TANK_NAME: Final[dict[Tank, str]] = {"fresh": "Fresh water", "waste": "Waste"}


def hhmm(moment: datetime | float) -> str:
    """A moment (aware, or minutes since 1970) as UTC HH:MM."""
    at = to_datetime(moment) if isinstance(moment, float) else moment
    return at.astimezone(UTC).strftime("%H:%M")


def day_text(moment: datetime) -> str:
    """A date such as "Thu 14 May", without regard to the locale."""
    names = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
    months = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    return f"{names[moment.weekday()]} {moment.day} {months[moment.month - 1]}"


def percent(share: float) -> str:
    """A share of 1 as "63 %"."""
    return f"{share * 100.0:.0f}{NBSP}%"


def likely(probability: float) -> str:
    """A probability as "89 %", never rounded to certainty."""
    if 0.0 < probability < 0.005:
        return f"under 1{NBSP}%"
    if 0.995 <= probability < 1.0:
        return f"over 99{NBSP}%"
    return percent(probability)


def litres(volume_l: float) -> str:
    """A volume as "60 L"."""
    return f"{volume_l:.0f}{NBSP}L"


def breach_sentence(tank: Tank, probability: float, limit_l: float, capacity_l: float) -> str:
    """Such as "89 % likely above 85 %"."""
    side = "below" if tank == "fresh" else "above"
    return f"{likely(probability)} likely {side} {percent(limit_l / capacity_l)}"


def service_title(service: Service, start: datetime | float | None) -> str:
    """Such as "Waste service 14:08"."""
    when = "" if start is None else f" {hhmm(start)}"
    return f"{TANK_SERVICE[service.tank]}{when}"


def service_name(service: Service, start: datetime | float | None) -> str:
    """What a screen reader says: "Water service QX-ABL 12:28 planned"."""
    when = "" if start is None else f" {hhmm(start)}"
    pinned = ", pinned" if service.pinned else ""
    return f"{TANK_SERVICE[service.tank]} {service.aircraft}{when} {service.state}{pinned}"
