"""The shipped fits: complete, honest about where their figures come from, and usual in every figure."""

from __future__ import annotations

from datetime import date

import pytest

from legtide import shipped
from legtide.day.assumptions import CATALOGUE
from legtide.day.checks import cautions
from legtide.day.document import Day, Figure, Fit, known_figure
from legtide.day.fits import DEFAULT_FIT, FIT_IDS, UnknownFitError, shipped_fit, shipped_fits


def test_the_seven_ids_are_shipped_and_no_other() -> None:
    """Ids that other programs rely on; they are fixed by the project's contract."""
    assert {path.stem for path in (shipped.resources() / "fits").glob("*.json")} == set(FIT_IDS)
    assert FIT_IDS == (
        "turboprop-70", "jet-70", "jet-100", "single-aisle-120", "single-aisle-180", "single-aisle-220",
        "twin-aisle-300",
    )  # fmt: skip
    assert DEFAULT_FIT == "single-aisle-180"
    assert [fit.id for fit in shipped_fits()] == list(FIT_IDS)


@pytest.mark.parametrize("fit_id", FIT_IDS)
def test_every_figure_names_its_source(fit_id: str) -> None:
    fit = shipped_fit(fit_id)
    figures = [getattr(fit, name) for name in Fit.model_fields if isinstance(getattr(fit, name), Figure)]
    assert len(figures) == 10
    for figure in [*figures, fit.fresh_gauge, fit.waste_gauge]:
        assert figure.source
        assert figure.status in ("seen", "derived", "memory", "assumed")
    assert fit.seats.value == float(fit_id.rpartition("-")[2])


def test_no_shipped_figure_is_unusual() -> None:
    day = Day(date=date(2031, 3, 5), fits=shipped_fits())
    assert cautions(day) == ()


def test_the_180_seat_type_has_the_published_figures() -> None:
    """Published system notes of a type, three that agree: 200 L fresh, 170 L waste space, 3.45 bar (50 psi)."""
    fit = shipped_fit("single-aisle-180")
    assert (fit.fresh_capacity_l.value, fit.waste_capacity_l.value) == (200.0, 170.0)
    assert fit.fill_pressure_limit_bar.value == 3.45
    for name in Fit.model_fields:
        if f"fit.{name}" in CATALOGUE:
            assert getattr(fit, name) == known_figure(f"fit.{name}")


def test_only_the_180_seat_type_claims_figures_that_were_seen() -> None:
    for fit in shipped_fits():
        statuses = {getattr(fit, name).status for name in Fit.model_fields if isinstance(getattr(fit, name), Figure)}
        assert ("seen" in statuses) == (fit.id == "single-aisle-180")


def test_lavatories_serve_as_many_seats_as_press_surveys_saw() -> None:
    """Press surveys 2011 and 2023: 32 to 83 seats per lavatory."""
    for fit in shipped_fits():
        assert 32 <= fit.seats.value / fit.lavatories.value <= 83


def test_an_unknown_fit_is_named_with_the_known_ones() -> None:
    with pytest.raises(UnknownFitError, match=r"'jumbo-500' is not a shipped fit; there are turboprop-70, "):
        shipped_fit("jumbo-500")
    with pytest.raises(UnknownFitError):
        shipped_fit("../fits/jet-70")
