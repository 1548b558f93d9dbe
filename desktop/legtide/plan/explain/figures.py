"""Figures as inputs: label and unit from the catalogue, value, source and status from the day."""

from __future__ import annotations

from typing import Final

from legtide.day.assumptions import CATALOGUE
from legtide.day.document import Day, Figure, Fit, Gauge, Tank
from legtide.day.rotations import Rotation
from legtide.language import tr
from legtide.plan.explain.records import ExplainError, Explanation, Input

VISITS: Final = ("visits_per_person_h", "leg_factor_shape", "quiet_start_share", "quiet_end_share")
FRESH: Final = ("rinse_l", "hand_wash_mean_l", "hand_wash_shape", "galley_l_per_person_h")
WASTE: Final = ("rinse_l", "body_waste_mean_l", "body_waste_shape")
DRINKS: Final = ("hot_drink_l", "hot_drink_share")


def figure_input(name: str, figure: Figure) -> Input:
    """A figure of the catalogue (`group.field`) with the value that the day has for it."""
    known = CATALOGUE[name]
    return Input(tr(known.label), figure.value, known.unit, tr(figure.source), figure.status)


def usage_inputs(day: Day, *fields: str) -> list[Input]:
    """Figures of use."""
    return [figure_input(f"usage.{field}", getattr(day.usage, field)) for field in fields]


def policy_inputs(day: Day, *fields: str) -> list[Input]:
    """Figures of the policy."""
    return [figure_input(f"policy.{field}", getattr(day.policy, field)) for field in fields]


def fit_inputs(fit: Fit, *fields: str) -> list[Input]:
    """Figures of a fit."""
    return [figure_input(f"fit.{field}", getattr(fit, field)) for field in fields]


def use_inputs(day: Day, rotation: Rotation, tank: Tank) -> list[Input]:
    """All figures that the use of a tank's water, or its inflow of waste, stands on."""
    fields = [*VISITS, *(FRESH if tank == "fresh" else WASTE), "day_factor_cv", "lavatory_occupancy_s"]
    if tank == "fresh" and any(leg.cabin_service in ("drinks", "meal") for leg in rotation.legs):
        fields += DRINKS
    return usage_inputs(day, *fields)


def limit_inputs(day: Day, fit: Fit, tank: Tank) -> list[Input]:
    """What a breach of a tank is measured against."""
    if tank == "fresh":
        return [*fit_inputs(fit, "fresh_capacity_l"), *policy_inputs(day, "fresh_reserve_percent", "risk_limit")]
    capacity = fit_inputs(fit, "waste_capacity_l", "pre_charge_l")
    return [*capacity, *policy_inputs(day, "waste_limit_percent", "risk_limit")]


def gauge_inputs(gauge: Gauge) -> list[Input]:
    """How a gauge shows its tank."""
    return [
        Input(tr("Gauge step"), gauge.step_percent, "% of capacity", tr(gauge.source), gauge.status),
        Input(tr("Gauge error"), gauge.error_percent, "% of capacity", tr(gauge.source), gauge.status),
        Input(
            tr("Gauge rounds"),
            tr("to the nearest step") if gauge.rounds == "nearest" else tr("down"),
            "",
            tr(gauge.source),
            gauge.status,
        ),
    ]


def explain_figure(day: Day, name: str) -> Explanation:
    """One figure of the day: `usage.rinse_l`, `policy.risk_limit`, or a fit's, as in `single-aisle-180.crew`."""
    group, _, field = name.rpartition(".")
    part = {"usage": day.usage, "policy": day.policy}.get(group) or _fit(day, group)
    known = CATALOGUE.get(f"{'fit' if isinstance(part, Fit) else group}.{field}")
    figure = getattr(part, field) if known is not None else None
    if known is None or not isinstance(figure, Figure):
        raise ExplainError(
            tr("{name} is not a figure of the day: name it as in usage.rinse_l or policy.risk_limit").format(
                name=name
            )
        )
    notes = [
        tr("Usual range: {low:g} to {high:g} {unit}").format(low=known.low, high=known.high, unit=tr(known.unit))
    ]
    if figure.value != known.default:
        notes.append(
            tr("The catalogue's default is {value:g} ({source}; {status})").format(
                value=known.default, source=known.source, status=known.status
            )
        )
    return Explanation(
        what=f"figure:{name}",
        title=f"{tr(known.label)}: {figure.value:g} {tr(known.unit)}",
        value=figure.value,
        unit=known.unit,
        words=tr("An assumption of the day, {status}: {source}").format(
            status=figure.status, source=figure.source or tr("no source given")
        ),
        formula="",
        inputs=(figure_input(known.name, figure),),
        notes=tuple(notes),
    )


def _fit(day: Day, name: str) -> Fit | None:
    if name == "fit" and len(day.fits) == 1:
        return day.fits[0]
    return next((fit for fit in day.fits if fit.id == name), None)
