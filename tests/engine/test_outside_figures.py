"""Default figures and the intervals that they make, against published figures and the practice of the trade."""

from __future__ import annotations

import numpy as np
import pytest

from legtide.day.assumptions import WATER_DENSITY_KG_PER_M3
from legtide.day.document import Policy, Usage
from legtide.engine.mass import fuel_for_mass_kg, water_density_kg_per_l, water_mass_kg
from legtide.engine.projection import project
from legtide.engine.types import AircraftProjection
from legtide.engine.usage import Rates, Stretches, coefficients, drink_rounds, visits
from support.days import rotation_day

RATES = Rates.of(Usage())


def stretch(persons: float, hours: float, lavatories: float = 60.0) -> Stretches:
    """One leg in `average` cabin service, with lavatories enough not to bind unless said otherwise."""
    return Stretches(
        np.array([persons]),
        np.array([hours]),
        np.array([True]),
        np.array([lavatories]),
        np.array([1.0]),
        drink_rounds("average")[None],
    )


def use_per_person_h() -> tuple[float, float]:
    """Expected fresh use and waste inflow of the default figures, L/(person h)."""
    used = coefficients(stretch(100.0, 4.0), RATES)[..., -1]
    mean = (used[0] + used[1])[:, 0] / 400.0
    return float(mean[0]), float(mean[1])


def test_fresh_use_is_the_published_average_within_3_percent() -> None:
    """Average use of vacuum-toilet aircraft 0.20 L/(person h): lecture script Prof. D. Scholz, HAW Hamburg."""
    assert use_per_person_h()[0] == pytest.approx(0.20, rel=0.03)


def test_parts_of_the_use_are_the_published_parts() -> None:
    """Basin 0.11, rinse 0.07, galley 0.02 L/(person h), the same source."""
    per_h = RATES.visits_per_person_h
    assert per_h * RATES.hand_wash_mean_l == pytest.approx(0.11, rel=0.03)
    assert per_h * RATES.rinse_l == pytest.approx(0.07, rel=0.03)
    assert pytest.approx(0.02) == RATES.galley_l_per_person_h


def test_waste_inflow_is_the_published_central_value_within_5_percent() -> None:
    """0.15 (0.13-0.20) L/(person h): rinse (Scholz) with urine and faeces (Rose et al. 2015, 45:1827)."""
    assert use_per_person_h()[1] == pytest.approx(0.15, rel=0.05)


def test_visits_on_a_4_h_flight_are_within_the_published_counts() -> None:
    """0.8 to 1.3 trips per passenger: published trips-from-seat counts, 0.20-0.29 an hour and head, and diaries."""
    assert 0.8 <= float(visits(stretch(1.0, 4.0), RATES)[0]) <= 1.3


def test_rinse_is_8_us_fluid_ounces() -> None:
    """EP 1 057 943 A2, paragraph 0003: about 8 US fluid ounces; 1 US fl oz = 29.5735 mL (NIST SP 811)."""
    assert pytest.approx(8 * 0.0295735, abs=0.001) == RATES.rinse_l


@pytest.mark.parametrize(("celsius", "kg_per_m3"), WATER_DENSITY_KG_PER_M3)
def test_density_is_the_handbook_table(celsius: float, kg_per_m3: float) -> None:
    assert water_density_kg_per_l(celsius) * 1000.0 == pytest.approx(kg_per_m3, abs=1e-9)


@pytest.mark.parametrize("celsius", [2.0, 8.0, 12.0, 18.0, 22.0, 28.0])
def test_density_between_the_rows_agrees_with_a_published_equation(celsius: float) -> None:
    """Kell (1975), J. Chem. Eng. Data 20:97, equation for air-free water; coefficients typed from memory."""
    t = celsius
    top = 999.83952 + 16.945176 * t - 7.9870401e-3 * t**2 - 46.170461e-6 * t**3
    top += 105.56302e-9 * t**4 - 280.54253e-12 * t**5
    assert water_density_kg_per_l(t) * 1000.0 == pytest.approx(top / (1.0 + 16.87985e-3 * t), abs=0.2)


def test_water_mass_of_a_full_tank() -> None:
    """200 L at 15 °C: 199.82 kg by the handbook's 999.1026 kg/m3."""
    assert water_mass_kg(200.0, 15.0) == pytest.approx(199.8205, abs=1e-3)


def test_fuel_for_mass_covers_the_published_example() -> None:
    """500 kg over 10 h cost 150-200 kg of fuel: K. M. Morris, airline workshop on weight management."""
    assert fuel_for_mass_kg(500.0, 10.0, Policy().fuel_percent_per_h.value) == pytest.approx(150.0)
    assert fuel_for_mass_kg(500.0, 10.0, 4.0) == pytest.approx(200.0)


# intervals: common practice, no source -----------------------------------------------------------------------


def one(hours: float, legs: int, load: float) -> AircraftProjection:
    return project(rotation_day(hours, legs, load)).aircraft["QX-0"]


def first_over(projection: AircraftProjection, tank: str) -> int:
    """Number (from 1) of the first leg whose risk passes the default limit of 10 %."""
    risks = [
        leg.risk_fresh_below_reserve if tank == "fresh" else leg.risk_waste_over_limit for leg in projection.legs
    ]
    return next(number for number, risk in enumerate(risks, start=1) if risk > 0.10)


@pytest.mark.parametrize("load", [0.7, 0.8, 0.9])
def test_fresh_water_lasts_four_to_six_flight_hours(load: float) -> None:
    """Common practice, no source: a single-aisle type with 200 L is refilled about every four to six flight hours."""
    quarter_hours = first_over(one(0.25, 32, load), "fresh")
    assert 4.0 <= (quarter_hours - 1) * 0.25 <= 6.0


@pytest.mark.parametrize("load", [0.7, 0.8, 0.9])
@pytest.mark.parametrize("hours", [1.0, 1.1, 1.2])
def test_waste_passes_its_limit_on_the_fifth_short_sector_give_or_take_one(hours: float, load: float) -> None:
    """Common practice, no source: drained after about four short sectors."""
    assert 4 <= first_over(one(hours, 8, load), "waste") <= 6


@pytest.mark.parametrize("load", [0.7, 0.8, 0.9])
def test_waste_passes_its_limit_by_the_second_sector_of_four_and_a_half_hours(load: float) -> None:
    """Common practice, no source: on sectors of 4 to 5 h drained after the first, at the latest the second."""
    assert first_over(one(4.5, 3, load), "waste") <= 2


def test_table_of_intervals(capsys: pytest.CaptureFixture[str]) -> None:
    """Prints sectors until the risk limit by load and sector length; a fuller or longer flight never lasts longer."""
    lengths, loads = (1.0, 1.2, 1.5, 2.0, 3.0, 4.5), (0.7, 0.8, 0.9, 1.0)
    table = {
        (tank, load): [first_over(one(hours, 9, load), tank) for hours in lengths]
        for tank in ("fresh", "waste")
        for load in loads
    }
    with capsys.disabled():
        print("\nSector on which the 10 % limit is passed, 180 seats, by load and sector length")
        print("tank   load  " + "".join(f"{hours:>7.1f} h" for hours in lengths))
        for (tank, load), row in table.items():
            print(f"{tank:<6} {load * 100:>3.0f} %  " + "".join(f"{number:>8} " for number in row))
    for (tank, load), row in table.items():
        assert row == sorted(row, reverse=True)
        if load < 1.0:
            fuller = table[tank, loads[loads.index(load) + 1]]
            assert all(a >= b for a, b in zip(row, fuller, strict=True))
