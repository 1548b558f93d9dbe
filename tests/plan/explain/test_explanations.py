"""Every number that is shown can be asked "why?", and the answer holds the number, its formula and its sources."""

from __future__ import annotations

import json
import math

import pytest
from scipy.stats import lognorm

from legtide.day.assumptions import CATALOGUE
from legtide.day.document import Day, Fit, GroundTime, Reading
from legtide.day.edits import set_figure
from legtide.engine.projection import project
from legtide.plan.explain import (
    FORMS,
    ExplainError,
    Explanation,
    explain,
    explain_warning,
    explanation_document,
    explanation_text,
)
from legtide.plan.rotation import plan_rotation
from legtide.plan.triggers import triggers
from support.days import MORNING, rotation_day
from support.rotation_days import with_services


def day_with_all(**changes: object) -> Day:
    day = rotation_day(1.5, 8, 0.9, **changes)  # type: ignore[arg-type]
    return with_services(day, (2, "fresh", 100.0), (3, "waste", 0.0), (5, "fresh", 50.0))


def part(row: Explanation, label: str) -> float:
    return next(one.value for one in row.parts if one.label == label)


@pytest.mark.parametrize("leg", range(8))
@pytest.mark.parametrize("tank", ["fresh", "waste"])
def test_a_risk_is_that_of_the_projection(leg: int, tank: str) -> None:
    day = day_with_all()
    shown = project(day).aircraft["QX-0"].legs[leg]
    row = explain(day, f"risk:QX-0:0-{leg}:{tank}")
    assert row.value == (shown.risk_fresh_below_reserve if tank == "fresh" else shown.risk_waste_over_limit)
    assert row.what == f"risk:QX-0:0-{leg}:{tank}"


@pytest.mark.parametrize(("leg", "tank"), [(1, "fresh"), (2, "waste"), (3, "fresh"), (7, "waste")])
def test_the_parts_of_a_risk_give_the_risk_again(leg: int, tank: str) -> None:
    """From room, margin, mean, deviation and skewness alone, through SciPy's lognormal shifted and scaled."""
    row = explain(day_with_all(), f"risk:QX-0:0-{leg}:{tank}")
    mean, deviation = part(row, "Mean use since"), part(row, "Standard deviation of the use")
    skew = part(row, "Skewness of the use")
    spare = part(row, "Room after the last service") - part(row, "Margin: room at which the limit is reached")
    low, high = 1e-6, 3.0
    for _ in range(200):
        sigma = (low + high) / 2
        w = math.exp(sigma**2)
        low, high = (sigma, high) if (w + 2) * math.sqrt(w - 1) < skew else (low, sigma)
    unit = lognorm(s=sigma)
    again = unit.sf(unit.mean() + (spare - mean) / deviation * unit.std())
    assert part(row, "Risk of a breach") == pytest.approx(again, abs=1e-6)


def test_use_comes_from_heads_hours_and_rates() -> None:
    """Mean use of two legs with 162 passengers and 6 crew: rates from the inputs, no other number."""
    row = explain(rotation_day(1.5, 4, 0.9), "risk:QX-0:0-1:fresh")
    rate = {one.label: one.value for one in row.inputs}
    visit = float(rate["Rinse water per visit"]) + float(rate["Hand-wash water per visit, overboard"])
    per_person_h = float(rate["Lavatory visits per person and flight hour"]) * visit
    per_person_h += float(rate["Galley water, overboard or drunk"])
    assert part(row, "Mean use since") == pytest.approx(168 * 3.0 * per_person_h, rel=1e-9)


def test_after_a_reading_the_day_factor_as_learned_is_shown() -> None:
    readings = (Reading(aircraft="QX-0", turn=1, tank="fresh", percent=60.0),)
    row = explain(day_with_all(readings=readings), "risk:QX-0:0-1:fresh")
    assert "Wilson and Hilferty" in row.words
    assert part(row, "Day factor as learned: mean") > 1.05
    assert any(one.label == "Reading at BAKE, fresh" and one.value == 60.0 for one in row.inputs)
    before = explain(day_with_all(readings=readings), "risk:QX-0:0-0:fresh")
    assert "Wilson" not in before.words


def test_a_level_has_its_quantiles() -> None:
    day = day_with_all()
    shown = project(day).aircraft["QX-0"].legs[2].fresh_arrival
    row = explain(day, "level:QX-0:0-2:fresh")
    assert (row.value, part(row, "5 %"), part(row, "95 %")) == (shown.mean, shown.p05, shown.p95)
    assert "ABLE, turn 2" in next(one.label for one in row.inputs)


def test_a_flight_may_stand_for_its_leg() -> None:
    assert explain(day_with_all(), "level:QX-0:ZZ102:waste") == explain(day_with_all(), "level:QX-0:0-2:waste")


def test_the_water_mass_is_level_times_density() -> None:
    day = day_with_all()
    row = explain(day, "mass:QX-0:0-3")
    assert row.value == project(day).aircraft["QX-0"].legs[3].water_mass_kg
    assert part(row, "Mass") == pytest.approx(
        part(row, "Mean level at departure") * part(row, "Density of the water")
    )
    assert any("14 CFR 25.29" in note for note in row.notes)


def test_an_uplift_is_the_volume_of_its_service() -> None:
    day = day_with_all()
    shown = {row.service.id: row for row in project(day).aircraft["QX-0"].services}
    assert explain(day, "uplift:f2").value == shown["f2"].volume.mean
    assert "drained" in explain(day, "uplift:w3").title
    assert part(explain(day, "uplift:f2"), "Mean level after") == 200.0


def test_a_service_is_explained_by_what_its_absence_brings() -> None:
    day = day_with_all()
    row = explain(day, "service:f2")
    without = day.model_copy(update={"services": tuple(one for one in day.services if one.id != "f2")})
    legs = project(without).aircraft["QX-0"].legs[2:5]
    assert part(row, "Largest risk without it") == max(leg.risk_fresh_below_reserve for leg in legs)
    assert "the limit asks for it" in row.notes[0]
    idle = explain(with_services(rotation_day(1.0, 4, 0.5), (1, "waste", 0.0), (2, "waste", 0.0)), "service:w1")
    assert "only its cost decides" in idle.notes[0]
    assert part(idle, "Saved") < 0.0


def test_a_skipped_service_says_that_it_does_not_happen() -> None:
    row = explain(with_services(rotation_day(1.5, 4), (2, "fresh", 100.0), state="skipped"), "service:f2")
    assert part(row, "Largest risk without it") == part(row, "Largest risk with it")
    assert "does not happen" in row.notes[0]


def test_a_plan_s_costs_add_up() -> None:
    day = rotation_day(1.5, 8, 0.9)
    row, plan = explain(day, "plan:QX-0"), plan_rotation(day, "QX-0")
    assert row.value == plan.cost
    parts = [part(row, label) for label in ("Prices of the services", "Its cost", "Price of the risk left")]
    assert sum(parts) == pytest.approx(plan.cost)


def test_a_trigger_shows_the_risk_of_every_step() -> None:
    day = day_with_all()
    shown = triggers(day).at("QX-0", 3, "fresh")
    assert shown is not None
    row = explain(day, "trigger:QX-0:3:fresh")
    assert row.value == shown.trigger_percent
    assert [one.value for one in row.parts] == [step.risk for step in shown.steps]


def test_every_warning_can_be_explained() -> None:
    day = day_with_all()
    wait = GroundTime(
        aircraft="QX-0", turn=0, kind="people_aboard", start=MORNING.replace(hour=1), end=MORNING.replace(hour=4)
    )
    day = day.model_copy(update={"ground": (wait,)})
    projection = project(day)
    codes = set()
    for number, warning in enumerate(projection.warnings, start=1):
        row = explain(day, f"warning:{number}", projection)
        assert row.title == warning.message
        assert row == explain_warning(day, projection, warning, f"warning:{number}")
        codes.add(warning.code)
    assert {"water-due", "waste-over-limit"} <= codes


@pytest.mark.parametrize("name", [name for name in CATALOGUE if not name.startswith("fit.")])
def test_every_figure_has_its_value_source_and_status(name: str) -> None:
    row = explain(rotation_day(1.5, 2), f"figure:{name}")
    known = CATALOGUE[name]
    assert (row.value, row.unit) == (known.default, known.unit)
    assert (row.inputs[0].source, row.inputs[0].status) == (known.source, known.status)


def test_a_figure_entered_by_the_user_names_the_default_too() -> None:
    row = explain(set_figure(rotation_day(1.5, 2), "usage", "rinse_l", 0.3, "our trial"), "figure:usage.rinse_l")
    assert "our trial" in row.words
    assert any("0.237" in note for note in row.notes)


def test_a_fit_s_figures_are_named_by_the_fit() -> None:
    day = rotation_day(1.5, 2, fit=Fit(id="own-type"))
    assert explain(day, "figure:own-type.crew").value == 6.0
    assert explain(day, "figure:fit.crew").value == 6.0


def test_inputs_of_a_risk_all_have_a_source_or_come_from_the_day() -> None:
    row = explain(day_with_all(), "risk:QX-0:0-3:fresh")
    figures = [one for one in row.inputs if one.status is not None]
    assert len(figures) > 10
    assert all(one.source for one in figures)


def test_text_and_document_hold_all_of_it() -> None:
    row = explain(day_with_all(), "risk:QX-0:0-3:fresh")
    text, made = explanation_text(row), explanation_document(row)
    assert text.splitlines()[0] == row.title
    assert all(one.label in text for one in (*row.parts, *row.inputs))
    assert (made["format"], made["version"], made["what"]) == ("legtide-explanation", 1, row.what)
    assert json.loads(json.dumps(made, allow_nan=False)) == made


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("", "ask for one of"),
        ("risk", "ask for one of"),
        ("colour:QX-0", "ask for one of"),
        ("risk:QX-9:0-1:fresh", "no aircraft of the day"),
        ("risk:QX-0:0-99:fresh", "no leg or flight '0-99'"),
        ("risk:QX-0:0-1:oil", "has to end in :fresh or :waste"),
        ("level:QX-0:fresh", "no aircraft of the day"),
        ("uplift:zzz", "no service 'zzz'"),
        ("trigger:QX-0:8:fresh", "no turn '8'"),
        ("trigger:QX-0:-1:fresh", "no turn '-1'"),
        ("warning:0", "no warning '0'"),
        ("warning:x", "no warning 'x'"),
        ("figure:usage.colour", "is not a figure"),
        ("figure:nothing", "is not a figure"),
        ("figure:usage.model_fields", "is not a figure"),
        ("plan:QX-9", "no aircraft of the day"),
    ],
)
def test_what_cannot_be_explained_is_said_clearly(what: str, said: str) -> None:
    with pytest.raises(ExplainError, match=said):
        explain(day_with_all(), what)


def test_an_unknown_form_lists_all_forms() -> None:
    with pytest.raises(ExplainError) as error:
        explain(rotation_day(1.5, 2), "speed:QX-0")
    assert all(form in str(error.value) for form in FORMS)
