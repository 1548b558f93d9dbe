"""Every figure of the model: one named value with unit, range, source and status.

Nomenclature: a figure is addressed by `group.field`, where the group is the model of `document.py` that holds
it (`usage`, `policy`, `fit`). The catalogue gives the default and what is known of it; the day file may
carry another value with a source of its own.

Status: `seen` (read in the named source), `derived` (arithmetic from seen figures), `memory` (recalled, no
source at hand), `assumed` (this project's own), `learned` (estimated from readings), `entered` (by the user).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Status = Literal["seen", "derived", "memory", "assumed", "learned", "entered"]


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of one figure.

    `low` to `high` is the range in which the figure is usually found: outside it the day is cautioned.
    `least` to `most` is what makes sense at all: outside it the day is refused.
    """

    name: str
    label: str
    unit: str
    default: float
    low: float
    high: float
    least: float
    most: float
    source: str
    status: Status


_USAGE_TRADE = (
    "Average use of vacuum-toilet aircraft 0.20 L/(person h): basin 0.11, rinse 0.07, galley 0.02; "
    "lecture script Prof. D. Scholz, HAW Hamburg, as reported by the trade press"
)
_OURS = "Legtide's own assumption"
_POLICY = "Policy figure: the operator's to set"

_CATALOGUE: Final = (
    # usage --------------------------------------------------------------------------------------------
    Known(
        "usage.visits_per_person_h", "Lavatory visits per person and flight hour", "1/(person h)",
        0.30, 0.20, 0.46, 0.0, 3.0,
        "0.07 L/(person h) of rinse over 0.237 L a flush (Scholz; EP 1 057 943 A2); cross-checks: trips from "
        "seat 0.20-0.29, bladder diaries 0.24-0.46", "derived",
    ),
    Known(
        "usage.rinse_l", "Rinse water per visit", "L", 0.237, 0.1, 0.5, 0.0, 10.0,
        "EP 1 057 943 A2, paragraph 0003: about 8 US fluid ounces, whatever was flushed", "seen",
    ),
    Known(
        "usage.hand_wash_mean_l", "Hand-wash water per visit, overboard", "L", 0.37, 0.2, 0.6, 0.0, 10.0,
        "0.11 L/(person h) of basin water over 0.30 visits (Scholz)", "derived",
    ),
    Known(
        "usage.hand_wash_shape", "Gamma shape of the hand-wash volume", "1", 2.0, 1.0, 5.0, 0.05, 1e4,
        _OURS, "assumed",
    ),
    Known(
        "usage.galley_l_per_person_h", "Galley water, overboard or drunk", "L/(person h)",
        0.02, 0.0, 0.10, 0.0, 5.0, _USAGE_TRADE, "seen",
    ),
    Known(
        "usage.body_waste_mean_l", "Body waste and paper per visit", "L", 0.26, 0.15, 0.40, 0.0, 10.0,
        "Waste inflow 0.15 (0.13-0.20) L/(person h) less rinse, over 0.30 visits; urine 50-125 mL per waking hour, "
        "faeces 128 g and 1.2 times a day (Rose et al. 2015, Crit. Rev. Env. Sci. Technol. 45:1827)", "derived",
    ),
    Known(
        "usage.body_waste_shape", "Gamma shape of the body-waste volume", "1", 3.0, 1.0, 6.0, 0.05, 1e4,
        _OURS, "assumed",
    ),
    Known(
        "usage.day_factor_cv", "Spread of one aircraft's day (lognormal, mean 1), coefficient of variation", "1",
        0.20, 0.10, 0.45, 0.0, 2.0,
        "Nothing is published; set so that the service intervals of common practice come out", "assumed",
    ),
    Known(
        "usage.leg_factor_shape", "Spread of one leg (gamma, mean 1), shape", "1", 25.0, 5.0, 100.0, 0.1, 1e6,
        "Trips from seat on 1,540 passengers fit a negative binomial with shape about 5 per head; the value for a "
        "whole cabin is ours", "assumed",
    ),
    Known(
        "usage.quiet_start_share", "Share of the block time without visits at its start", "1",
        0.08, 0.0, 0.3, 0.0, 0.45, "No curve is published; belts are fastened at both ends", "assumed",
    ),
    Known(
        "usage.quiet_end_share", "Share of the block time without visits at its end", "1",
        0.10, 0.0, 0.3, 0.0, 0.45, "No curve is published; belts are fastened at both ends", "assumed",
    ),
    Known(
        "usage.hot_drink_l", "Water for one hot drink", "L", 0.17, 0.15, 0.20, 0.0, 2.0,
        "Cups of 0.15-0.20 L, recalled", "memory",
    ),
    Known(
        "usage.hot_drink_share", "Share of the people aboard who take a hot drink in one round", "1",
        0.45, 0.2, 0.7, 0.0, 1.0, "Recalled", "memory",
    ),
    Known(
        "usage.lavatory_occupancy_s", "Occupancy of a lavatory per visit", "s", 155.0, 90.0, 240.0, 1.0, 3600.0,
        "Airport washrooms, n = 502; not measured aboard", "seen",
    ),
    # policy -------------------------------------------------------------------------------------------
    Known("policy.risk_limit", "Risk limit per leg", "1", 0.10, 0.01, 0.30, 0.0, 1.0, _POLICY, "assumed"),
    Known(
        "policy.fresh_reserve_percent", "Fresh reserve at the end of a leg", "% of capacity",
        5.0, 0.0, 25.0, 0.0, 100.0, _POLICY, "assumed",
    ),
    Known(
        "policy.waste_limit_percent", "Usable limit of the waste tank", "% of capacity",
        90.0, 75.0, 100.0, 1.0, 100.0, _POLICY, "assumed",
    ),
    Known(
        "policy.service_happens_probability", "Probability that a planned service takes place", "1",
        1.0, 0.8, 1.0, 0.0, 1.0, _POLICY, "assumed",
    ),
    Known(
        "policy.margin_after_on_blocks_min", "Earliest service after on blocks", "min",
        3.0, 0.0, 20.0, 0.0, 600.0, _POLICY, "assumed",
    ),
    Known(
        "policy.margin_before_off_blocks_min", "Latest end of a service before off blocks", "min",
        5.0, 0.0, 30.0, 0.0, 600.0, _POLICY, "assumed",
    ),
    Known(
        "policy.shortest_turn_min", "Shortest turn that a late aircraft is given", "min",
        25.0, 15.0, 90.0, 0.0, 1440.0, _POLICY, "assumed",
    ),
    Known(
        "policy.call_lead_min", "Lead time with which a service has to be asked for", "min",
        30.0, 0.0, 180.0, 0.0, 2880.0, _POLICY, "assumed",
    ),
    Known(
        "policy.price_fresh_service", "Price of a water service", "price unit", 60.0, 0.0, 500.0, 0.0, 1e6,
        _POLICY, "assumed",
    ),
    Known(
        "policy.price_waste_service", "Price of a toilet service", "price unit", 80.0, 0.0, 500.0, 0.0, 1e6,
        _POLICY, "assumed",
    ),
    Known(
        "policy.price_breach", "Price of a breach on one leg", "price unit", 2000.0, 0.0, 50000.0, 0.0, 1e9,
        _POLICY, "assumed",
    ),
    Known(
        "policy.price_fuel_per_kg", "Price of fuel", "price unit/kg", 0.9, 0.3, 2.0, 0.0, 1e4, _POLICY, "assumed",
    ),
    Known(
        "policy.price_delay_per_min", "Price of a minute of departure delay (0: no delay is allowed)",
        "price unit/min", 0.0, 0.0, 200.0, 0.0, 1e6, _POLICY, "assumed",
    ),
    Known(
        "policy.price_truck_per_min", "Price of a truck minute", "price unit/min", 1.0, 0.0, 20.0, 0.0, 1e6,
        _POLICY, "assumed",
    ),
    Known(
        "policy.fuel_percent_per_h", "Fuel burnt to carry mass, per flight hour", "% of the mass/h",
        3.0, 1.0, 4.0, 0.0, 20.0,
        "3-4 %: K. M. Morris, airline workshop on weight management (500 kg over 10 h cost 150-200 kg); 1.0-1.7 %: a "
        "manufacturer's fuel guide (100 kg = 5,000 kg a year): the sources disagree", "seen",
    ),
    Known(
        "policy.freeze_mild_c", "Parked without heat: drain fresh below this temperature ...", "°C",
        0.0, -5.0, 4.0, -60.0, 20.0, "Shape of operators' tables; policy figure of the operator", "assumed",
    ),
    Known(
        "policy.freeze_mild_h", "... after this time", "h", 1.5, 0.5, 4.0, 0.0, 100.0,
        "Shape of operators' tables; policy figure of the operator", "assumed",
    ),
    Known(
        "policy.freeze_hard_c", "Parked without heat: drain fresh below this temperature ...", "°C",
        -7.0, -20.0, 0.0, -60.0, 20.0, "Shape of operators' tables; policy figure of the operator", "assumed",
    ),
    Known(
        "policy.freeze_hard_h", "... after this shorter time", "h", 0.5, 0.1, 2.0, 0.0, 100.0,
        "Shape of operators' tables; policy figure of the operator", "assumed",
    ),
    Known(
        "policy.tarmac_water_by_h", "Drinking water is due to people who wait aboard after", "h",
        2.0, 1.0, 2.0, 0.0, 24.0, "14 CFR 259.4 (b)(3)", "seen",
    ),
    Known(
        "policy.bottled_l_per_person_h", "Bottled water to load when the tank will not last", "L/(person h)",
        0.1, 0.05, 0.3, 0.0, 5.0, _POLICY, "assumed",
    ),
    # fit: defaults of the generic single-aisle type with 180 seats ---------------------------------------
    Known("fit.seats", "Seats", "1", 180.0, 10.0, 600.0, 1.0, 2000.0, "Generic type", "assumed"),
    Known("fit.crew", "Crew aboard", "1", 6.0, 2.0, 30.0, 0.0, 100.0, "Generic type", "assumed"),
    Known(
        "fit.lavatories", "Lavatories", "1", 3.0, 1.0, 20.0, 0.0, 60.0,
        "50-60 seats per lavatory are typical, 32-83 seen (press surveys 2011, 2023)", "seen",
    ),
    Known(
        "fit.fresh_capacity_l", "Usable capacity of the fresh tank", "L", 200.0, 20.0, 2000.0, 1.0, 1e5,
        "Published system notes of a type, three that agree", "seen",
    ),
    Known(
        "fit.waste_capacity_l", "Usable space of the waste tank, pre-charge counted in", "L",
        170.0, 20.0, 2000.0, 1.0, 1e5, "Published system notes of a type, three that agree", "seen",
    ),
    Known(
        "fit.pre_charge_l", "Pre-charge of the waste tank after a drain", "L", 10.0, 0.0, 15.1, 0.0, 1e4,
        "Vacuum tanks 9-12 L, recalled; older recirculating tanks 11.4-15.1 L (seen)", "memory",
    ),
    Known(
        "fit.fill_flow_l_per_min", "Fill flow", "L/min", 30.0, 10.0, 80.0, 0.1, 1e4,
        "Recalled; charts give 5-10 min a service", "memory",
    ),
    Known(
        "fit.drain_min", "Time to drain and rinse the waste tank", "min", 4.0, 2.0, 15.0, 0.0, 600.0,
        "Recalled; charts give 5-10 min a service", "memory",
    ),
    Known(
        "fit.connect_min", "Time to connect and disconnect", "min", 4.0, 1.0, 10.0, 0.0, 600.0,
        "Recalled; charts give 5-10 min a service", "memory",
    ),
    Known(
        "fit.fill_pressure_limit_bar", "Fill pressure limit", "bar", 3.45, 1.0, 10.0, 0.0, 100.0,
        "Published system notes of a type, three that agree (50 psi)", "seen",
    ),
)  # fmt: skip

CATALOGUE: Final[dict[str, Known]] = {known.name: known for known in _CATALOGUE}
"""`group.field` -> what is known of the figure."""

DRINK_ROUNDS: Final[dict[str, tuple[tuple[float, float], ...]]] = {
    "none": (),
    "average": (),
    "drinks": ((0.25, 0.45),),
    "meal": ((0.15, 0.30), (0.70, 0.85)),
}
"""Cabin service -> rounds of hot drinks, each from one share of the block time to another (status: assumed)."""

REPAIR_INTERVAL_DAYS: Final[dict[str, int]] = {"B": 3, "C": 10, "D": 120}
"""Repair intervals of deferred items (national master equipment list guides; status: seen)."""

WATER_DENSITY_KG_PER_M3: Final[tuple[tuple[float, float], ...]] = (
    (0.0, 999.84),
    (4.0, 999.972),
    (10.0, 999.7026),
    (15.0, 999.1026),
    (20.0, 998.2071),
    (25.0, 997.0479),
    (30.0, 995.6502),
)
"""Temperature in °C -> density of water; handbook table, agrees with IAPWS-95 to 0.01 (status: seen)."""

PLACES_OF_LAW: Final[dict[str, str]] = {
    "approved_water": "Water only from approved points: 21 CFR 1240.80, 1240.83 (seen)",
    "separate_hands": (
        "A person or vehicle on waste does no water that day: handler practice (seen); WHO Guide to Hygiene and "
        "Sanitation in Aviation, 3rd ed. 2009 (memory)"
    ),
    "disinfection": (
        "Disinfection and flushing against sampling, a year 4:1, 3:2, 2:4, 1:12: 40 CFR 141.803 (b)(3) (memory)"
    ),
    "load_sheet": "Potable water and pre-charge are not in the certified empty weight: 14 CFR 25.29 (seen)",
}
"""Rules named beside cautions, each with its source and status."""
