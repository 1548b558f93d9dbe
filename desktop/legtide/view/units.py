"""Levels and volumes in the unit that the user prefers; the day file stays in litres and percent."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, get_args

from legtide.day.assumptions import Known
from legtide.draw.words import NBSP
from legtide.engine.mass import water_density_kg_per_l
from legtide.language import tr
from legtide.quantities import QuantityError, convert, read_quantity

Unit = Literal["L", "US gal", "kg", "lb", "%"]
UNITS: Final[tuple[Unit, ...]] = get_args(Unit)
_ROUNDED: Final = 0.05
"""Percent by which a full tank may be passed: it may have been rounded in another unit."""
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


def level_typed(percent: float, unit: Unit, capacity_l: float) -> str:
    """A level in the preferred unit, precise enough to be edited."""
    return f"{plain(percent)} %" if unit == "%" else volume_typed(percent * capacity_l / 100.0, unit)


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
        if not -_ROUNDED <= percent <= 100.0 + _ROUNDED:
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


@dataclass(frozen=True, slots=True)
class Amount:
    """A typed volume or flow: litres (a minute), and what was understood."""

    value: float
    read_as: str


def read_volume(text: str, unit: Unit) -> Amount:
    """Reads "120 L", "31,7 US gal", "120 kg" or "264 lb" of water as litres; a number alone is taken in `unit`.

    Raises QuantityError with a sentence that says what was expected.
    """
    wanted = _of_volume(unit)
    kinds = {"volume": "L", "mass": "kg"}
    usual = "mass" if wanted in ("kg", "lb") else "volume"
    failures: list[str] = []
    for kind in sorted(kinds, key=lambda kind: kind != usual):
        try:
            read = read_quantity(text, kind, wanted if kind == usual else kinds[kind])
        except QuantityError as error:
            failures.append(str(error))
            continue
        litres = round(read.value / (water_density_kg_per_l(REFERENCE_C) if kind == "mass" else 1.0), 9)
        return Amount(litres, _also(read.read_as, litres, "L"))
    raise QuantityError(failures[0])


def read_flow(text: str, unit: Unit) -> Amount:
    """Reads "30 L/min" or "8 US gal/min" as litres a minute; a number alone is in the flow that goes with `unit`."""
    read = read_quantity(text, "flow", flow_unit(unit))
    value = round(read.value, 9)
    return Amount(value, _also(read.read_as, value, "L/min"))


def flow_unit(unit: Unit) -> str:
    """The unit of flow that goes with a preferred unit."""
    return "US gal/min" if unit == "US gal" else "L/min"


def volume_typed(litres: float, unit: Unit) -> str:
    """A volume in the preferred unit, precise enough to be edited."""
    wanted = _of_volume(unit)
    return f"{plain(_to_unit(litres, wanted))} {wanted}"


def flow_typed(litres_per_min: float, unit: Unit) -> str:
    """A flow in the unit that goes with the preferred one, precise enough to be edited."""
    wanted = flow_unit(unit)
    return f"{plain(convert(litres_per_min, 'L/min', wanted))} {wanted}"


def figure_in(value: float, known: Known, unit: Unit) -> str:
    """A figure's number: volumes and flows in the preferred unit, everything else in its own."""
    if known.unit == "L" and _of_volume(unit) != "L":
        return plain(_to_unit(value, unit))
    if known.unit == "L/min" and flow_unit(unit) != "L/min":
        return plain(convert(value, "L/min", flow_unit(unit)))
    return f"{value:g}"


def figure_unit(known: Known, unit: Unit) -> str:
    """The unit of that number."""
    own = {"L": _of_volume(unit), "L/min": flow_unit(unit), "1": ""}
    return own.get(known.unit, known.unit)


def plain(value: float) -> str:
    """A number as the readers take it back: up to three decimals where it is small, none where it is large."""
    decimals = 3 if abs(value) < 10 else 2 if abs(value) < 100 else 1 if abs(value) < 10_000 else 0
    text = f"{value:.{decimals}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"


def _of_volume(unit: Unit) -> Unit:
    """The preferred unit where there is no tank to be a share of."""
    return "L" if unit == "%" else unit


def _also(read_as: str, value: float, unit: str) -> str:
    """What was read, and what that is in the unit of the file."""
    own = read_as.casefold().endswith(f" {unit.casefold()}") and "gal" not in read_as.casefold()
    return read_as if own else f"{read_as} = {plain(value)} {unit}"
