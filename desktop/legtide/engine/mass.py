"""Mass of the water aboard, for the load sheet.

Potable water and pre-charge are not in the certified empty weight (14 CFR 25.29), so the water loaded is reported.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from legtide.day.assumptions import WATER_DENSITY_KG_PER_M3
from legtide.engine.types import LegResult

_TEMPERATURE_C: Final = np.array([row[0] for row in WATER_DENSITY_KG_PER_M3])
_DENSITY_KG_PER_L: Final = np.array([row[1] for row in WATER_DENSITY_KG_PER_M3]) / 1000.0


def water_density_kg_per_l(temperature_c: float) -> float:
    """Density of water in kg/L, between the rows of the handbook table by straight lines, held at its ends.

    Source: handbook table, 0 to 30 °C (see `assumptions.WATER_DENSITY_KG_PER_M3`).
    """
    return float(np.interp(temperature_c, _TEMPERATURE_C, _DENSITY_KG_PER_L))


def water_mass_kg(litres: float, temperature_c: float) -> float:
    """Mass in kg of that much water at that temperature."""
    return litres * water_density_kg_per_l(temperature_c)


def mean_water_kg(leg: LegResult) -> float:
    """Mean mass of the water aboard during a leg: that between its ends, at the load sheet's density."""
    out, back = leg.fresh_departure.mean, leg.fresh_arrival.mean
    return leg.water_mass_kg * (out + back) / (2.0 * out) if out > 0.0 else 0.0


def fuel_for_mass_kg(mass_kg: float, hours: float, percent_per_h: float) -> float:
    """Fuel in kg burnt to carry a mass for some flight hours (see `policy.fuel_percent_per_h` for its sources)."""
    return mass_kg * hours * percent_per_h / 100.0
