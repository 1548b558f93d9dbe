"""The JSON Schema of the day file, for other programs that write or check one."""

from __future__ import annotations

from typing import Any

from legtide.day.assumptions import CATALOGUE
from legtide.day.document import FORMAT, VERSION, Day

_GROUPS = {"Usage": "usage", "Policy": "policy", "Fit": "fit"}


def json_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of a day file, with the keys that stand in the file.

    Each figure of `usage`, `policy` and `fits` carries its meaning, unit, range and source as description, and the
    bounds outside which a day is refused.
    """
    schema = Day.model_json_schema(by_alias=True, mode="validation")
    for model, group in _GROUPS.items():
        for field, entry in schema["$defs"][model]["properties"].items():
            known = CATALOGUE.get(f"{group}.{field}")
            if known is None:
                continue
            unit = "" if known.unit == "1" else f" {known.unit}"
            entry["description"] = (
                f"{known.label}. Unit: {known.unit}. Default {known.default:g}{unit}, usually {known.low:g} to "
                f"{known.high:g}{unit} ({known.status}). {known.source}"
            )
            entry["properties"] = {"value": {"minimum": known.least, "maximum": known.most}}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"{FORMAT} version {VERSION}",
        **{key: value for key, value in schema.items() if key != "title"},
    }
