"""The fields of a day file's content, validated part by part: every problem with its place, in bounded memory."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any, Final

from pydantic import BaseModel, TypeAdapter, ValidationError

from legtide.day.checks import Problem
from legtide.day.document import Day
from legtide.day.quoting import quoted
from legtide.files.reasons import TIME_FORM, problems_of
from legtide.files.strict_json import cut, place_of
from legtide.language import tr

_ROWS: Final = ("fits", "stations", "aircraft", "legs", "services", "readings", "ground")
_TIMES: Final = frozenset({"std", "sta", "etd", "eta", "atd", "ata", "start", "end", "time", "date", "since"})
_BARE_NUMBER: Final = re.compile(r"[\s+-]*[\d._]+(e[+-]?\d+)?\s*", re.IGNORECASE)
_BATCH: Final = 200


def read_fields(content: dict[str, Any]) -> Day | tuple[Problem, ...]:
    """The day in a content of the present version, or the problems of its fields (the first hundred)."""
    fields = _Fields(content)
    found = cut(fields.problems())
    if found or fields.head is None:
        return found
    # Both parts come validated; a constructor would validate the rows again.
    return fields.head.model_copy(update=fields.rows)


class _Fields:
    """A content's fields, validated part by part.

    The long lists go in batches: pydantic keeps every error that it finds, which takes gigabytes for a list of a
    million wrong rows, and only the first hundred are shown.
    """

    def __init__(self, content: dict[str, Any]) -> None:
        self._long = {part: content[part] for part in _ROWS if isinstance(content.get(part), list)}
        self._short = {key: value for key, value in content.items() if key not in self._long}
        self.head: Day | None = None
        """Everything but the long lists."""
        self.rows: dict[str, tuple[BaseModel, ...]] = {}

    def problems(self) -> Iterator[Problem]:
        """All problems in the order of the file's parts; what is fine is kept on the way."""
        try:
            self.head = Day.model_validate_json(as_json(self._short), by_alias=True, by_name=False)
        except ValidationError as error:
            yield from problems_of(error)
        yield from _bad_times(self._short, ())
        for part, items in self._long.items():
            adapter, most = _rows_of(part)
            if len(items) > most:
                yield Problem(part, tr("has more than {n} items").format(n=most))
                continue
            good: list[BaseModel] = []
            for first in range(0, len(items), _BATCH):
                batch = items[first : first + _BATCH]
                try:
                    good.extend(adapter.validate_json(as_json(batch), by_alias=True, by_name=False))
                except ValidationError as error:
                    yield from problems_of(error, (part,), first)
                for index, item in enumerate(batch, start=first):
                    yield from _bad_times(item, (part, index))
            self.rows[part] = tuple(good)


@cache
def _rows_of(part: str) -> tuple[TypeAdapter[tuple[BaseModel, ...]], int]:
    """The validator of a long list, and how many rows it may have."""
    field = Day.model_fields[part]
    most = next(rule.max_length for rule in field.metadata if hasattr(rule, "max_length"))
    rows: Any = field.annotation
    return TypeAdapter(rows), most


def _bad_times(value: Any, loc: tuple[str | int, ...]) -> Iterator[Problem]:
    """Times written as a bare number: pydantic would take the text "1709618400" for seconds since 1970."""
    rows: Iterable[tuple[str | int, Any]] = ()
    if isinstance(value, dict):
        rows = value.items()
    elif isinstance(value, list):
        rows = enumerate(value)
    for key, item in rows:
        if isinstance(item, str):
            if key in _TIMES and _BARE_NUMBER.fullmatch(item):
                yield Problem(
                    place_of((*loc, key)),
                    tr("is a bare number, not a time written like {form} (it is {value})").format(
                        form=TIME_FORM, value=quoted(item)
                    ),
                )
        elif isinstance(item, dict | list):
            yield from _bad_times(item, (*loc, key))


def as_json(content: object) -> str:
    """JSON on one line. Raises ValueError for a number that is not finite."""
    return json.dumps(content, ensure_ascii=False, allow_nan=False)
