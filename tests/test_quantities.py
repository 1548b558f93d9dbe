"""Units against published factors, and the reader of typed quantities."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from legtide.engine.mass import water_density_kg_per_l
from legtide.quantities import CANONICAL, QuantityError, convert, read_quantity, show

REFERENCE = Path(__file__).parent / "reference"


def table(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


# published figures ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", table("unit_factors.csv"), ids=lambda row: f"{row['value']} {row['unit']}")
def test_a_conversion_is_the_published_factor(row):
    """NIST SP 811, appendix B; see `unit_factors.md`. Exact factors hold to the rounding of a float."""
    error = float(row["relative_error"]) or 4 * math.ulp(1.0)
    there = convert(float(row["value"]), row["unit"], row["in_unit"])
    assert there == pytest.approx(float(row["equals"]), rel=error, abs=1e-12)
    assert convert(there, row["in_unit"], row["unit"]) == pytest.approx(float(row["value"]), rel=1e-12)


def test_the_us_gallon_is_231_cubic_inches():
    """NIST SP 811, appendix B: 1 in = 2.54 cm exactly."""
    assert convert(1.0, "US gal", "l") == pytest.approx(231 * 2.54**3 / 1000.0, rel=1e-15)


def test_50_psi_is_the_pressure_limit_of_the_generic_fit():
    """The type's published limit is 50 psi, given as 3.45 bar."""
    assert convert(50.0, "psi", "bar") == pytest.approx(3.45, abs=0.005)


@pytest.mark.parametrize("row", table("water_density.csv"), ids=lambda row: f"{row['celsius']} C")
def test_water_has_the_handbooks_density(row):
    """CRC Handbook, "Standard Density of Water"; see `water_density.md`. Between the rows carried, within 0.05."""
    carried = row["celsius"] not in ("5", "22")
    found = water_density_kg_per_l(float(row["celsius"])) * 1000.0
    assert found == pytest.approx(float(row["kg_per_m3"]), abs=1e-9 if carried else 0.05)


# typed quantities -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "kind", "default", "value"),
    [
        ("120 l", "volume", "l", 120.0),
        ("120", "volume", "l", 120.0),
        ("31,5 US gal", "volume", "l", 31.5 * 3.785411784),
        ("10gal", "volume", "l", 37.85411784),
        ("440 lb", "mass", "kg", 440 * 0.45359237),
        ("85 %", "share", "%", 85.0),
        ("1.5 h", "time", "min", 90.0),
        ("14 °F", "temperature", "°C", -10.0),
        ("-10", "temperature", "°C", -10.0),
        ("50 psi", "pressure", "bar", 3.4473786465),
    ],
)
def test_a_quantity_is_read_into_the_canonical_unit(text, kind, default, value):
    read = read_quantity(text, kind, default)
    assert read.value == pytest.approx(value, rel=1e-9)
    assert (read.kind, read.unit) == (kind, CANONICAL[kind])


@pytest.mark.parametrize(
    "text",
    ["", "l", "1 500 l", "1,500.0 l", "1e3 l", "9**9**9", "nan l", "inf l", "12 l l", "12 furlong", "0x10 l"],
)
def test_what_is_not_one_number_and_a_known_unit_is_refused(text):
    with pytest.raises(QuantityError):
        read_quantity(text, "volume", "l")


def test_a_unit_of_another_kind_is_refused_with_both_kinds_named():
    with pytest.raises(QuantityError, match="kg is a mass; expected a volume"):
        read_quantity("12 kg", "volume", "l")
    with pytest.raises(QuantityError, match="l is a volume, kg is a mass"):
        convert(1.0, "l", "kg")


def test_what_was_read_is_said_back_without_ambiguity():
    assert read_quantity("1,5 us gal", "volume", "l").read_as == "1.5 us gal"


def test_a_quantity_is_shown_without_grouping_and_with_a_space_that_does_not_break():
    assert show(1234.5, "l") == "1234\u00a0l"
    assert show(200.0, "l", "US gal", digits=1) == "52.8\u00a0US gal"
