"""Levels and volumes in the unit that the user prefers; the day file stays in litres and percent."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, get_args

from legtide.draw.words import NBSP
from legtide.engine.mass import water_density_kg_per_l
from legtide.language import tr
from legtide.quantities import QuantityError, convert, read_quantity

Unit = Literal["L", "US gal", "kg", "lb", "%"]
UNITS: Final[tuple[Unit, ...]] = get_args(Unit)
REFERENCE_C: Final = 15.0
"""Temperature taken for turning litres into mass where none is known."""


def _to_unit(litres: float, unit: Unit) -> float:
    if unit in ("kg", "lb"):
        mass = litres * water_density_kg_per_l(REFERENCE_C)
        return mass if unit == "kg" else convert(mass, "kg", "lb")
    return litres if unit == "L" else convert(litres, "L", unit)


def volume_text(litres: float, unit: Unit, capacity_l: float | None = None) -> str:
    """A volume or level in the preferred unit; percent needs the tank's capacity and is litres without it."""
    if unit == "%":
        if capacity_l is not None:
            return f"{100.0 * litres / capacity_l:.0f}{NBSP}%"
        unit = "L"
    return f"{_to_unit(litres, unit):.0f}{NBSP}{unit}"


def level_text(percent: float, unit: Unit, capacity_l: float) -> str:
    """A level that the file holds in percent, in the preferred unit."""
    return volume_text(percent * capacity_l / 100.0, unit, capacity_l)


@dataclass(frozen=True, slots=True)
class Level:
    """A typed level: percent of capacity, and what was understood."""

    percent: float
    read_as: str


def read_level(text: str, unit: Unit, capacity_l: float) -> Level:
    """Reads "85 %", "120 L", "31,7 US gal", "120 kg" or "264 lb" as a share of a tank.

    A number alone is taken in `unit`. Raises QuantityError with a sentence that says what was expected.
    """
    kinds = {"L": "volume", "US gal": "volume", "kg": "mass", "lb": "mass", "%": "share"}
    failures: list[str] = []
    for kind in dict.fromkeys((kinds[unit], "share", "volume", "mass")):
        default = unit if kinds[unit] == kind else {"share": "%", "volume": "L", "mass": "kg"}[kind]
        try:
            read = read_quantity(text, kind, default)
        except QuantityError as error:
            failures.append(str(error))
            continue
        litres = {"share": capacity_l / 100.0, "volume": 1.0, "mass": 1.0 / water_density_kg_per_l(REFERENCE_C)}[kind]
        percent = read.value * litres * 100.0 / capacity_l
        if not -1e-9 <= percent <= 100.0 + 1e-9:
            raise QuantityError(
                tr("{value} is outside the tank (0 to {capacity:g} L)").format(
                    value=read.read_as, capacity=capacity_l
                )
            )
        percent = min(max(percent, 0.0), 100.0)
        others = [f"{percent:.1f} %"] if kind != "share" else []
        if not read.read_as.upper().endswith(" L"):
            others.append(f"{percent * capacity_l / 100.0:.1f} L")
        return Level(percent, " = ".join([read.read_as, *others]))
    raise QuantityError(failures[0])
