"""JSON as the day file takes it: one meaning or none.

The standard reader lets NaN, Infinity and 1e400 pass and takes the last of two equal keys. Here every such thing is
a problem with its place, and all of them are found at once. Size, depth, keys and items are bounded, so that time and
memory are.
"""

from __future__ import annotations

import codecs
import json
import math
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any, Final

from legtide.day.checks import Problem
from legtide.day.quoting import quoted
from legtide.language import tr

MOST_BYTES: Final = 64 * 2**20
"""Largest input that is read: a day of 200,000 legs has about 40 MB."""
MOST_PROBLEMS: Final = 100
"""Problems that are listed; a last one says that there are more."""
_MOST_LEVELS: Final = 12
_MOST_KEYS: Final = 200
_MOST_ITEMS_INSIDE: Final = 20_000
_LONGEST_INTEGER: Final = 18

_Loc = tuple[str | int, ...]


class BadJsonError(ValueError):
    """A text that is not acceptable JSON, with all problems that were found."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(map(str, problems)))
        self.problems = problems


class _Unfit(str):
    """A number that cannot be kept, as it was written."""

    __slots__ = ()


class _Doubled(dict[str, Any]):
    """An object in which a key stood twice."""

    keys_twice: tuple[str, ...] = ()


def place_of(loc: _Loc) -> str:
    """A path into the file as it is written in messages: `legs[3].sta`."""
    out = ""
    for step in loc:
        if isinstance(step, int):
            out += f"[{step}]"
        else:
            name = step if step.isidentifier() else quoted(step)
            out += f".{name}" if out else name
    return out


def read_object(data: bytes) -> dict[str, Any]:
    """The JSON object that the bytes hold, in plain dicts, lists, texts and finite numbers.

    Raises BadJsonError with every problem and its place.
    """
    text = decoded(data)
    try:
        content = json.loads(
            text,
            object_pairs_hook=_object,
            parse_constant=_Unfit,
            parse_float=_float,
            parse_int=_int,
        )
    except json.JSONDecodeError as error:
        raise BadJsonError((_syntax(error, text),)) from None
    except RecursionError:
        raise BadJsonError((Problem("", tr("is nested deeper than {n} levels").format(n=_MOST_LEVELS)),)) from None
    found = cut(_unfit(content))
    if found:
        raise BadJsonError(found)
    if not isinstance(content, dict):
        raise BadJsonError((Problem("", tr("does not hold a JSON object")),))
    return content


def decoded(data: bytes) -> str:
    """UTF-8 text, with or without a byte order mark. Raises BadJsonError when it is too large or not UTF-8."""
    if len(data) > MOST_BYTES:
        raise BadJsonError(
            (Problem("", tr("is larger than {size} MB, the most that is read").format(size=MOST_BYTES // 2**20)),)
        )
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise BadJsonError((Problem("", tr("is UTF-16 text; save it as UTF-8")),))
    try:
        text = data.removeprefix(codecs.BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        byte = error.start - data.rfind(b"\n", 0, error.start)
        raise BadJsonError(
            (
                Problem(
                    tr("line {line}, byte {byte}").format(line=line, byte=byte),
                    tr("is not UTF-8 text; save the file as UTF-8"),
                ),
            )
        ) from None
    if not text.strip():
        raise BadJsonError((Problem("", tr("is empty")),))
    return text


def _syntax(error: json.JSONDecodeError, text: str) -> Problem:
    where = tr("line {line}, column {column}").format(line=error.lineno, column=error.colno)
    if error.pos >= len(text.rstrip()) or error.msg.startswith("Unterminated string"):
        return Problem(where, tr("the text ends in the middle: the file may have been cut off"))
    return Problem(where, tr("is not JSON: {reason}{msg}").format(reason=error.msg[0].lower(), msg=error.msg[1:]))


# what the reader meets ------------------------------------------------------------------------------------


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    plain = dict(pairs)
    if len(plain) == len(pairs):
        return plain
    counts = Counter(key for key, _ in pairs)
    twice = _Doubled(plain)
    twice.keys_twice = tuple(key for key, count in counts.items() if count > 1)
    return twice


def _float(text: str) -> float | _Unfit:
    value = float(text)
    return value if math.isfinite(value) else _Unfit(text)


def _int(text: str) -> int | _Unfit:
    return int(text) if len(text.lstrip("-")) <= _LONGEST_INTEGER else _Unfit(text)


def _unfit(content: Any) -> Iterator[Problem]:
    """Everything in the content that is not acceptable, in the order of the file."""
    stack: list[tuple[Any, _Loc]] = [(content, ())]
    while stack:
        value, loc = stack.pop()
        if isinstance(value, _Unfit):
            yield Problem(
                place_of(loc), tr("{number} is not a finite number of a usual size").format(number=quoted(str(value)))
            )
        elif isinstance(value, str):
            if not _encodes(value):
                yield Problem(place_of(loc), tr("holds half of a character (a lone surrogate)"))
        elif isinstance(value, dict):
            yield from _unfit_object(value, loc)
            stack.extend((value[key], (*loc, key)) for key in reversed(value) if _matters(value[key]))
        elif isinstance(value, list):
            if len(loc) > 1 and len(value) > _MOST_ITEMS_INSIDE:
                yield Problem(place_of(loc), tr("has more than {n} items").format(n=_MOST_ITEMS_INSIDE))
                continue
            if len(loc) >= _MOST_LEVELS:
                yield Problem(place_of(loc), tr("is nested deeper than {n} levels").format(n=_MOST_LEVELS))
                continue
            stack.extend((row, (*loc, i)) for i, row in reversed(list(enumerate(value))) if _matters(row))


def _unfit_object(value: dict[str, Any], loc: _Loc) -> Iterator[Problem]:
    if isinstance(value, _Doubled):
        for key in value.keys_twice:
            yield Problem(place_of((*loc, key)), tr("stands twice"))
    if len(value) > _MOST_KEYS:
        yield Problem(place_of(loc), tr("has more than {n} keys").format(n=_MOST_KEYS))
        value.clear()
    if len(loc) >= _MOST_LEVELS:
        yield Problem(place_of(loc), tr("is nested deeper than {n} levels").format(n=_MOST_LEVELS))
        value.clear()
    for key in value:
        if not _encodes(key):
            yield Problem(place_of(loc), tr("has a key with half of a character (a lone surrogate)"))


def _matters(value: Any) -> bool:
    """Whether a value has to be looked at: numbers that were kept, true, false and null are fine."""
    return isinstance(value, dict | list | _Unfit) or (isinstance(value, str) and not value.isascii())


def _encodes(text: str) -> bool:
    if text.isascii():
        return True
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def cut(found: Iterable[Problem]) -> tuple[Problem, ...]:
    """The first problems; a last one says that there are more."""
    kept: list[Problem] = []
    for problem in found:
        if len(kept) == MOST_PROBLEMS:
            kept.append(Problem("", tr("and more: only the first {n} problems are listed").format(n=MOST_PROBLEMS)))
            break
        kept.append(problem)
    return tuple(kept)
