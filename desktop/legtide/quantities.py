"""Units: the one registry, exact conversions, and the strict reader of typed quantities.

Canonical units of the project are litre, minute, kilogram, degree Celsius and percent. Inner loops see
plain floats in these units; everything that a person types or reads passes through here.

pint never parses text: it reads "1,5 kg" as 15 kg, "1 500 kg" as 500 kg and hangs on "9**9**9". The reader
below takes one number and one unit from a fixed list, and nothing else.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

from legtide.language import tr

if TYPE_CHECKING:
    import pint

CANONICAL: Final = {
    "volume": "litre",
    "mass": "kilogram",
    "time": "minute",
    "temperature": "degree_Celsius",
    "share": "percent",
    "flow": "litre / minute",
    "pressure": "bar",
}
"""Kind of quantity -> the unit in which the project stores and computes it."""

_UNITS: Final[dict[str, tuple[str, str]]] = {
    # written form -> (kind, pint name); written forms are matched without regard to case
    "l": ("volume", "litre"),
    "litre": ("volume", "litre"),
    "litres": ("volume", "litre"),
    "us gal": ("volume", "US_liquid_gallon"),
    "gal": ("volume", "US_liquid_gallon"),
    "kg": ("mass", "kilogram"),
    "lb": ("mass", "pound"),
    "lbs": ("mass", "pound"),
    "min": ("time", "minute"),
    "h": ("time", "hour"),
    "s": ("time", "second"),
    "°c": ("temperature", "degree_Celsius"),
    "c": ("temperature", "degree_Celsius"),
    "°f": ("temperature", "degree_Fahrenheit"),
    "f": ("temperature", "degree_Fahrenheit"),
    "%": ("share", "percent"),
    "percent": ("share", "percent"),
    "l/min": ("flow", "litre / minute"),
    "us gal/min": ("flow", "US_liquid_gallon / minute"),
    "bar": ("pressure", "bar"),
    "psi": ("pressure", "psi"),
}

# Anchored and bounded: one number without grouping, then a unit from the list.
_QUANTITY: Final = re.compile(r"([+-]?[0-9]{1,9}(?:[.,][0-9]{1,9})?)[ \u00a0\u202f]?([A-Za-z°%][A-Za-z°%/ ]{0,11})?")


class QuantityError(ValueError):
    """A typed quantity that cannot be read; the message says what was expected."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in the canonical unit of its kind, with the words that were read."""

    value: float
    kind: str
    unit: str
    """Canonical unit (pint name)."""
    read_as: str
    """What was understood, for showing back to the user."""


@cache
def registry() -> pint.UnitRegistry[float]:
    """The one pint registry, made when first needed (its import costs a tenth of a second)."""
    import pint

    return pint.UnitRegistry(cache_folder=None, autoconvert_offset_to_baseunit=True)


@cache
def _linear(unit: str, to: str) -> tuple[float, float]:
    """Factor and offset with `value_in_to = factor * value + offset` (all listed units are affine)."""
    ureg = registry()
    zero = float(ureg.Quantity(0.0, unit).to(to).magnitude)
    # A wide step keeps the factor exact to rounding for offset units.
    thousand = float(ureg.Quantity(1000.0, unit).to(to).magnitude)
    return (thousand - zero) / 1000.0, zero


def convert(value: float, unit: str, to: str) -> float:
    """`value` from one written unit to another (for example "US gal" to "l").

    Raises QuantityError for an unknown unit or for units of different kinds.
    """
    (kind, name), (to_kind, to_name) = _lookup(unit), _lookup(to)
    if kind != to_kind:
        raise QuantityError(
            tr("{unit} is a {kind}, {to} is a {to_kind}").format(unit=unit, kind=tr(kind), to=to, to_kind=tr(to_kind))
        )
    if name == to_name:
        return value
    factor, offset = _linear(name, to_name)
    return factor * value + offset


def _lookup(unit: str) -> tuple[str, str]:
    try:
        return _UNITS[unit.strip().lower()]
    except KeyError:
        raise QuantityError(tr("unknown unit {unit!r}").format(unit=unit)) from None


def read_quantity(text: str, kind: str, default_unit: str) -> Quantity:
    """Reads a typed quantity such as "120 l", "31,7 US gal" or "85 %".

    Args:
        text: one number (`.` or `,` as decimal mark, no grouping) and at most one unit.
        kind: the kind expected, a key of `CANONICAL`.
        default_unit: the written unit taken when the text has none.

    Raises:
        QuantityError: with a sentence that says what was expected.
    """
    canonical = CANONICAL[kind]
    found = _QUANTITY.fullmatch(text.strip()[:64])
    if found is None:
        raise QuantityError(
            tr("{text!r} is not one number and a unit, such as 12.5 {unit}").format(
                text=text.strip()[:40], unit=default_unit
            )
        )
    number = float(found[1].replace(",", "."))
    unit = (found[2] or default_unit).strip()
    unit_kind, name = _lookup(unit)
    if unit_kind != kind:
        raise QuantityError(
            tr("{unit} is a {unit_kind}; expected a {kind}, such as {example}").format(
                unit=unit, unit_kind=tr(unit_kind), kind=tr(kind), example=default_unit
            )
        )
    factor, offset = (1.0, 0.0) if name == canonical else _linear(name, canonical)
    return Quantity(factor * number + offset, kind, canonical, f"{found[1].replace(',', '.')} {unit}")


def show(value: float, unit: str, to: str | None = None, digits: int = 0) -> str:
    """`value` in a written unit as text: no grouping, `.` as decimal mark, a space before the unit."""
    target = unit if to is None else to
    return f"{convert(value, unit, target):.{digits}f}\u00a0{target}"
