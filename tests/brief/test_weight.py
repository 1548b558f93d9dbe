"""What the water carried costs, and the lower fills that would be worth it."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from legtide.brief.briefing import briefing_pages
from legtide.brief.content import Briefing, briefing, origin_of
from legtide.brief.paper import pdf_bytes
from legtide.brief.weight import carried, lower_fills
from legtide.brief.words import weight_lines
from legtide.day.document import Day, Figure, Fit, Policy, Service
from legtide.engine.projection import project
from legtide.plan.rotation.proposal import account
from support.days import rotation_day
from support.pdf_text import pdf_text

FILL = Service(id="f", aircraft="QX-0", turn=2, tank="fresh")


def content_of(day: Day) -> Briefing:
    return briefing(day, "QX-0", origin_of(day, "practice.day.json", datetime(2026, 5, 13, tzinfo=UTC)))


def priced(**figures: float) -> Policy:
    return Policy(**{name: Figure(value=value) for name, value in figures.items()})


@pytest.mark.parametrize(("percent_per_h", "fuel_kg"), [(3.0, 150.0), (4.0, 200.0)])
def test_the_published_example_of_the_cost_of_weight(percent_per_h: float, fuel_kg: float) -> None:
    """500 kg carried over 10 h cost 150-200 kg of fuel: K. M. Morris, airline workshop on weight management.

    The 500 kg are water of 20 degrees here, of which nobody aboard uses any to speak of.
    """
    day = rotation_day(
        10.0,
        1,
        0.0,
        fit=Fit(id="f", fresh_capacity_l=Figure(value=500.0 / 0.9982071)),
        policy=priced(fuel_percent_per_h=percent_per_h, price_fuel_per_kg=0.5),
    )
    alone = day.model_copy(update={"legs": tuple(leg.model_copy(update={"crew": 0}) for leg in day.legs)})
    found = carried(project(alone).aircraft["QX-0"], alone.policy)
    assert (found.mean_kg, found.hours) == (pytest.approx(500.0, rel=0.002), 10.0)
    assert found.fuel_kg == pytest.approx(fuel_kg, rel=0.002)
    assert found.cost == pytest.approx(fuel_kg / 2.0, rel=0.002)
    (line,) = weight_lines(content_of(alone))
    assert line.startswith(
        f"Water carried: 500\xa0kg on average over 10.0\xa0h burn {found.fuel_kg:.1f}\xa0kg of fuel"
    )


def test_the_other_published_figure_is_within_the_range_of_the_policys() -> None:
    """100 kg cost 5,000 kg of fuel a year: a manufacturer's fuel guide; 3,000 to 5,000 flight hours a year are common
    practice, no source."""
    for hours in (3_000.0, 5_000.0):
        share = 5_000.0 / (100.0 * hours) * 100.0
        assert 1.0 <= share <= 1.7


def test_the_page_counts_the_water_as_the_plan_does() -> None:
    """With no waste to speak of, a plan's fuel is the water's."""
    day = rotation_day(1.5, 4, services=(FILL,))
    found = project(day).aircraft["QX-0"]
    assert 0.0 < carried(found, day.policy).fuel_kg < account(day, found, 0, {}).costs.fuel_kg


def test_a_lower_fill_is_offered_where_it_costs_less() -> None:
    day = rotation_day(1.5, 3, services=(FILL,), policy=priced(price_breach=0.0, price_fuel_per_kg=1.0))
    (lower,) = lower_fills(day, project(day).aircraft["QX-0"])
    assert (lower.service.id, lower.target_percent < 100.0) == ("f", True)
    assert lower.saved_cost == pytest.approx(lower.saved_kg)
    (line,) = weight_lines(content_of(day))
    assert f"filling to {lower.target_percent:g}\xa0% instead of 100\xa0% at ABLE before ZZ102 burns" in line


def test_the_page_says_so() -> None:
    day = rotation_day(1.5, 3, services=(FILL,), policy=priced(price_breach=0.0))
    content = content_of(day)
    (line,) = weight_lines(content)
    assert line.replace("\xa0", " ") in pdf_text(pdf_bytes(briefing_pages(content), "Briefing"))


def test_it_is_what_a_projection_with_that_fill_says() -> None:
    day = rotation_day(1.5, 3, services=(FILL,), policy=priced(price_breach=0.0))
    now = project(day).aircraft["QX-0"]
    (lower,) = lower_fills(day, now)
    other = day.model_copy(update={"services": (FILL.model_copy(update={"target_percent": lower.target_percent}),)})
    then = carried(project(other).aircraft["QX-0"], day.policy)
    assert lower.saved_kg == pytest.approx(carried(now, day.policy).fuel_kg - then.fuel_kg)


def test_no_lower_fill_is_offered_where_risk_costs_more() -> None:
    day = rotation_day(2.0, 8, services=(FILL,), policy=priced(price_breach=1e6))
    assert lower_fills(day, project(day).aircraft["QX-0"]) == ()
    (line,) = weight_lines(content_of(day))
    assert line.endswith("No lower fill is worth its risk by the policy's prices.")


def test_a_fill_that_keeps_the_limit_only_when_whole_stays_whole() -> None:
    """Risk has no price here: only the limit holds the fill up."""
    day = rotation_day(3.0, 5, services=(FILL,), policy=priced(price_breach=0.0, risk_limit=0.2))
    now = project(day).aircraft["QX-0"]
    for lower in lower_fills(day, now):
        assert lower.worst_risk <= 0.2
    tight = rotation_day(3.0, 5, services=(FILL,), policy=priced(price_breach=0.0, risk_limit=0.0001))
    assert lower_fills(tight, project(tight).aircraft["QX-0"]) == ()


def test_a_day_without_legs_says_nothing() -> None:
    day = rotation_day(1.5, 1)
    assert weight_lines(content_of(day.model_copy(update={"legs": ()}))) == []
