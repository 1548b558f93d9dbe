"""Explains warnings: those of risk by the risk itself, the others by the figures they stand on."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from legtide.day.document import Day
from legtide.engine.types import Caution, Projection
from legtide.language import tr
from legtide.plan.explain.figures import policy_inputs, usage_inputs
from legtide.plan.explain.levels import explain_risk
from legtide.plan.explain.records import Explanation, Input

_OF_RISK: Final = ("fresh-below-reserve", "fresh-near-reserve", "waste-over-limit", "waste-near-limit")
_SHORTEST: Final = ("shortest_turn_min",)
_RULES: Final[dict[str, tuple[str, tuple[str, ...]]]] = {
    "reading-implausible": (
        "A reading less probable than 1 in 100,000 by the projection is reported and not used",
        (),
    ),
    "water-due": ("People who wait aboard are due drinking water after this time", ("tarmac_water_by_h",)),
    "freezing": (
        "Parked without heat, the fresh tank is drained before it can freeze",
        ("freeze_mild_c", "freeze_mild_h", "freeze_hard_c", "freeze_hard_h"),
    ),
    "turn-short": ("A late aircraft is given at least the shortest turn, or what its schedule has", _SHORTEST),
    "turn-eaten": ("A late aircraft is given at least the shortest turn, or what its schedule has", _SHORTEST),
    "service-outside-turn": (
        "A service has to lie inside its turn, less the policy's margins",
        ("margin_after_on_blocks_min", "margin_before_off_blocks_min"),
    ),
}
_NOW: Final = "No figure stands behind it but what the day itself says"


def explain_warning(day: Day, projection: Projection, row: Caution, what: str) -> Explanation:
    """Why a warning is given."""
    if row.code in _OF_RISK and row.tank is not None:
        found = projection.aircraft[row.aircraft]
        leg = next(place for place, leg in enumerate(found.rotation.legs) if leg.id == row.leg)
        risk = explain_risk(day, found, leg, row.tank)
        limit = tr("A breach is warned of above the risk limit, a caution given above half of it")
        return replace(risk, what=what, title=row.message, notes=(limit, *risk.notes, *_way_out(row)))
    rule, figures = _RULES.get(row.code, (_NOW, ()))
    words = tr(rule)
    inputs: tuple[Input, ...] = tuple(policy_inputs(day, *figures))
    if row.code == "lavatories-short":
        words = tr("The lavatories that work can take one visit per occupancy time each; fewer than are expected")
        inputs = tuple(usage_inputs(day, "visits_per_person_h", "lavatory_occupancy_s"))
    return Explanation(
        what=what,
        title=row.message,
        value=row.risk if row.risk > 0.0 else None,
        unit="probability" if row.risk > 0.0 else "",
        words=words,
        formula="",
        inputs=inputs,
        notes=_way_out(row),
    )


def _way_out(row: Caution) -> tuple[str, ...]:
    return (tr("Way out: {text}").format(text=row.remedy.text),) if row.remedy is not None and row.remedy.text else ()
