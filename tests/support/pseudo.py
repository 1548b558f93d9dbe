"""A pseudo-language: every sentence about two fifths longer, with letters that English lacks."""

from __future__ import annotations

from math import ceil
from string import Formatter
from typing import Final

from support.spoken import keys

_ACCENTS: Final = str.maketrans("AEIOUYaeiouynscz", "ÅÉÎÖÛÝåéîöûýñšçž")
_FILL: Final = "éñ îšö ûçå "
"""In pieces, so that what wraps can wrap."""


def pseudo(text: str) -> str:
    """A sentence in the pseudo-language; what is put in keeps its name."""
    parts = []
    for words, name, spec, conversion in Formatter().parse(text):
        parts.append(words.replace("{", "{{").replace("}", "}}").translate(_ACCENTS))
        if name is not None:
            parts.append(f"{{{name}{'!' + conversion if conversion else ''}{':' + spec if spec else ''}}}")
    more = ceil(0.4 * len(text))
    fill = (_FILL * (more // len(_FILL) + 1))[:more] if more > 6 else "é" * more
    said = "".join(parts)
    end = len(said.rstrip().removesuffix("…"))
    return said[:end] + fill + said[end:]


def pseudo_catalogue() -> dict[str, str]:
    """All sentences of the program in the pseudo-language."""
    return {key: pseudo(key) for key in keys()}
