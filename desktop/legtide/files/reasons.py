"""What pydantic found, in plain English: one problem with its place and reason for each of its errors."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from pydantic import ValidationError

from legtide.day.checks import Problem
from legtide.day.quoting import quoted
from legtide.files.strict_json import place_of
from legtide.language import tr

TIME_FORM: Final = "2031-03-05T06:10Z"
_FIXED: Final = {
    "missing": "is missing",
    "extra_forbidden": "is not a known key",
    "string_type": "must be text in quotation marks",
    "int_type": "must be a whole number",
    "int_from_float": "must be a whole number",
    "float_type": "must be a number",
    "bool_type": "must be true or false",
    "finite_number": "must be a finite number",
    "tuple_type": "must be a list in square brackets",
    "model_type": "must be an object in braces",
    "date_type": "must be a date written like 2031-03-05",
    "date_parsing": "must be a date written like 2031-03-05",
    "date_from_datetime_parsing": "must be a date written like 2031-03-05",
    "datetime_type": "must be a time written like 2031-03-05T06:10Z",
    "timezone_aware": "has no time zone: a time is written like 2031-03-05T06:10Z",
}
_WITH_CONTEXT: Final = {
    "datetime_parsing": "is not a time written like 2031-03-05T06:10Z: {error}",
    "datetime_from_date_parsing": "is not a time written like 2031-03-05T06:10Z: {error}",
    "greater_than": "must be more than {gt}",
    "greater_than_equal": "must be at least {ge}",
    "less_than": "must be less than {lt}",
    "less_than_equal": "must be at most {le}",
    "string_too_short": "must not be empty",
    "string_too_long": "must have at most {max_length} characters",
    "too_long": "has more than {max_length} items",
    "too_short": "has fewer than {min_length} items",
    "literal_error": "must be one of {expected}",
}
_SHOWS_VALUE: Final = {
    "int_type", "int_from_float", "float_type", "datetime_parsing", "datetime_from_date_parsing", "timezone_aware",
    "date_parsing", "date_from_datetime_parsing", "greater_than", "greater_than_equal", "less_than",
    "less_than_equal", "literal_error", "unknown_zone", "year_out_of_range", "string_type", "datetime_type",
    "date_type", "bool_type",
}  # fmt: skip


def problems_of(error: ValidationError, inside: tuple[str | int, ...] = (), first: int = 0) -> Iterator[Problem]:
    """The problems that a validation found.

    Args:
        error: what pydantic raised.
        inside: path of the validated part in the whole file.
        first: index of the part's first row, where rows are validated in batches.
    """
    for row in error.errors(include_url=False):
        loc = row["loc"]
        if inside and loc and isinstance(loc[0], int):
            loc = (loc[0] + first, *loc[1:])
        yield Problem(place_of((*inside, *loc)), _reason(row["type"], row["msg"], row.get("ctx", {}), row["input"]))


def _reason(kind: str, message: str, context: Mapping[str, Any], value: object) -> str:
    if kind == "figure_out_of_range":
        unit = "" if context["unit"] == "1" else f" {tr(context['unit'])}"
        return tr("value {value:g} is outside {least:g} to {most:g}{unit}").format(
            value=context["value"], least=context["least"], most=context["most"], unit=unit
        )
    if kind in _FIXED:
        text = tr(_FIXED[kind])
    elif kind in _WITH_CONTEXT:
        text = tr(_WITH_CONTEXT[kind]).format(**{name: _plain(bound) for name, bound in context.items()})
    else:
        text = message
    if kind in _SHOWS_VALUE and isinstance(value, str | int | float | bool):
        text += tr(" (it is {value})").format(
            value=quoted(value) if not isinstance(value, bool) else str(value).lower()
        )
    return text


def _plain(bound: Any) -> Any:
    return f"{bound:g}" if isinstance(bound, float) else bound
