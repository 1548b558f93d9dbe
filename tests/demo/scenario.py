"""The scenario of all demo days: one invented carrier with its stations, fleet and block times.

Everything here is made up. What must not be real is held by `test_scenario.py`:

* Station codes are in none of the lists of the `airportsdata` package (IATA, ICAO, FAA location identifiers), and
  no airport or city there has one of the names.
* Registrations begin with Q. A nationality mark is chosen from the call-sign series that the ITU has allocated
  (ICAO Annex 7, from memory), and no series begins with Q, so as not to be taken for a Q code (ITU Radio
  Regulations, article 19 and appendix 42, as retold in public lists of unallocated prefixes).
* The designator X0 and the name Marram Air belong to no airline that the authors know of (from memory).

Time zones are real ones of the tz database, so that clock changes can be shown. Block times, loads and
temperatures are invented and only meant to be plausible.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

CARRIER: Final = "Marram Air"
DESIGNATOR: Final = "X0"
HUB: Final = "OZM"


@dataclass(frozen=True, slots=True)
class Port:
    """A station of the network as the scenario knows it."""

    name: str
    zone: str
    block_min: int
    """From or to the hub, off blocks to on blocks."""
    offers: str = "FW"
    """F: water service, W: toilet service."""
    approved_water: bool = True
    water_c: float = 12.0
    air_c: float = 14.0
    """Temperature on an ordinary day; the winter day has its own."""
    remark: str = ""


PORTS: Final[dict[str, Port]] = {
    "OZM": Port("Ostermarsh", "Europe/Berlin", 0, remark="Home station; trucks of the carrier's own"),
    "RQH": Port("Ruskholm", "Europe/Berlin", 50, approved_water=False, remark="Water main under repair"),
    "TQB": Port("Tollenby", "Europe/Berlin", 55),
    "JQS": Port("Jorsund", "Europe/Oslo", 60, offers="", air_c=9.0, remark="Island strip without services"),
    "LQV": Port("Lumvik", "Europe/Stockholm", 70, air_c=11.0),
    "WQY": Port("Whinsey", "Europe/London", 75, offers="F", remark="No toilet truck"),
    "DQN": Port("Drennock", "Europe/London", 85),
    "FQG": Port("Fennigar", "Europe/Dublin", 95, offers="W", remark="Toilet truck only"),
    "HQF": Port("Hollenfirth", "Europe/London", 100),
    "KQM": Port("Kesselmoor", "Europe/Helsinki", 110, air_c=8.0),
    "NQV": Port("Nattervik", "Europe/Oslo", 125, air_c=4.0, water_c=6.0),
    "UQM": Port("Ulmarisk", "Europe/Tallinn", 150, air_c=9.0),
    "EQK": Port("Eskerry", "Europe/Lisbon", 180, air_c=19.0, water_c=18.0),
    "PQR": Port("Pellerine", "America/St_Johns", 320, air_c=5.0, remark="UTC-3:30, in summer UTC-2:30"),
    "OQD": Port("Orremand", "Asia/Dubai", 385, air_c=31.0, water_c=28.0),
    "ZQD": Port("Zandarra", "Asia/Kolkata", 480, air_c=29.0, water_c=26.0, remark="UTC+5:30 all year"),
}

_FLEET: Final = {
    "twin-aisle-300": "ALB CON EMU OST RHE",
    "single-aisle-220": "CRA GAN HER PEL STO SWA",
    "single-aisle-180": "AUK COO DUN EID FUL GUL HAW JAY KIT LAP MAL OWL PLO RAV",
    "single-aisle-120": "CUR SHA SKU SNI TEA TRN VIR WIG",
    "jet-100": "FIN LIN PIP ROB STA TAN",
    "jet-70": "DIP NUT SIS WRE",
    "turboprop-70": "LAR MAR SPA SWI",
}
PREFIX: Final = "QM-"

FLEET: Final[dict[str, str]] = {f"{PREFIX}{name}": fit for fit, names in _FLEET.items() for name in names.split()}
"""Registration -> shipped fit."""


def block_min(origin: str, destination: str) -> int:
    """Block time between two stations, one of which is the hub."""
    if HUB not in (origin, destination):
        raise ValueError(f"the network has no leg {origin}-{destination}: every leg touches the hub")
    return PORTS[destination if origin == HUB else origin].block_min
