"""Explanations as a JSON document (format `legtide-explanation`, version 1) and as text."""

from __future__ import annotations

from typing import Any, Final

from legtide.language import tr
from legtide.plan.explain.records import Explanation, Input, Part

EXPLANATION_FORMAT: Final = "legtide-explanation"
EXPLANATION_VERSION: Final = 1


def explanation_document(row: Explanation) -> dict[str, Any]:
    """The document that `legtide explain --json` prints."""
    return {
        "format": EXPLANATION_FORMAT,
        "version": EXPLANATION_VERSION,
        "what": row.what,
        "title": row.title,
        "value": row.value,
        "unit": row.unit,
        "words": row.words,
        "formula": row.formula,
        "parts": [{"label": p.label, "symbol": p.symbol, "value": p.value, "unit": p.unit} for p in row.parts],
        "inputs": [
            {"label": i.label, "value": i.value, "unit": i.unit, "source": i.source, "status": i.status}
            for i in row.inputs
        ],
        "notes": list(row.notes),
    }


def explanation_text(row: Explanation) -> str:
    """The same as lines of plain text."""
    lines = [row.title, "", row.words]
    if row.formula:
        lines.append(row.formula)
    if row.parts:
        lines += ["", *(f"  {_part(part)}" for part in row.parts)]
    if row.inputs:
        lines += ["", tr("From"), *(f"  {_input(one)}" for one in row.inputs)]
    if row.notes:
        lines += ["", *row.notes]
    return "\n".join(lines)


def _part(part: Part) -> str:
    return f"{part.label} ({part.symbol}): {number_text(part.value)} {tr(part.unit)}".rstrip()


def input_value(one: Input) -> str:
    """An input's value with its unit."""
    value = one.value if isinstance(one.value, str) else number_text(one.value)
    return f"{value} {'' if one.unit == '1' else tr(one.unit)}".rstrip()


def _input(one: Input) -> str:
    said = f"{one.label}: {input_value(one)}"
    if one.status is None:
        return said
    return f"{said} [{tr(one.status)}{': ' + one.source if one.source else ''}]"


def number_text(value: float) -> str:
    """A number in four digits."""
    return f"{value:.4g}" if abs(value) < 1e4 else f"{value:.0f}"
